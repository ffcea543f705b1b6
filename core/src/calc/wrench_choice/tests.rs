use proptest::prelude::*;

use super::*;

fn n_m(value: f64) -> Torque {
    Torque::from_n_m(value)
}

fn day(text: &str) -> Day {
    Day::read(text).unwrap()
}

fn wrench(scale: [f64; 2], accuracy: f64, due: &str) -> Wrench {
    Wrench {
        name: String::new(),
        label: "a wrench".to_owned(),
        scale_min: Some(n_m(scale[0])),
        scale_max: Some(n_m(scale[1])),
        accuracy_share: Some(accuracy),
        lever: Some(Length::from_mm(400.0)),
        calibration_due: Some(day(due)),
    }
}

fn job(torque: f64) -> Job {
    Job { torque: n_m(torque), passes: None, crowfoot: None, day: day("2026-11-26"), accuracy_max: None }
}

fn objections(job: &Job, wrench: &Wrench) -> Vec<Objection> {
    weigh(job, wrench, 0).unwrap().objections
}

/// Common practice: a scale of 20 to 200 N·m is good from 40, one of 60 to 200 from 60.
#[test]
fn a_scale_is_good_from_a_fifth_or_from_where_it_begins() {
    let long = wrench([20.0, 200.0], 0.04, "2027-01-01");
    assert_eq!(objections(&job(19.9), &long), [Objection::BelowScale { least: n_m(20.0) }]);
    assert_eq!(objections(&job(39.9), &long), [Objection::LowOnScale { least: n_m(40.0) }]);
    assert!(objections(&job(40.0), &long).is_empty() && objections(&job(200.0), &long).is_empty());
    assert_eq!(objections(&job(200.1), &long), [Objection::AboveScale { most: n_m(200.0) }]);
    let late = wrench([60.0, 200.0], 0.04, "2027-01-01");
    assert_eq!(objections(&job(59.9), &late), [Objection::BelowScale { least: n_m(60.0) }]);
    assert!(objections(&job(60.0), &late).is_empty());
}

#[test]
fn calibration_holds_to_its_last_day() {
    let due = |due: &str| objections(&job(80.0), &wrench([20.0, 200.0], 0.04, due));
    assert!(due("2026-11-26").is_empty() && due("2027-11-25").is_empty());
    assert_eq!(due("2026-11-25"), [Objection::CalibrationPast { due: day("2026-11-25") }]);
}

#[test]
fn the_first_step_has_to_be_on_the_scale_too() {
    let stepped = Job { passes: Some(PassPlan::ThirtySeventyHundred), ..job(100.0) };
    let weighed = weigh(&stepped, &wrench([20.0, 160.0], 0.04, "2027-01-01"), 0).unwrap();
    assert_eq!(weighed.objections, [Objection::FirstStepLow { setting: n_m(30.0), least: n_m(32.0) }]);
    assert!(objections(&stepped, &wrench([20.0, 150.0], 0.04, "2027-01-01")).is_empty());
    // Under 41 N·m the army's two steps are one.
    let small = Job { passes: Some(PassPlan::SeventyHundred), ..job(40.0) };
    assert_eq!(weigh(&small, &wrench([8.0, 80.0], 0.06, "2027-01-01"), 0).unwrap().first_setting, None);
}

/// Derived: 80 N·m on a 400 mm wrench with a 50 mm crowfoot is a setting of 71.11 N·m.
#[test]
fn a_crowfoot_lowers_what_is_set_and_needs_a_lever() {
    let crowfoot = Crowfoot { lever: None, extension: Length::from_mm(50.0), angle: Angle::ZERO };
    let with = Job { crowfoot: Some(crowfoot), ..job(80.0) };
    let mut one = wrench([20.0, 75.0], 0.04, "2027-01-01");
    let weighed = weigh(&with, &one, 0).unwrap();
    crate::calc::printed::prints("derived: adapter", "71.11", weighed.setting.unwrap().n_m());
    assert_eq!(weighed.fitness, Fitness::Fit);
    assert_eq!(objections(&job(80.0), &one), [Objection::AboveScale { most: n_m(75.0) }]);
    one.lever = None;
    assert_eq!(objections(&with, &one), [Objection::LeverUnknown]);
    let back = Crowfoot { lever: None, extension: Length::from_mm(390.0), angle: Angle::from_deg(180.0) };
    one.lever = Some(Length::from_mm(400.0));
    assert_eq!(objections(&Job { crowfoot: Some(back), ..job(80.0) }, &one), [Objection::NoLeverLeft]);
}

#[test]
fn what_is_not_known_is_never_fit() {
    let whole = wrench([20.0, 200.0], 0.04, "2027-01-01");
    let lacking = [
        Wrench { scale_min: None, ..whole.clone() },
        Wrench { scale_max: None, ..whole.clone() },
        Wrench { accuracy_share: None, ..whole.clone() },
        Wrench { calibration_due: None, ..whole.clone() },
    ];
    for (one, field) in lacking.iter().zip(["scale_min", "scale_max", "accuracy_share", "calibration_due"]) {
        let weighed = weigh(&job(80.0), one, 0).unwrap();
        assert_eq!(weighed.fitness, Fitness::Unknown, "{field}");
        assert_eq!(weighed.objections.iter().map(Objection::field).collect::<Vec<_>>(), [field]);
    }
    // Something known speaks against it: that it is not known until when it is calibrated changes nothing.
    let both = Wrench { calibration_due: None, ..whole };
    assert_eq!(weigh(&job(300.0), &both, 0).unwrap().fitness, Fitness::Unfit);
}

#[test]
fn the_most_accurate_comes_first_and_then_the_smallest_that_reaches() {
    let wrenches = [
        wrench([60.0, 340.0], 0.04, "2027-01-15"),
        wrench([40.0, 200.0], 0.04, "2027-03-31"),
        wrench([8.0, 100.0], 0.06, "2026-12-01"),
        wrench([40.0, 200.0], 0.03, "2026-11-01"),
        Wrench { accuracy_share: None, ..wrench([40.0, 200.0], 0.04, "2027-03-31") },
    ];
    let order = |job: &Job| choose(job, &wrenches).unwrap().iter().map(|one| one.index).collect::<Vec<_>>();
    assert_eq!(order(&job(80.0)), [1, 0, 2, 4, 3]);
    let strict = Job { accuracy_max: Some(0.04), ..job(80.0) };
    let ranked = choose(&strict, &wrenches).unwrap();
    assert_eq!(ranked.iter().filter(|one| one.fitness == Fitness::Fit).count(), 2);
    let loose = ranked.iter().find(|one| one.index == 2).unwrap();
    assert_eq!(loose.objections, [Objection::TooInaccurate { share: 0.06, most: 0.04 }]);
    assert_eq!(basis(&strict).len(), 3);
    assert_eq!(weigh(&Job { torque: n_m(f64::NAN), ..strict }, &wrenches[0], 0).unwrap_err().field(), "torque_n_m");
}

proptest! {
    /// The choice against its three conditions, written out on their own.
    #[test]
    fn fit_is_what_all_conditions_hold_for(
        torque in 1.0..400.0_f64, least in 1.0..100.0_f64, more in 1.0..400.0_f64, off in 0.01..0.1_f64,
        late in 0_u8..28, most in 0.01..0.1_f64,
    ) {
        let due = format!("2026-11-{:02}", late + 1);
        let one = wrench([least, least + more], off, &due);
        let job = Job { accuracy_max: Some(most), ..job(torque) };
        let holds = [torque >= least, torque >= (least + more) / 5.0, torque <= least + more, late >= 25, off <= most];
        let weighed = weigh(&job, &one, 0).unwrap();
        prop_assert_eq!(weighed.fitness == Fitness::Fit, holds.iter().all(|holds| *holds), "{:?}", weighed);
        prop_assert!(weighed.objections.iter().all(|objection| !objection.is_unknown()));
    }

    /// A tighter demand never makes an unfit wrench fit.
    #[test]
    fn a_tighter_demand_never_helps(torque in 5.0..300.0_f64, off in 0.01..0.1_f64, most in 0.01..0.1_f64, cut in 0.1..1.0_f64) {
        let one = wrench([10.0, 200.0], off, "2027-01-01");
        let at = |most: f64| weigh(&Job { accuracy_max: Some(most), ..job(torque) }, &one, 0).unwrap().fitness;
        prop_assert!(at(most) <= at(most * cut));
    }
}
