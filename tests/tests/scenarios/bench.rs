//! A bench: somebody with fasteners and wrenches in hand, before and after they go into the vehicle.

mod calls;

use baybook_proto::v1::{
    self as pb, look_up_head_mark_request::Asked, plan_tightening_request::Layout, turn_angle_request::Aim,
};

use crate::bay::{bolt, finish};
use calls::Bench;

fn torque(printed: &str) -> Option<pb::Torque> {
    Some(pb::Torque { value_n_m: None, printed: printed.to_owned() })
}

fn force(printed: &str) -> pb::Force {
    pb::Force { value_n: None, printed: printed.to_owned() }
}

fn nut(name: &str) -> Option<pb::NutRef> {
    Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(name.to_owned())) })
}

fn wrench(name: &str) -> pb::WrenchRef {
    pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name.to_owned())) }
}

/// Which wrench today, and which when the first step is as low as 30 %.
pub fn a_bench_takes_a_wrench(bench: &mut dyn Bench) {
    let today = pb::ChooseWrenchRequest {
        torque: torque("66 N·m"),
        day: "2026-11-26".to_owned(),
        ..pb::ChooseWrenchRequest::default()
    };
    let told = bench.choose_wrench(today.clone()).expect("the question is complete");
    let names: Vec<_> = told.wrenches.iter().map(|one| (one.name.as_str(), one.suits())).collect();
    assert_eq!(names[0], ("wrenches/click-200", pb::Suits::Yes));
    assert_eq!(
        told.wrenches.len(),
        usize::try_from(told.fit_count + told.unknown_count + told.unfit_count).expect("few")
    );
    for one in &told.wrenches {
        assert_eq!(one.reasons.is_empty(), one.suits() == pb::Suits::Yes, "each refused one says why: {one:?}");
    }
    let late = pb::ChooseWrenchRequest { day: "2026-12-02".to_owned(), ..today.clone() };
    let told = bench.choose_wrench(late).expect("a later day is a day");
    let dial = told.wrenches.iter().find(|one| one.name == "wrenches/dial-80").expect("it is in the book");
    assert!(dial.reasons.iter().any(|why| why.field == "calibration_due"), "its calibration ran out: {dial:?}");
    let stepped = pb::ChooseWrenchRequest {
        steps: pb::TighteningSteps::ThirtySeventyHundred.into(),
        wrenches: vec![wrench("wrenches/click-200"), wrench("wrenches/dial-80")],
        ..today.clone()
    };
    let told = bench.choose_wrench(stepped).expect("the question is complete");
    // 30 % of 66 N·m are under 40.
    assert_eq!((told.wrenches[0].name.as_str(), told.unfit_count), ("wrenches/dial-80", 1));
    let never = pb::ChooseWrenchRequest { day: "2026-02-30".to_owned(), torque: torque("66 kN"), ..today };
    let refused = bench.choose_wrench(never).expect_err("no such day, no such torque");
    assert_eq!(refused.exit, 2, "{}", refused.told);
}

/// A turn instead of a torque, and back.
pub fn a_bench_turns_by_angle(bench: &mut dyn Bench) {
    let asked = |aim| pb::TurnAngleRequest {
        bolt: bolt("bolts/m12-88-40"),
        bolt_n_per_mm: Some(666_400.0),
        parts_n_per_mm: Some(2_498_000.0),
        aim: Some(aim),
        structural: None,
    };
    let told = bench.turn_angle(asked(Aim::Preload(force("40 kN")))).expect("the question is complete");
    let turn = told.turn_deg.expect("there is a turn");
    // Derived: 40 kN on M12x1.75 with 666.4 and 2498 kN/mm.
    assert!((turn - 15.64).abs() < 0.005, "{turn}");
    let back = bench.turn_angle(asked(Aim::TurnDeg(turn))).expect("the question is complete");
    assert!((back.preload_n.expect("there is a preload") - 40_000.0).abs() < 1e-6);
    let refused = bench.turn_angle(asked(Aim::TurnDeg(90.0))).expect_err("the bolt yields long before");
    refused.expect(2, &["yields at"]);
}

/// The order of a plate as its bolts lie, and how the preload then scatters.
pub fn a_bench_plans_the_tightening(bench: &mut dyn Bench) {
    let spot = |x, y| pb::BoltSpot { x_mm: Some(x), y_mm: Some(y) };
    let spots = vec![spot(0.0, 0.0), spot(160.0, 0.0), spot(160.0, 60.0), spot(0.0, 60.0)];
    let asked = pb::PlanTighteningRequest {
        layout: Some(Layout::Spots(pb::BoltSpots { spots })),
        steps: pb::TighteningSteps::FiftyEightyHundred.into(),
        torque: torque("79 N·m"),
        check_round_count: Some(2),
        drawing: false,
    };
    let told = bench.plan_tightening(asked.clone()).expect("the question is complete");
    assert_eq!(told.order_position, [1, 3, 2, 4], "corners go crosswise");
    assert_eq!(told.tool_operation_count, Some(4 * 5));
    let steps: Vec<_> = told.passes.iter().filter_map(|pass| pass.of_full_share).collect();
    assert_eq!(steps, [0.5, 0.8, 1.0, 1.0, 1.0]);
    let many = pb::PlanTighteningRequest { layout: Some(Layout::RowCount(65)), ..asked };
    bench.plan_tightening(many).expect_err("nobody tightens 65 in a row").expect(2, &["1 to 64"]);

    let scatter = pb::PreloadScatterRequest {
        bolt: bolt("bolts/m12-88-40"),
        condition: finish("finishes/oiled"),
        torque: torque("60 N·m"),
        window_share: Some(0.1),
        wrench: Some(wrench("wrenches/click-200")),
        deviations_count: Some(3.0),
        relaxation_share: Some(0.05),
        needed: Some(force("25 kN")),
        ..pb::PreloadScatterRequest::default()
    };
    let told = bench.preload_scatter(scatter.clone()).expect("the question is complete");
    let (band, worst) = (told.band.expect("a band"), told.worst.expect("the worst"));
    assert!(worst.min_n < band.min_n && band.min_n < told.preload_n && told.preload_n < band.max_n);
    assert!(told.under_needed_share.is_some_and(|chance| 0.0 < chance && chance < 0.5));
    let ids: Vec<_> = told.cautions.iter().map(|one| one.id.as_str()).collect();
    assert!(!ids.contains(&"window-unknown") && !ids.contains(&"accuracy-unknown"), "both are taken in: {ids:?}");
    let crept = pb::PreloadScatterRequest { creep: Some(force("1 kN")), ..scatter };
    let less = bench.preload_scatter(crept).expect("the question is complete").limit_relaxed_n;
    assert!((told.limit_relaxed_n.expect("a limit") - less.expect("a limit") - 1000.0).abs() < 1e-6);
}

/// What the mark on a head says, whether the bolt may stand in, and what to do with a spun captive nut.
pub fn a_bench_looks_at_what_is_at_hand(bench: &mut dyn Bench) {
    let mark = |asked| pb::LookUpHeadMarkRequest {
        threads: pb::MarkedThreads::Inch.into(),
        part: pb::MarkedPart::Bolt.into(),
        asked: Some(asked),
        thread: String::new(),
    };
    let six = bench.look_up_mark(mark(Asked::LineCount(6))).expect("six lines are a grade");
    assert_eq!(six.property_class, "SAE 8");
    bench.look_up_mark(mark(Asked::LineCount(4))).expect_err("four are none").expect(2, &["4"]);

    let set = |name: &str| Some(pb::FastenerSet { bolt: bolt(name), nut: nut("nuts/m12-8"), washer: None });
    let asked = |specified: &str, offered: &str| pb::CompareFastenersRequest {
        specified: set(specified),
        offered: set(offered),
        grip: Some(pb::Length { value_mm: None, printed: "20 mm".to_owned() }),
        specified_torque: torque("79 N·m"),
        specified_locks: Some(false),
        electroplated: Some(false),
        ..pb::CompareFastenersRequest::default()
    };
    let better = bench.compare(asked("bolts/m12-88-40", "bolts/m12-109-40")).expect("the question is complete");
    assert_eq!(better.verdict(), pb::FastenerVerdict::BetterKeepTorque);
    assert_eq!(better.keep_n_m, Some(79.0), "a stronger bolt keeps the torque");
    let worse = bench.compare(asked("bolts/m12-109-40", "bolts/m12-88-40")).expect("the question is complete");
    assert_eq!((worse.verdict(), worse.keep_n_m), (pb::FastenerVerdict::WorseRefuse, None));

    let spun = pb::RepairCaptiveNutRequest {
        bolt: bolt("bolts/m12-88-90"),
        new_nut: nut("nuts/m12-8"),
        torque: torque("79 N·m"),
        condition: finish("finishes/zinc-dry"),
        load: Some(force("12 kN")),
        frame_material: "s355".to_owned(),
        ..pb::RepairCaptiveNutRequest::default()
    };
    let repairs = bench.repair_captive_nut(spun).expect("the question is complete").repairs;
    assert_eq!(repairs[0].id, "through-bolt", "the preferred repair comes first");
    assert!(repairs.iter().all(|one| !one.demands.is_empty()), "each must be shown to hold something");
}
