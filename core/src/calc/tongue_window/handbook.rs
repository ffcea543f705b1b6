//! Printed windows, and laws of putting them together.

use proptest::prelude::*;

use super::*;
use crate::calc::printed::prints;

const NOBODY: WindowInput<'_> = WindowInput {
    regime: Some(Regime::BallNorthAmerica),
    trailer: Mass::from_kg(2000.0),
    trailer_prints: (None, None),
    vehicle_prints: (None, None),
    at_least: &[],
    at_most: &[],
};

fn ends(input: &WindowInput<'_>) -> (f64, &'static str, f64, &'static str) {
    let window = tongue_window(input).unwrap();
    let (least, most) = (window.least.unwrap(), window.most.unwrap());
    (least.share, least.by, most.share, most.by)
}

#[test]
fn windows_are_the_printed_ones() {
    for (regime, least, most, source) in [
        (Regime::BallNorthAmerica, "10", Some("15"), "vehicle and trailer handbooks, 10-15 %, opened"),
        (Regime::FifthWheel, "15", Some("25"), "vehicle and trailer handbooks, 15-25 %, opened"),
        (Regime::CentreAxleEurope, "4", None, "Directive 97/27/EC 7.8.2, 4 %, opened as a translation memory"),
    ] {
        let window = usual(regime);
        prints(source, least, window.least * 100.0);
        assert_eq!(window.most.is_some(), most.is_some());
        if let (Some(printed), Some(most)) = (most, window.most) {
            prints(source, printed, most * 100.0);
        }
    }
    // One vehicle handbook, opened: 9 to 11 %.
    let handbook = WindowInput { vehicle_prints: (Some(0.09), Some(0.11)), ..NOBODY };
    assert_eq!(ends(&handbook), (0.09, "vehicle handbook", 0.11, "vehicle handbook"));
}

/// Trailer A: 2000 kg with its axle 4300 mm behind the coupler; worked example on invented masses, derived.
#[test]
fn the_example_trailer_stands_as_worked() {
    let window = tongue_window(&NOBODY).unwrap();
    // x_cg 4000: 6.977 %, too light; 3870: 10.000 %, on the bound; 210 kg: 10.5 %.
    for (tongue, standing) in
        [(139.535, Standing::Below), (200.0, Standing::Inside), (210.0, Standing::Inside), (301.0, Standing::Above)]
    {
        assert_eq!(window.standing(tongue / 2000.0), standing, "{tongue}");
    }
}

#[test]
fn the_trailer_makers_number_goes_first_and_static_loads_narrow() {
    let boat = WindowInput { trailer_prints: (Some(0.05), None), vehicle_prints: (Some(0.09), Some(0.11)), ..NOBODY };
    assert_eq!(ends(&boat), (0.05, "trailer maker", 0.11, "vehicle handbook"));
    let plate = [Named { by: "receiver, S-value", bound: Bound::Load(Mass::from_kg(120.0)) }];
    let europe = WindowInput { regime: Some(Regime::CentreAxleEurope), at_most: &plate, ..NOBODY };
    assert_eq!(ends(&europe), (0.04, "trade window", 0.06, "receiver, S-value"));
    // 120 kg on 2000 kg leave no room above 10 %.
    let none = tongue_window(&WindowInput { at_most: &plate, ..NOBODY }).unwrap();
    assert!(none.is_empty() && none.standing(0.06) == Standing::Empty);
    let nobody = tongue_window(&WindowInput { regime: None, ..NOBODY }).unwrap();
    assert_eq!((nobody.least, nobody.most), (None, None));
    assert_eq!(nobody.standing(0.9), Standing::Inside);
}

#[test]
fn what_is_out_of_range_is_named() {
    let wrong = [Named { by: "plate", bound: Bound::Load(Mass::from_kg(-1.0)) }];
    assert_eq!(tongue_window(&WindowInput { at_most: &wrong, ..NOBODY }).unwrap_err().field(), "static_load_kg");
    let wrong = WindowInput { trailer_prints: (Some(1.5), None), ..NOBODY };
    assert_eq!(tongue_window(&wrong).unwrap_err().field(), "share");
    let wrong = WindowInput { trailer: Mass::ZERO, ..NOBODY };
    assert_eq!(tongue_window(&wrong).unwrap_err().field(), "trailer_mass_kg");
}

proptest! {
    /// One more limit never lets in what was out, and heavier trailers leave a smaller share under the same load.
    #[test]
    fn a_limit_only_narrows(
        share in 0.0..0.5_f64, load in 1.0..600.0_f64, more in 1.0..600.0_f64, mass in 300.0..6000.0_f64,
    ) {
        let one = [Named { by: "one", bound: Bound::Load(Mass::from_kg(load)) }];
        let two = [one[0], Named { by: "two", bound: Bound::Load(Mass::from_kg(more)) }];
        let at = |at_most| tongue_window(&WindowInput { trailer: Mass::from_kg(mass), at_most, ..NOBODY }).unwrap();
        let (few, many) = (at(one.as_slice()), at(two.as_slice()));
        if many.standing(share) == Standing::Inside {
            prop_assert_eq!(few.standing(share), Standing::Inside);
        }
        let heavier = WindowInput { trailer: Mass::from_kg(mass * 1.5), at_most: &one, ..NOBODY };
        prop_assert!(tongue_window(&heavier).unwrap().most.unwrap().share <= few.most.unwrap().share);
    }

    /// Solved back: a load on the bound is inside, a hair above is not.
    #[test]
    fn the_bound_is_inside(mass in 300.0..6000.0_f64) {
        let window = tongue_window(&WindowInput { trailer: Mass::from_kg(mass), ..NOBODY }).unwrap();
        let most = window.most.unwrap().share * mass;
        prop_assert_eq!(window.standing(most / mass), Standing::Inside);
        prop_assert_eq!(window.standing(most * (1.0 + 1e-9) / mass), Standing::Above);
    }
}
