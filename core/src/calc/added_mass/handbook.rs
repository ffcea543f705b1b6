//! Printed thresholds and laws.

use proptest::prelude::*;

use super::*;
use crate::calc::printed::prints;

const RULE: &str = "FMVSS 110 and 120, 72 FR 68442, rule opened; figure derived";

#[test]
fn thresholds_are_the_printed_ones() {
    let lb = |gvwr: f64| label_threshold(Mass::from_lb(gvwr)).unwrap().limit.lb();
    prints(RULE, "75", lb(5000.0));
    prints(RULE, "90", lb(6000.0));
    prints(RULE, "100", lb(6667.0));
    prints(RULE, "100", lb(20_000.0));
    let kg = |gvwr: f64| label_threshold(Mass::from_kg(gvwr)).unwrap().limit.kg();
    prints(RULE, "37.5", kg(2500.0));
    prints(RULE, "45.0", kg(3000.0));
    prints(RULE, "45.359237", kg(3023.95));
    prints(RULE, "45.4", kg(3200.0));
    // Where the two cross, with the exact pound and with the rounded 45.4 kg.
    prints(RULE, "3023.95", FIXED.kg() / SHARE);
    prints(RULE, "3026.67", 45.4 / SHARE);
}

#[test]
fn the_van_needs_a_label_with_steps_and_none_without() {
    let (gvwr, receiver_and_wiring) = (Mass::from_kg(3200.0), Mass::from_kg(38.0 + 2.5));
    assert_eq!(label_due(gvwr, receiver_and_wiring, Mass::ZERO), Ok(false));
    assert_eq!(label_due(gvwr, receiver_and_wiring + Mass::from_kg(18.0), Mass::ZERO), Ok(true));
    // Net of a bumper beam that came off.
    assert_eq!(label_due(gvwr, Mass::from_kg(58.5), Mass::from_kg(14.0)), Ok(false));
}

#[test]
fn the_limit_itself_needs_none() {
    assert_eq!(label_due(Mass::from_lb(6000.0), Mass::from_lb(90.0), Mass::ZERO), Ok(false));
    assert_eq!(label_due(Mass::from_lb(10_000.0), Mass::from_lb(100.0), Mass::ZERO), Ok(false));
    assert_eq!(label_due(Mass::from_lb(10_000.0), Mass::from_lb(100.01), Mass::ZERO), Ok(true));
}

proptest! {
    #[test]
    fn the_threshold_is_the_lesser_and_never_falls(gvwr in GVWR.min..50_000.0, more in 0.0..5000.0) {
        let of = |kg: f64| label_threshold(Mass::from_kg(kg)).unwrap();
        let limit = of(gvwr).limit;
        prop_assert!(limit.kg() <= gvwr * SHARE + 1e-12 && limit <= FIXED && limit <= of(gvwr + more).limit);
    }

    #[test]
    fn more_added_mass_never_takes_a_label_away(gvwr in 1000.0..10_000.0, added in 0.0..100.0, more in 0.0..100.0) {
        let due = |kg: f64| label_due(Mass::from_kg(gvwr), Mass::from_kg(kg), Mass::ZERO).unwrap();
        prop_assert!(!due(added) || due(added + more));
    }
}
