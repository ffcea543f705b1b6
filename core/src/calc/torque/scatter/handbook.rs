//! Printed tightening factors, preload limits and combined scatter.

use super::*;
use crate::calc::torque::handbook::Printed;

/// Derived: the identity at the ends of the printed ranges.
#[test]
fn tightening_factors_follow_the_identity() {
    #[rustfmt::skip]
    let rows = [
        (0.05, "1.105"), (0.09, "1.198"), (0.12, "1.273"), (0.17, "1.410"), (0.23, "1.597"),
        (0.25, "1.667"), (0.28, "1.778"), (0.35, "2.077"), (0.43, "2.509"), (0.60, "4.000"),
    ];
    for (share, printed) in rows {
        let factor = tightening_factor(share).unwrap();
        Printed(printed).is("derived from VDI 2230:2001, tightening factor", factor);
        assert!((share_of_factor(factor) - share).abs() < 1e-12);
    }
}

#[test]
fn a_printed_example_of_the_least_preload() {
    let source = "supplier's example after VDI 2230, opened: M12x40, 8.8, friction 0.14, 41.9 kN, factor 1.8";
    Printed("23.3").is(source, 41.9 / tightening_factor(share_of_factor(1.8)).unwrap());
}

/// Derived from NASA-STD-5020B (from memory): 80 N·m ± 5 %, K 0.18, 12 mm, variation 0.25.
#[test]
fn preload_limits_of_a_worked_case() {
    let critical = LimitsInput {
        torque: Torque::from_n_m(80.0),
        nut_factor: 0.18,
        diameter: Length::from_mm(12.0),
        control_min: 0.95,
        control_max: 1.05,
        variation: 0.25,
        fasteners: None,
        relaxation: 0.05,
        creep: Force::ZERO,
        thermal_gain: Force::ZERO,
        thermal_loss: Force::ZERO,
    };
    let source = "derived from NASA-STD-5020B";
    let limits = preload_limits(&critical).unwrap();
    Printed("37.04").is(source, limits.nominal.kn());
    Printed("48.61").is(source, limits.max.kn());
    Printed("26.39").is(source, limits.min.kn());
    Printed("25.07").is(source, limits.min_relaxed.kn());
    let shared = preload_limits(&LimitsInput { fasteners: Some(4), ..critical }).unwrap();
    Printed("30.79").is(source, shared.min.kn());
    Printed("29.25").is(source, shared.min_relaxed.kn());
    // Heat adds to the greatest, creep and heat take off the least: 48.61 + 1.2 and 25.07 − 0.4 − 0.9.
    let [creep, thermal_gain, thermal_loss] = [0.4, 1.2, 0.9].map(Force::from_kn);
    let heated = preload_limits(&LimitsInput { creep, thermal_gain, thermal_loss, ..critical }).unwrap();
    Printed("49.81").is(source, heated.max.kn());
    Printed("23.77").is(source, heated.min_relaxed.kn());
    let lost = LimitsInput { creep: Force::from_kn(90.0), ..critical };
    assert_eq!(preload_limits(&lost).unwrap().min_relaxed, Force::ZERO);
}

#[test]
fn independent_shares_combine() {
    for (shares, printed) in [([0.04, 0.25], "0.2532"), ([0.06, 0.30], "0.3059"), ([0.20, 0.25], "0.3202")] {
        Printed(printed).is("derived: root of the sum of squares", combined(&shares));
    }
    let (below, above) = worst(0.20, 0.25).unwrap();
    Printed("-36").is("derived: ends multiplied, percent", below * 100.0);
    Printed("60").is("derived: ends multiplied, percent", above * 100.0);
}
