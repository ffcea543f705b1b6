//! Printed tightening orders and passes.

use super::*;
use crate::calc::printed::{prints, says};

#[rustfmt::skip]
const CIRCLES: &[(&str, &[usize])] = &[
    ("ASME PCC-1, from memory, 4 bolts", &[1, 3, 2, 4]),
    ("ASME PCC-1, from memory, 8 bolts", &[1, 5, 3, 7, 2, 6, 4, 8]),
    ("ASME PCC-1, from memory, 12 bolts", &[1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12]),
    ("ASME PCC-1, from memory, 16 bolts", &[1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16]),
    ("common practice, no source, 5 bolts", &[1, 3, 5, 2, 4]),
];

#[rustfmt::skip]
const ROWS: &[(&str, &[usize])] = &[
    ("US Army TM 5-3800-205-23-1, rule opened; numbering derived, row of 5", &[3, 2, 4, 1, 5]),
    ("US Army TM 5-3800-205-23-1, rule opened; numbering derived, row of 9", &[5, 4, 6, 3, 7, 2, 8, 1, 9]),
];

#[test]
fn orders_on_a_circle_are_the_printed_ones() {
    for (source, printed) in CIRCLES {
        says(source, &printed.to_vec(), &tightening_order(Pattern::Circle { bolts: printed.len() }).unwrap());
    }
}

#[test]
fn orders_in_a_row_are_the_printed_ones() {
    for (source, printed) in ROWS {
        says(source, &printed.to_vec(), &tightening_order(Pattern::Row { bolts: printed.len() }).unwrap());
    }
}

/// Returns the least distance around the circle between bolts that follow each other.
fn least_step(bolts: usize) -> usize {
    let order = tightening_order(Pattern::Circle { bolts }).unwrap();
    order.windows(2).map(|pair| pair[0].abs_diff(pair[1])).map(|step| step.min(bolts - step)).min().unwrap()
}

#[test]
fn bolts_that_follow_each_other_are_a_quarter_apart() {
    // Holds for the printed orders of 4, 8 and 12; the printed order of 16 steps from 15 to 2, so it is no law.
    for bolts in [4, 8, 12] {
        assert!(bolts / 4 <= least_step(bolts), "{bolts}");
    }
    assert_eq!(least_step(16), 3);
}

#[test]
fn passes_are_the_printed_ones() {
    let steps = |torque: f64, plan| {
        let passes = Passes::split(Torque::from_n_m(torque), plan);
        (passes.steps().iter().map(|step| step.n_m().round()).collect::<Vec<_>>(), passes.check_round)
    };
    // Common practice, no source.
    assert_eq!(steps(100.0, PassPlan::ThirtySeventyHundred), (vec![30.0, 70.0, 100.0], true));
    // Two passes above 41 N·m.
    let first = Passes::split(Torque::from_n_m(100.0), PassPlan::SeventyHundred);
    prints("US Army TM 5-3800-205-23-1, first pass in percent, opened", "70", first.steps().first().unwrap().n_m());
    assert_eq!(steps(90.0, PassPlan::SeventyHundred), (vec![63.0, 90.0], false));
    assert_eq!(steps(40.0, PassPlan::SeventyHundred), (vec![40.0], false));
}

#[test]
fn tool_operations_are_counted_with_the_check_round() {
    // Derived: 8 bolts, three passes and one check round.
    let passes = Passes::split(Torque::from_n_m(100.0), PassPlan::ThirtySeventyHundred);
    assert_eq!(passes.operations(8), 32);
}
