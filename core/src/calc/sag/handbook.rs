//! Worked example and laws.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::{
        clearance::Point,
        example_van::{SOURCE, WHEELBASE as L, WHEELS, sag_input, spring},
        printed::prints,
    },
    model::tyre::Tyres,
};

const BALL: Length = Length::from_mm(4920.0);
const LIP: Length = Length::from_mm(-820.0);
const BELLY: Length = Length::from_mm(1820.0);

/// State, change of load front and rear, then sag front, rear, pitch, at ball, at front lip, at belly.
#[rustfmt::skip]
const STATES: &[(&str, f64, f64, [&str; 6])] = &[
    ("payload only", 113.951, 483.049, ["18.199", "62.109", "0.6911", "77.549", "8.307", "40.154"]),
    ("tongue only", -73.846, 283.846, ["-11.794", "36.496", "0.7601", "53.477", "-22.672", "12.351"]),
    ("both", 40.104, 766.896, ["6.405", "98.604", "1.4510", "131.026", "-14.365", "52.505"]),
];

/// The exact changes of load behind the printed three decimals of each state; see the axle-load example.
fn changes(row: usize) -> (Mass, Mass) {
    use crate::calc::{
        axles::axle_loads,
        example_van::{ITEMS, TONGUE, axles},
    };
    let tongue = (row > 0).then_some(TONGUE);
    let items: &[_] = if row == 1 { &[] } else { &ITEMS };
    let loads = axle_loads(&axles(items, tongue)).unwrap();
    (loads.front - Mass::from_kg(1250.0), loads.rear - Mass::from_kg(1010.0))
}

#[test]
fn axle_rates_are_the_printed_ones() {
    prints(SOURCE, "61.4035", spring(70.0).axle_rate().unwrap().n_per_mm());
    prints(SOURCE, "76.2712", spring(90.0).axle_rate().unwrap().n_per_mm());
}

#[test]
fn the_van_sinks_as_printed() {
    for (row, (state, front, rear, printed)) in STATES.iter().enumerate() {
        let (front_change, rear_change) = changes(row);
        prints(SOURCE, &format!("{front:.3}"), front_change.kg());
        prints(SOURCE, &format!("{rear:.3}"), rear_change.kg());
        let got = sag(&sag_input(front_change, rear_change)).unwrap();
        let figures =
            [got.front.mm(), got.rear.mm(), got.pitch.deg(), got.at(BALL).mm(), got.at(LIP).mm(), got.at(BELLY).mm()];
        for (printed, figure) in printed.iter().zip(figures) {
            prints(&format!("{SOURCE}, {state}"), printed, figure);
        }
    }
}

fn laden() -> Sag {
    let (front, rear) = changes(2);
    sag(&sag_input(front, rear)).unwrap()
}

#[test]
fn the_laden_wheels_and_points_are_the_printed_ones() {
    let sag = laden();
    prints(SOURCE, "344.213", sag.laden.front_radius.mm());
    prints(SOURCE, "329.959", sag.laden.rear_radius.mm());
    let pose = Pose::linear(&sag);
    let height = |station, height| pose.place(Point::from_mm(station, height)).height.mm();
    prints(SOURCE, "123.974", height(4920.0, 255.0));
    prints(SOURCE, "274.365", height(-820.0, 260.0));
    prints(SOURCE, "147.495", height(1820.0, 200.0));
}

#[test]
fn an_axle_that_levels_itself_is_refused_and_an_unknown_one_too() {
    let levelling = AxleSpring { self_levelling: true, ..spring(90.0) };
    assert_eq!(levelling.axle_rate().unwrap_err().field(), "self_levelling");
    let input = SagInput { rear: levelling, ..sag_input(Mass::ZERO, Mass::ZERO) };
    assert!(matches!(sag(&input), Err(CalcError::Conflict { .. })));

    let axle = |self_levelling| Axle {
        suspension_rate: Some(Rate::from_n_per_mm(90.0)),
        self_levelling,
        tyres: Some(Tyres {
            designation: crate::model::tyre::Marking::default(),
            kind: None,
            count: Some(2),
            load_index: None,
            load_index_dual: None,
            loaded_radius: None,
            rate: Some(Rate::from_n_per_mm(250.0)),
            wheel_rating: None,
            temporary_spare: None,
            same_across_axle: None,
        }),
        ..Axle::default()
    };
    assert_eq!(AxleSpring::of(&axle(Some(false))), Ok(spring(90.0)));
    assert_eq!(AxleSpring::of(&axle(None)).unwrap_err().field(), "self_levelling");
    assert_eq!(AxleSpring::of(&Axle::default()).unwrap_err().field(), "tyres");
}

proptest! {
    #[test]
    fn a_rigid_body_keeps_its_distances(
        front in -100.0..600.0, rear in -300.0..1200.0,
        s1 in -1500.0..6000.0, z1 in 50.0..900.0, s2 in -1500.0..6000.0_f64, z2 in 50.0..900.0_f64,
        front_radius in 300.0..400.0, rear_radius in 300.0..400.0,
    ) {
        let wheels = Wheels {
            front_radius: Length::from_mm(front_radius), rear_radius: Length::from_mm(rear_radius), ..WHEELS
        };
        let input = SagInput { wheels, ..sag_input(Mass::from_kg(front), Mass::from_kg(rear)) };
        let sag = sag(&input).unwrap();
        let pose = Pose::rigid_body(&sag);
        let (one, other) = (pose.place(Point::from_mm(s1, z1)), pose.place(Point::from_mm(s2, z2)));
        let before = f64::hypot(s1 - s2, z1 - z2);
        let after = f64::hypot((one.station - other.station).mm(), (one.height - other.height).mm());
        prop_assert!((before - after).abs() < 1e-8);
        // The body's hub points sink by their axle's sag and stand over the wheels.
        let front_hub = pose.place(Point { station: Length::ZERO, height: wheels.front_radius });
        let rear_hub = pose.place(Point { station: L, height: wheels.rear_radius });
        prop_assert!(front_hub.station.mm().abs() < 1e-8);
        prop_assert!((front_hub.height.mm() - (front_radius - sag.front.mm())).abs() < 1e-8);
        prop_assert!((rear_hub.station - pose.wheels().wheelbase).mm().abs() < 1e-8);
        prop_assert!((rear_hub.height.mm() - (rear_radius - sag.rear.mm())).abs() < 1e-8);
    }

    #[test]
    fn both_models_agree_on_a_small_sag(front in -5.0..5.0, rear in -5.0..5.0, s in -1500.0..6000.0, z in 50.0..900.0) {
        let sag = sag(&sag_input(Mass::from_kg(front), Mass::from_kg(rear))).unwrap();
        let point = Point::from_mm(s, z);
        let (linear, rigid) = (Pose::linear(&sag).place(point), Pose::rigid_body(&sag).place(point));
        prop_assert!((linear.height - rigid.height).mm().abs() < 1e-3);
    }

    #[test]
    fn no_change_of_load_moves_nothing(s in -1500.0..6000.0, z in 50.0..900.0) {
        let sag = sag(&sag_input(Mass::ZERO, Mass::ZERO)).unwrap();
        let placed = Pose::rigid_body(&sag).place(Point::from_mm(s, z));
        prop_assert!((placed.station.mm() - s).abs() < 1e-9 && (placed.height.mm() - z).abs() < 1e-9);
    }

    #[test]
    fn tyres_in_series_only_soften(suspension in 20.0..500.0) {
        let axle = spring(suspension);
        let rate = axle.axle_rate().unwrap();
        prop_assert!(rate < axle.suspension && rate < axle.tyres());
    }
}
