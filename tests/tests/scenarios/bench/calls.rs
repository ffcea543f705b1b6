//! The calls about fasteners, through both drivers.

use baybook_proto::v1::{self as pb, look_up_head_mark_request::Asked, plan_tightening_request::Layout};

use crate::{
    driver::Answer,
    over_cli::{Flags, OverCli},
    over_grpc::OverGrpc,
};

/// What a bench asks about fasteners.
pub trait Bench {
    fn choose_wrench(&mut self, request: pb::ChooseWrenchRequest) -> Answer<pb::ChooseWrenchResponse>;
    fn turn_angle(&mut self, request: pb::TurnAngleRequest) -> Answer<pb::TurnAngleResponse>;
    fn plan_tightening(&mut self, request: pb::PlanTighteningRequest) -> Answer<pb::PlanTighteningResponse>;
    fn preload_scatter(&mut self, request: pb::PreloadScatterRequest) -> Answer<pb::PreloadScatterResponse>;
    fn look_up_mark(&mut self, request: pb::LookUpHeadMarkRequest) -> Answer<pb::LookUpHeadMarkResponse>;
    fn compare(&mut self, request: pb::CompareFastenersRequest) -> Answer<pb::CompareFastenersResponse>;
    fn repair_captive_nut(&mut self, request: pb::RepairCaptiveNutRequest) -> Answer<pb::RepairCaptiveNutResponse>;
}

impl Bench for OverGrpc<'_> {
    fn choose_wrench(&mut self, request: pb::ChooseWrenchRequest) -> Answer<pb::ChooseWrenchResponse> {
        self.wait(self.calculator().choose_wrench(request))
    }

    fn turn_angle(&mut self, request: pb::TurnAngleRequest) -> Answer<pb::TurnAngleResponse> {
        self.wait(self.calculator().turn_angle(request))
    }

    fn plan_tightening(&mut self, request: pb::PlanTighteningRequest) -> Answer<pb::PlanTighteningResponse> {
        self.wait(self.calculator().plan_tightening(request))
    }

    fn preload_scatter(&mut self, request: pb::PreloadScatterRequest) -> Answer<pb::PreloadScatterResponse> {
        self.wait(self.calculator().preload_scatter(request))
    }

    fn look_up_mark(&mut self, request: pb::LookUpHeadMarkRequest) -> Answer<pb::LookUpHeadMarkResponse> {
        self.wait(self.calculator().look_up_head_mark(request))
    }

    fn compare(&mut self, request: pb::CompareFastenersRequest) -> Answer<pb::CompareFastenersResponse> {
        self.wait(self.calculator().compare_fasteners(request))
    }

    fn repair_captive_nut(&mut self, request: pb::RepairCaptiveNutRequest) -> Answer<pb::RepairCaptiveNutResponse> {
        self.wait(self.calculator().repair_captive_nut(request))
    }
}

fn steps(steps: pb::TighteningSteps) -> Option<String> {
    let word = match steps {
        pb::TighteningSteps::Unspecified => return None,
        pb::TighteningSteps::Single => "single",
        pb::TighteningSteps::ThirtySeventyHundred => "30-70-100",
        pb::TighteningSteps::SeventyHundred => "70-100",
        pb::TighteningSteps::FiftyEightyHundred => "50-80-100",
    };
    Some(word.to_owned())
}

fn force(force: Option<pb::Force>) -> Option<String> {
    force.map(|force| force.printed)
}

fn percent(share: Option<f64>) -> Option<String> {
    share.map(|share| format!("{} %", share * 100.0))
}

impl Bench for OverCli {
    fn choose_wrench(&mut self, request: pb::ChooseWrenchRequest) -> Answer<pb::ChooseWrenchResponse> {
        let mut flags = Flags::default();
        flags.add("--steps", steps(request.steps()));
        flags.torque("--torque", request.torque);
        flags.add("--day", Some(request.day));
        flags.add("--accuracy", percent(request.accuracy_max_share));
        for wrench in request.wrenches {
            flags.wrench(Some(wrench));
        }
        flags.run("wrench", self)
    }

    fn turn_angle(&mut self, request: pb::TurnAngleRequest) -> Answer<pb::TurnAngleResponse> {
        use pb::turn_angle_request::Aim;
        let mut flags = Flags::default();
        flags.bolt(request.bolt);
        flags.add("--bolt-stiffness", request.bolt_n_per_mm.map(|rate| format!("{rate} N/mm")));
        flags.add("--parts-stiffness", request.parts_n_per_mm.map(|rate| format!("{rate} N/mm")));
        match request.aim {
            Some(Aim::Preload(preload)) => flags.add("--preload", Some(preload.printed)),
            Some(Aim::TurnDeg(turn)) => flags.add("--turn", Some(format!("{turn} deg"))),
            None => {}
        }
        flags.run("angle", self)
    }

    fn plan_tightening(&mut self, request: pb::PlanTighteningRequest) -> Answer<pb::PlanTighteningResponse> {
        let mut flags = Flags::default();
        flags.add("--steps", steps(request.steps()));
        match request.layout {
            Some(Layout::CircleCount(count)) => flags.add("--circle", Some(count.to_string())),
            Some(Layout::RowCount(count)) => flags.add("--row", Some(count.to_string())),
            Some(Layout::Grid(pb::BoltGrid { row_count: Some(rows), column_count: Some(columns) })) => {
                flags.add("--grid", Some(format!("{rows}x{columns}")));
            }
            Some(Layout::Spots(spots)) => {
                for spot in spots.spots {
                    let [x, y] = [spot.x_mm, spot.y_mm].map(Option::unwrap_or_default);
                    flags.add("--at", Some(format!("{x} mm,{y} mm")));
                }
            }
            Some(Layout::Grid(_)) | None => {}
        }
        flags.torque("--torque", request.torque);
        flags.add("--check-rounds", request.check_round_count.map(|count| count.to_string()));
        flags.run("tighten", self)
    }

    fn preload_scatter(&mut self, request: pb::PreloadScatterRequest) -> Answer<pb::PreloadScatterResponse> {
        let mut flags = Flags::default();
        flags.bolt(request.bolt);
        flags.finish("--condition", request.condition);
        flags.torque("--torque", request.torque);
        flags.add("--window", percent(request.window_share));
        flags.wrench(request.wrench);
        flags.add("--accuracy", percent(request.accuracy_share));
        flags.add("--deviations", request.deviations_count.map(|count| count.to_string()));
        flags.add("--relaxation", percent(request.relaxation_share));
        flags.add("--needed", force(request.needed));
        flags.add("--creep", force(request.creep));
        flags.run("scatter", self)
    }

    fn look_up_mark(&mut self, request: pb::LookUpHeadMarkRequest) -> Answer<pb::LookUpHeadMarkResponse> {
        let mut arguments = vec!["mark".to_owned()];
        match &request.asked {
            Some(Asked::MarkText(mark)) => arguments.push(mark.clone()),
            Some(Asked::LineCount(count)) => arguments.extend(["--lines".to_owned(), count.to_string()]),
            Some(Asked::PropertyClass(class)) => arguments.extend(["--class".to_owned(), class.clone()]),
            Some(Asked::Unmarked(true)) => arguments.push("--unmarked".to_owned()),
            other => panic!("no scenario asks by {other:?}"),
        }
        let word = |name: &str, prefix: &str| name.trim_start_matches(prefix).to_lowercase();
        let threads = word(request.threads().as_str_name(), "MARKED_THREADS_");
        let part = word(request.part().as_str_name(), "MARKED_PART_");
        arguments.extend(["--threads".to_owned(), threads, "--on".to_owned(), part]);
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        self.json(&arguments, "")
    }

    fn compare(&mut self, request: pb::CompareFastenersRequest) -> Answer<pb::CompareFastenersResponse> {
        let mut flags = Flags::default();
        let (specified, offered) = (request.specified.unwrap_or_default(), request.offered.unwrap_or_default());
        if let Some(pb::bolt_ref::Bolt::Name(name)) = specified.bolt.and_then(|bolt| bolt.bolt) {
            flags.add("--specified-bolt", Some(name));
        }
        if let Some(pb::nut_ref::Nut::Name(name)) = specified.nut.and_then(|nut| nut.nut) {
            flags.add("--specified-nut", Some(name));
        }
        flags.bolt(offered.bolt);
        flags.nut(offered.nut);
        flags.torque("--torque", request.specified_torque);
        flags.answer("--specified-locks", request.specified_locks);
        flags.answer("--electroplated", request.electroplated);
        flags.add("--grip", request.grip.map(|grip| grip.printed));
        flags.run("compare", self)
    }

    fn repair_captive_nut(&mut self, request: pb::RepairCaptiveNutRequest) -> Answer<pb::RepairCaptiveNutResponse> {
        let mut flags = Flags::default();
        flags.bolt(request.bolt);
        if let Some(pb::nut_ref::Nut::Name(name)) = request.new_nut.and_then(|nut| nut.nut) {
            flags.add("--new-nut", Some(name));
        }
        flags.torque("--torque", request.torque);
        flags.finish("--condition", request.condition);
        flags.add("--load", force(request.load));
        flags.add("--frame-material", (!request.frame_material.is_empty()).then_some(request.frame_material));
        flags.run("captive", self)
    }
}
