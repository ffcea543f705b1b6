//! Worked figures and laws. The formulas are recalled from UN Regulation 55; the figures are derived from them.

use proptest::prelude::*;

use super::*;
use crate::calc::printed::prints;

const D: &str = "UN Regulation 55, D, formula from memory, figure derived";
const V: &str = "UN Regulation 55, V, formula from memory, figure derived";

const fn t(tonnes: f64) -> Mass {
    Mass::from_t(tonnes)
}

fn up_to(allowed: Allowed) -> Mass {
    match allowed {
        Allowed::UpTo(mass) => mass,
        Allowed::NotLimiting => panic!("limits no trailer"),
    }
}

#[rustfmt::skip]
const D_VALUES: &[(f64, f64, &str)] = &[
    (3.5, 3.5,  "17.1675"),
    (3.2, 2.0,  "12.0738"),
    (2.5, 2.0,  "10.9000"),
    (2.0, 0.75,  "5.3509"),
    (3.0, 2.8,  "14.2076"),
];

#[rustfmt::skip]
const INVERSES: &[(f64, f64, &str)] = &[
    (17.0, 3.5, "3.4324"),
    (12.0, 3.2, "1.9802"),
    (20.0, 3.5, "4.8832"),
];

#[test]
fn d_values_are_the_printed_ones() {
    for (vehicle, trailer, kn) in D_VALUES {
        prints(D, kn, d_value(t(*vehicle), t(*trailer)).unwrap().kn());
    }
    prints(D, "15.1897", dc_value(t(3.2), t(3.0)).unwrap().kn());
}

#[test]
fn trailers_for_a_d_value_are_the_printed_ones() {
    for (kn, vehicle, tonnes) in INVERSES {
        prints(D, tonnes, up_to(trailer_for_d(Force::from_kn(*kn), t(*vehicle)).unwrap()).t());
    }
    assert_eq!(trailer_for_d(Force::from_kn(9.81 * 2.0), t(2.0)), Ok(Allowed::NotLimiting));
    assert_eq!(trailer_for_d(Force::from_kn(30.0), t(2.0)), Ok(Allowed::NotLimiting));
}

fn bed(suspension: Suspension, length_m: f64) -> VInput {
    VInput { suspension, bed_length: Length::from_m(length_m), drawbar_length: Length::from_m(5.0), axle_sum: t(3.0) }
}

#[test]
fn v_values_are_the_printed_ones() {
    prints(V, "10.3680", v_value(&bed(Suspension::Other, 6.0)).unwrap().kn());
    prints(V, "7.7760", v_value(&bed(Suspension::AirOrEquivalent, 6.0)).unwrap().kn());
    prints(V, "7.2000", v_value(&bed(Suspension::Other, 4.0)).unwrap().kn());
}

#[test]
fn the_fifth_wheel_d_is_the_printed_one() {
    let source = "D-value article, opened; figure derived";
    prints(source, "22.0725", fifth_wheel_d(t(7.5), t(6.0), t(1.5)).unwrap().kn());
}

#[test]
fn a_train_on_a_fifth_wheel_needs_that_d() {
    let train = CouplingInput {
        vehicle: t(7.5),
        trailer: t(6.0),
        tongue: t(1.5),
        drawbar: DrawbarKind::FifthWheel,
        v_value: None,
    };
    let values = coupling_values(&train).unwrap();
    prints("D-value article, opened; figure derived", "22.0725", values.d.unwrap().kn());
    assert_eq!((values.dc, values.v_applies, values.s), (None, false, t(1.5)));
}

#[test]
fn the_regulation_prints_its_own_acceleration() {
    // With the exact acceleration the first figure would print 17.1616.
    let exact = crate::units::G * 3.5 * 3.5 / 7.0;
    assert!((d_value(t(3.5), t(3.5)).unwrap().kn() - exact).abs() > 5e-3);
}

#[test]
fn a_train_needs_the_values_of_its_drawbar() {
    let input = CouplingInput {
        vehicle: t(3.5),
        trailer: t(3.6),
        tongue: Mass::from_kg(150.0),
        drawbar: DrawbarKind::CentreAxle,
        v_value: Some(Force::from_kn(12.0)),
    };
    let centre = coupling_values(&input).unwrap();
    assert_eq!(centre.dc, Some(dc_value(t(3.5), t(3.45)).unwrap()));
    assert_eq!((centre.d, centre.v, centre.v_applies), (None, input.v_value, true));
    let light = coupling_values(&CouplingInput { trailer: t(3.5), ..input }).unwrap();
    assert_eq!((light.v, light.v_applies), (None, false));
    let free = coupling_values(&CouplingInput { drawbar: DrawbarKind::Free, ..input }).unwrap();
    assert_eq!((free.d, free.dc), (Some(d_value(t(3.5), t(3.6)).unwrap()), None));
    assert!(coupling_values(&CouplingInput { tongue: t(3.6), ..input }).is_err());
}

proptest! {
    #[test]
    fn d_solves_for_the_trailer(vehicle in 0.5..20.0, trailer in 0.1..40.0) {
        let d = d_value(t(vehicle), t(trailer)).unwrap();
        prop_assert!((up_to(trailer_for_d(d, t(vehicle)).unwrap()).t() / trailer - 1.0).abs() < 1e-9);
        // The formula knows no front and rear: it solves for the vehicle too.
        prop_assert!((up_to(trailer_for_d(d, t(trailer)).unwrap()).t() / vehicle - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_fifth_wheel_solves_for_the_trailer(vehicle in 4.0..20.0, trailer in 4.0..40.0_f64, share in 0.05..0.4) {
        let imposed = trailer.min(vehicle) * share;
        let d = fifth_wheel_d(t(vehicle), t(trailer), t(imposed)).unwrap();
        let back = up_to(trailer_for_fifth_wheel_d(d, t(vehicle), t(imposed)).unwrap());
        prop_assert!((back.t() / trailer - 1.0).abs() < 1e-9);
    }

    #[test]
    fn v_solves_for_the_axle_sum(length in 1.0..12.0, sum in 0.5..30.0) {
        let input = VInput { axle_sum: t(sum), ..bed(Suspension::Other, length) };
        let back = axle_sum_for_v(v_value(&input).unwrap(), &input).unwrap();
        prop_assert!((back.t() / sum - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_heavier_train_never_needs_less(vehicle in 0.5..20.0, trailer in 0.1..30.0, more in 0.0..10.0) {
        let d = d_value(t(vehicle), t(trailer)).unwrap();
        prop_assert!(d <= d_value(t(vehicle + more), t(trailer)).unwrap());
        prop_assert!(d <= d_value(t(vehicle), t(trailer + more)).unwrap());
    }
}
