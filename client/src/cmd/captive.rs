//! `baybook captive`: a captive nut spins in the frame: what can be done, and what each way must be shown to hold.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::YesNo,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::Page,
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook captive --book deploy/demo/book --bolt bolts/m12-88-90 --new-nut nuts/m12-8 \\
    --washer washers/m12-300 --torque '79 N·m' --condition finishes/zinc-dry --load '12 kN' \\
    --frame-material s355 --reachable yes
  baybook captive --book deploy/demo/book --bolt bolts/m12-88-40 --new-nut nuts/m12-8 \\
    --torque '58 lb-ft' --condition K=0.16/0.18/0.20 --load '2,700 lbf' \\
    --insert-pull-out '9,000 lbf' --insert-torque-out '90 lb-ft' --units us";

const FLAGS: Flags = Flags(&[
    ("bolt", "--bolt"),
    ("new_nut", "--new-nut"),
    ("washer", "--washer"),
    ("torque", "--torque"),
    ("condition", "--condition"),
    ("load", "--load"),
    ("frame_material", "--frame-material"),
    ("tapped_thickness_mm", "--tapped-thickness"),
    ("tapped_tensile_mpa", "--tapped-tensile-mpa"),
    ("insert_pull_out", "--insert-pull-out"),
    ("insert_torque_out", "--insert-torque-out"),
]);

const USAGE: &str = "\
baybook captive [OPTIONS] --bolt <NAME> --new-nut <NAME> --torque <TORQUE>
           --condition <FINISH> --load <FORCE>";

/// List the ways to repair a captive nut that spins, and what each must be shown to hold
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, override_usage = USAGE)]
pub struct CaptiveArgs {
    /// The bolt, by its entry: bolts/m12-88-90
    #[arg(long, value_name = "NAME")]
    bolt: String,

    /// The nut that would be fitted instead, by its entry: nuts/m12-8
    #[arg(long, value_name = "NAME")]
    new_nut: String,

    /// The washer that would bear on the frame, by its entry: washers/m12-300
    #[arg(long, value_name = "NAME")]
    washer: Option<String>,

    /// The torque at which the bolt is tightened: "79 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    torque: pb::Torque,

    /// The condition it is tightened in: finishes/zinc-dry, or nut factors, K=0.16/0.18/0.20
    #[arg(long, value_name = "FINISH", value_parser = read::finish)]
    condition: pb::FinishRef,

    /// The outside load that the place must hold: "12 kN", "2,700 lbf"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    load: pb::Force,

    /// What the frame is made of, as in the table of limiting pressures: s235, s355, 6082-f31
    #[arg(long, value_name = "MATERIAL")]
    frame_material: Option<String>,

    /// Thickness of what is left to tap: "8 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    tapped_thickness: Option<f64>,

    /// Its least tensile strength, in MPa
    #[arg(long, value_name = "MPA")]
    tapped_tensile_mpa: Option<f64>,

    /// What a blind insert was shown to hold before it pulls out: "30 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    insert_pull_out: Option<pb::Force>,

    /// What torque a blind insert was shown to bear before it spins: "120 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    insert_torque_out: Option<pb::Torque>,

    /// Whether the vehicle comes under the rules for commercial frames; unsaid counts as yes
    #[arg(long, value_name = "ANSWER")]
    commercial_frame: Option<YesNo>,

    /// Whether the place is a top or bottom flange of a frame rail; unsaid counts as yes
    #[arg(long, value_name = "ANSWER")]
    rail_flange: Option<YesNo>,

    /// Whether the rail is hollow there; unsaid counts as yes
    #[arg(long, value_name = "ANSWER")]
    hollow: Option<YesNo>,

    /// Whether the far side can be reached
    #[arg(long, value_name = "ANSWER")]
    reachable: Option<YesNo>,
}

impl CaptiveArgs {
    fn request(self) -> pb::RepairCaptiveNutRequest {
        pb::RepairCaptiveNutRequest {
            bolt: Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(self.bolt)) }),
            new_nut: Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(self.new_nut)) }),
            washer: self.washer.map(|name| pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(name)) }),
            torque: Some(self.torque),
            condition: Some(self.condition),
            load: Some(self.load),
            frame_material: self.frame_material.unwrap_or_default(),
            tapped_thickness_mm: self.tapped_thickness,
            tapped_tensile_mpa: self.tapped_tensile_mpa,
            insert_pull_out: self.insert_pull_out,
            insert_torque_out: self.insert_torque_out,
            commercial_frame: self.commercial_frame.map(bool::from),
            rail_flange: self.rail_flange.map(bool::from),
            hollow: self.hollow.map(bool::from),
            reachable: self.reachable.map(bool::from),
        }
    }
}

pub async fn run(args: CaptiveArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request());
    let reply = context.calculator().await?.repair_captive_nut(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

const fn word(state: pb::ShownState) -> (&'static str, Mark) {
    match state {
        pb::ShownState::Shown => ("SHOWN", Mark::Good),
        pb::ShownState::Fails => ("FAILS", Mark::Bad),
        pb::ShownState::Open | pb::ShownState::Unspecified => ("OPEN", Mark::Mind),
    }
}

fn draw(reply: &pb::RepairCaptiveNutResponse, page: &mut Page) {
    let units = page.units();
    if let Some(preload) = reply.preload_max_n {
        let preload = units.say(Kind::Force, preload);
        page.line(Cell::marked("greatest preload", Mark::Strong), &format!("{preload}, at the lowest friction"));
    }
    for (place, repair) in (1..).zip(&reply.repairs) {
        let (state, mark) = word(repair.state());
        page.line(Cell::marked(state, mark), &format!("{place}. {} ({})", repair.text, repair.id));
        let demands = repair.demands.iter().map(|demand| {
            let figures = match (demand.demand_in_unit, demand.there_in_unit) {
                (Some(asked), Some(there)) => {
                    let say = |value: f64| match demand.unit.as_str() {
                        "N" => units.say(Kind::Force, value),
                        "MPa" => units.say(Kind::Stress, value),
                        "N·m" => units.say(Kind::Torque, value),
                        unit => format!("{value:.1} {unit}"),
                    };
                    format!(": asked {}, there {}", say(asked), say(there))
                }
                _ => String::new(),
            };
            (word(demand.state()).0, format!("{}{figures}", demand.text))
        });
        page.notes("  must be shown", demands);
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
