//! Printed figures of locking nuts.

use super::*;
use crate::{
    calc::{
        condition::{Condition, Face, Screw},
        torque::handbook::Printed,
    },
    model::finish::Band,
};

/// The manual's own newton-metre column for all-metal nuts. For 5/8 in it prints 4.0 where 34 lbf in is 3.84: left out.
#[test]
fn both_columns_of_the_table_agree() {
    let newton_metres = ["0.45", "0.56", "1.4", "1.7", "2.3", "3.1", "", "5.8"];
    for (row, printed) in REUSE.iter().zip(newton_metres).filter(|(_, printed)| !printed.is_empty()) {
        let got = Torque::from_lb_in(row.all_metal_lb_in).n_m();
        // 5 lbf in is 0.5649 N·m and printed as 0.56, 27 is 3.05 and printed as 3.1: half a digit holds both.
        Printed(printed).is(&format!("{}, opened", REUSE_SOURCE.title), got);
    }
}

#[test]
fn nuts_below_the_least_are_replaced() {
    let half = Thread::read("1/2-13").unwrap();
    for (lock, measured, again) in [
        (Lock::Insert, 16.0, true),
        (Lock::Insert, 15.0, true),
        (Lock::Insert, 14.0, false),
        (Lock::AllMetal, 18.0, false),
    ] {
        let measured = Torque::from_lb_in(measured);
        assert_eq!(may_be_used_again(&half, lock, measured), Ok(again), "{}, {lock:?}", REUSE_SOURCE.title);
    }
    assert!(least_for_reuse(&Thread::read("M12").unwrap(), Lock::AllMetal).is_err());
}

#[test]
fn limits_fall_with_use_and_rise_with_size() {
    for row in LIMITS {
        assert!(row.fifth_off_min < row.first_off_min && row.first_off_min < row.first_on_max);
    }
    assert!(LIMITS.is_sorted_by(|a, b| a.diameter_mm < b.diameter_mm && a.first_on_max < b.first_on_max));
}

/// Derived: M12, K 0.18.
#[test]
fn prevailing_torque_makes_no_preload() {
    let thread = Thread::read("M12").unwrap();
    let screw = Screw::new(&thread, Face::Tabled, None).unwrap();
    let arm = screw.arms(&Condition::NutFactor(Band::exactly(0.18))).unwrap().nominal;
    let (total, prevailing) = (Torque::from_n_m(92.0), Torque::from_n_m(4.0));
    let clamp = clamping(total, prevailing).unwrap();
    Printed("88").is("derived", clamp.n_m());
    Printed("40.74").is("derived", arm.preload(clamp).kn());
    Printed("42.59").is("derived, prevailing torque ignored", arm.preload(total).kn());
    assert!(clamping(prevailing, prevailing).is_err());
}
