//! Printed examples of wrench settings with an adapter.

use super::*;
use crate::{calc::printed::prints, units::N_M_PER_LB_FT};

/// A printed example; torques are in whatever unit the book uses, which cancels.
struct Row {
    source: &'static str,
    lever_mm: f64,
    extension_mm: f64,
    wanted: f64,
    set: &'static str,
}

const IN: f64 = 25.4;

#[rustfmt::skip]
const PRINTED: &[Row] = &[
    Row { source: "US Army TM 9-2350-261-20-1, p. 2-29, opened, lbf ft", lever_mm: 12.0 * IN, extension_mm: 4.0 * IN, wanted: 40.0, set: "30" },
    Row { source: "a wrench maker's note, opened, lbf ft", lever_mm: 12.0 * IN, extension_mm: 6.0 * IN, wanted: 30.0, set: "20" },
    Row { source: "a loader's service manual, opened, lbf ft", lever_mm: 12.0 * IN, extension_mm: 12.0 * IN, wanted: 300.0, set: "150" },
    // The manual prints 16.5 for 16.47: rounded to one decimal, so half of it is the tolerance.
    Row { source: "a motorcycle's service manual, opened, lbf ft", lever_mm: 14.0 * IN, extension_mm: 3.0 * IN, wanted: 20.0, set: "16.5" },
];

/// The book gives the inputs only; the setting follows from the formula.
#[rustfmt::skip]
const DERIVED: &[Row] = &[
    Row { source: "Navy aviation training course 14315, fig. 3-45, inputs opened, figure derived; lbf in", lever_mm: 12.0 * IN, extension_mm: 6.0 * IN, wanted: 100.0, set: "66.7" },
    Row { source: "derived, N·m", lever_mm: 400.0, extension_mm: 50.0, wanted: 80.0, set: "71.11" },
];

fn check(rows: &[Row]) {
    for Row { source, lever_mm, extension_mm, wanted, set } in rows {
        let adapter = Adapter {
            lever: Length::from_mm(*lever_mm),
            extension: Length::from_mm(*extension_mm),
            angle: Angle::ZERO,
        };
        let got = adapter.setting_for(Torque::from_n_m(*wanted)).unwrap().n_m();
        prints(source, set, got);
    }
}

#[test]
fn settings_round_to_the_printed_ones() {
    check(PRINTED);
}

#[test]
fn settings_of_derived_rows_hold() {
    check(DERIVED);
}

#[test]
fn four_percent_of_a_hundred_pound_feet() {
    // A calibration laboratory's article prints 96 to 104 for 100 lb-ft at ±4 %.
    let wanted = Torque::from_lb_ft(100.0);
    let deviation = permissible_deviation(wanted);
    let source = "a calibration laboratory's article, 4 % of 100 lbf ft, opened";
    prints(source, "96", (wanted * (1.0 - deviation)).lb_ft());
    prints(source, "104", (wanted * (1.0 + deviation)).lb_ft());
    assert_eq!(permissible_deviation(Torque::from_n_m(10.0)), 0.06);
    assert!(wanted.n_m() > 100.0 * (N_M_PER_LB_FT - 1e-9));
}
