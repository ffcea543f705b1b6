//! Worked examples and laws.

use proptest::prelude::*;

use super::{
    centre::{TiltWeighing, centre_height},
    tongue::{Balance, LeverWeighing, centre_for_share, tongue_by_lever, tongue_from_balance, tongue_gain},
    train::{Missing, TrainInput, train_loads},
    *,
};
use crate::{
    calc::{
        example_van::{BALL, ITEMS, SOURCE, TONGUE, WHEELBASE as L, at, axles},
        printed::prints,
    },
    units::Angle,
};

/// What one item does to the axles: mass, station, front and rear as printed.
#[rustfmt::skip]
const EFFECTS: &[(&str, f64, f64, &str, &str)] = &[
    ("two people",      150.0, 1450.0,  "90.247",  "59.753"),
    ("cargo",           400.0, 3300.0,  "37.363", "362.637"),
    ("receiver kit",     38.0, 4650.0, "-10.544",  "48.544"),
    ("ball mount, ball",  9.0, 4900.0,  "-3.115",  "12.115"),
    ("tongue 210 kg",   210.0, 4920.0, "-73.846", "283.846"),
];

#[test]
fn each_item_loads_the_axles_as_printed() {
    for (item, kg, mm, front, rear) in EFFECTS {
        let part = split(at(*kg, *mm), L);
        prints(&format!("{SOURCE}, {item}, front"), front, part.front.kg());
        prints(&format!("{SOURCE}, {item}, rear"), rear, part.rear.kg());
    }
}

#[test]
fn the_van_stands_as_printed_before_and_after_hitching() {
    let loads = axle_loads(&axles(&ITEMS, Some(TONGUE))).unwrap();
    prints(SOURCE, "1363.951", loads.front_before.kg());
    prints(SOURCE, "1493.049", loads.rear_before.kg());
    prints(SOURCE, "2857.000", loads.total_before().kg());
    prints(SOURCE, "1290.104", loads.front.kg());
    prints(SOURCE, "1776.896", loads.rear.kg());
    prints(SOURCE, "3067.000", loads.total().kg());
    prints(SOURCE, "5.414", loads.front_loss() * 100.0);
    prints(SOURCE, "42.06", loads.front_share() * 100.0);
    prints(SOURCE, "2108.869", loads.centre_station(L).mm());
    prints(SOURCE, "1626.726", axle_loads(&axles(&[], None)).unwrap().centre_station(L).mm());
    assert!(!loads.lifts());
}

#[test]
fn the_largest_tongue_loads_are_the_printed_ones() {
    let loads = axle_loads(&axles(&ITEMS, None)).unwrap();
    let by_axle = largest_tongue_by_rear_axle(Mass::from_kg(1900.0), loads.rear_before, L, BALL).unwrap();
    prints(SOURCE, "301.077", by_axle.kg());
    prints(SOURCE, "343", largest_tongue_by_gvwr(Mass::from_kg(3200.0), loads.total_before()).kg());
    // Solved back: with that tongue load the rear axle is exactly at its rating.
    let full = axle_loads(&axles(&ITEMS, Some(by_axle))).unwrap();
    assert!((full.rear.kg() - 1900.0).abs() < 1e-9);
}

fn van_and_trailer() -> TrainInput {
    TrainInput {
        loads: Some(axle_loads(&axles(&ITEMS, Some(TONGUE))).unwrap()),
        kerb: Some(Mass::from_kg(2260.0)),
        trailer: Some(Mass::from_kg(2000.0)),
        tongue: Some(TONGUE),
        gvwr: Some(Mass::from_kg(3200.0)),
        gcwr: Some(Mass::from_kg(5800.0)),
        front_gawr: Some(Mass::from_kg(1550.0)),
        rear_gawr: Some(Mass::from_kg(1900.0)),
    }
}

#[test]
fn the_train_weighs_what_is_printed_and_the_tongue_counts_once() {
    let train = train_loads(&van_and_trailer());
    prints(SOURCE, "3067", train.vehicle.value.unwrap().kg());
    prints(SOURCE, "1290.1", train.front.value.unwrap().kg());
    prints(SOURCE, "1776.9", train.rear.value.unwrap().kg());
    prints(SOURCE, "1790", train.trailer_axle.unwrap().kg());
    prints(SOURCE, "4857", train.train.value.unwrap().kg());
    prints(SOURCE, "807", train.payload_used().unwrap().kg());
    prints(SOURCE, "940", train.payload_available().unwrap().kg());
    for check in [train.vehicle, train.front, train.rear, train.train, train.payload] {
        assert_eq!(check.holds(), Some(true));
    }
}

#[test]
fn a_missing_rating_is_named_and_never_passes() {
    let train = train_loads(&TrainInput { gcwr: None, kerb: None, ..van_and_trailer() });
    assert_eq!((train.train.holds(), train.train.missing()), (None, Some("vehicle.gcwr")));
    assert_eq!((train.payload.holds(), train.payload.missing()), (None, Some("vehicle.front.kerb_kg")));
    assert_eq!(train.vehicle.holds(), Some(true));
    let empty = train_loads(&TrainInput::default());
    assert_eq!(empty.vehicle.value, Err(Missing("vehicle.front.kerb_kg")));
    assert_eq!(empty.trailer_axle, Err(Missing("trailer_mass")));
}

/// Centre of mass behind the coupler, tongue load, share in per cent, axle load; mass 2000 kg, coupler to axle 4300 mm.
#[rustfmt::skip]
const BALANCE: &[(f64, &str, &str, &str)] = &[
    (4000.0, "139.535",  "6.977", "1860.465"),
    (3870.0, "200.000", "10.000", "1800.000"),
    (4100.0,  "93.023",  "4.651", "1906.977"),
];

#[test]
fn a_trailer_presses_as_printed() {
    let (mass, coupler_to_axle) = (Mass::from_kg(2000.0), Length::from_mm(4300.0));
    for (centre, tongue, share, axle) in BALANCE {
        let coupler_to_centre = Length::from_mm(*centre);
        let got = tongue_from_balance(&Balance { mass, coupler_to_axle, coupler_to_centre }).unwrap();
        prints(SOURCE, tongue, got.tongue.kg());
        prints(SOURCE, share, got.share * 100.0);
        prints(SOURCE, axle, got.axle.kg());
    }
    prints(SOURCE, "3848.500", centre_for_share(coupler_to_axle, 0.105).unwrap().mm());
    let forward = Length::from_mm(5000.0 - 2500.0);
    prints(SOURCE, "87.209", tongue_gain(Mass::from_kg(150.0), forward, coupler_to_axle).unwrap().kg());
}

#[test]
fn a_lever_weighs_as_printed() {
    let weighing = LeverWeighing {
        support_to_coupler: Length::from_mm(305.0),
        coupler_to_scale: Length::from_mm(610.0),
        reading: Mass::from_kg(95.0),
    };
    prints(SOURCE, "285.0", tongue_by_lever(&weighing).unwrap().kg());
}

#[test]
fn an_input_outside_its_range_is_named() {
    let input = AxleInput { wheelbase: Length::from_mm(999.0), ..axles(&ITEMS, None) };
    assert_eq!(axle_loads(&input).unwrap_err().field(), "wheelbase_mm");
    let nan = [at(f64::NAN, 0.0)];
    assert_eq!(axle_loads(&axles(&nan, None)).unwrap_err().field(), "mass_kg");
    let lifting = axle_loads(&axles(&ITEMS, Some(Mass::from_kg(-1.0))));
    assert_eq!(lifting.unwrap_err().field(), "tongue_kg");
}

prop_compose! {
    fn items()(list in prop::collection::vec((ITEM_MASS.min..3000.0, STATION.min..STATION.max), 0..12))
        -> Vec<Station> {
        list.into_iter().map(|(kg, mm)| at(kg, mm)).collect()
    }
}

proptest! {
    #[test]
    fn what_goes_on_the_vehicle_stands_on_its_axles(
        items in items(), tongue in 0.0..2000.0, wheelbase in WHEELBASE.min..WHEELBASE.max,
    ) {
        let input = AxleInput { wheelbase: Length::from_mm(wheelbase), ..axles(&items, Some(Mass::from_kg(tongue))) };
        let loads = axle_loads(&input).unwrap();
        let on: f64 = items.iter().map(|item| item.mass.kg()).sum();
        prop_assert!((loads.total_before().kg() - 2260.0 - on).abs() < 1e-6);
        prop_assert!((loads.total().kg() - loads.total_before().kg() - tongue).abs() < 1e-6);
        // The moment about the front axle is kept too; mass and moment together leave no other answer.
        let moment: f64 = items.iter().map(|item| item.mass.kg() * item.station.mm()).sum();
        prop_assert!(((loads.rear_before.kg() - 1010.0) * wheelbase - moment).abs() < 1e-4 * (1.0 + moment.abs()));
    }

    #[test]
    fn an_effect_is_linear_in_the_mass(kg in -5000.0..5000.0, mm in -3000.0..20_000.0, factor in 0.0..10.0_f64) {
        let (one, many) = (split(at(kg, mm), L), split(at(kg * factor, mm), L));
        prop_assert!((one.front.kg() * factor - many.front.kg()).abs() < 1e-6);
        prop_assert!((one.rear.kg() * factor - many.rear.kg()).abs() < 1e-6);
    }

    #[test]
    fn more_tongue_never_lightens_the_rear_nor_loads_the_front(
        items in items(), tongue in 0.0..1000.0, more in 0.0..1000.0,
    ) {
        let loads = |kg| axle_loads(&axles(&items, Some(Mass::from_kg(kg)))).unwrap();
        let (less, more) = (loads(tongue), loads(tongue + more));
        prop_assert!(less.rear <= more.rear && more.front <= less.front);
    }

    #[test]
    fn the_largest_tongue_is_the_last_that_passes(gawr in 1500.0..4000.0, past in 0.01..500.0) {
        let gawr = Mass::from_kg(gawr);
        let before = axle_loads(&axles(&ITEMS, None)).unwrap();
        let most = largest_tongue_by_rear_axle(gawr, before.rear_before, L, BALL).unwrap();
        let at_most = axle_loads(&axles(&ITEMS, Some(most))).unwrap();
        let beyond = axle_loads(&axles(&ITEMS, Some(most + Mass::from_kg(past)))).unwrap();
        prop_assert!(at_most.rear.kg() <= gawr.kg() + 1e-9 && beyond.rear > gawr);
    }

    #[test]
    fn more_tongue_never_turns_a_failed_check_into_a_pass(tongue in 0.0..1500.0, more in 0.0..500.0, gvwr in 2000.0..4500.0,
        gawr in 1000.0..3000.0, gcwr in 3000.0..7000.0) {
        let train = |kg: f64| train_loads(&TrainInput {
            loads: Some(axle_loads(&axles(&ITEMS, Some(Mass::from_kg(kg)))).unwrap()),
            tongue: Some(Mass::from_kg(kg)),
            gvwr: Some(Mass::from_kg(gvwr)),
            rear_gawr: Some(Mass::from_kg(gawr)),
            gcwr: Some(Mass::from_kg(gcwr)),
            ..van_and_trailer()
        });
        let (less, more) = (train(tongue), train(tongue + more));
        for (less, more) in [(less.vehicle, more.vehicle), (less.rear, more.rear), (less.payload, more.payload)] {
            prop_assert!(!(less.holds() == Some(false) && more.holds() == Some(true)));
        }
        // The train's mass does not depend on how the trailer leans on the ball.
        prop_assert!((less.train.value.unwrap() - more.train.value.unwrap()).kg().abs() < 1e-9);
    }

    #[test]
    fn balance_solves_for_each_unknown(kg in 100.0..5000.0, to_axle in 1000.0..9000.0, share in 0.02..0.3) {
        let (mass, coupler_to_axle) = (Mass::from_kg(kg), Length::from_mm(to_axle));
        let coupler_to_centre = centre_for_share(coupler_to_axle, share).unwrap();
        let got = tongue_from_balance(&Balance { mass, coupler_to_axle, coupler_to_centre }).unwrap();
        prop_assert!((got.share - share).abs() < 1e-12);
        prop_assert!((got.tongue.kg() + got.axle.kg() - kg).abs() < 1e-9);
    }

    #[test]
    fn a_tilt_weighing_finds_the_height_it_was_made_with(height in 400.0..1500.0_f64, tilt in 6.0..30.0_f64, kg in 1500.0..4000.0_f64) {
        // Front lifted about the rear contact: the centre moves rearward by (z − r) · tan θ seen along the wheelbase.
        let theta = f64::to_radians(tilt);
        let gained = kg * (height - 345.0) * theta.tan() / 3640.0;
        let weighing = TiltWeighing {
            wheelbase: L,
            loaded_radius: Length::from_mm(345.0),
            front_level: Mass::from_kg(kg * 0.55),
            rear_level: Mass::from_kg(kg * 0.45),
            rear_tilted: Mass::from_kg(kg * 0.45 + gained),
            tilt: Angle::from_deg(tilt),
        };
        prop_assert!((centre_height(&weighing).unwrap().mm() - height).abs() < 1e-6);
    }
}
