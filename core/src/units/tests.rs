//! Every factor against its definition and against a library that others keep.

use proptest::prelude::*;
use uom::si::f64 as si;

use super::*;

/// A unit's constructor, its reader, and one of it in the stored unit.
type Factor = (&'static str, fn(f64) -> f64, fn(f64) -> f64, f64);

macro_rules! factor {
    ($quantity:ident $from:ident $read:ident in $stored:ident: $one:expr) => {
        (
            concat!(stringify!($quantity), "::", stringify!($from)),
            |value| $quantity::$from(value).$stored(),
            |stored| $quantity(stored).$read(),
            $one,
        )
    };
}

/// Built from the definitions alone: inch 25.4 mm, pound 0.45359237 kg, free fall 9.80665 m/s² (from memory of NIST
/// SP 811, appendix B), never from our own constants.
#[rustfmt::skip]
fn factors() -> Vec<Factor> {
    let lbf = 0.453_592_37 * 9.806_65;
    vec![
        factor!(Length from_mm mm in mm: 1.0),
        factor!(Length from_m m in mm: 1000.0),
        factor!(Length from_in inches in mm: 25.4),
        factor!(Length from_ft ft in mm: 304.8),
        factor!(Mass from_kg kg in kg: 1.0),
        factor!(Mass from_t t in kg: 1000.0),
        factor!(Mass from_lb lb in kg: 0.453_592_37),
        factor!(Force from_n n in n: 1.0),
        factor!(Force from_kn kn in n: 1000.0),
        factor!(Force from_lbf lbf in n: lbf),
        factor!(Torque from_n_m n_m in n_m: 1.0),
        factor!(Torque from_lb_ft lb_ft in n_m: lbf * 0.3048),
        factor!(Torque from_lb_in lb_in in n_m: lbf * 0.0254),
        factor!(Stress from_mpa mpa in mpa: 1.0),
        factor!(Stress from_kpa kpa in mpa: 0.001),
        factor!(Stress from_ksi ksi in mpa: 1000.0 * lbf / (25.4 * 25.4)),
        factor!(Stress from_psi psi in mpa: lbf / (25.4 * 25.4)),
        factor!(Area from_mm2 mm2 in mm2: 1.0),
        factor!(Area from_in2 in2 in mm2: 645.16),
        factor!(Angle from_rad rad in rad: 1.0),
        factor!(Angle from_deg deg in rad: std::f64::consts::TAU / 360.0),
        factor!(Rate from_n_per_mm n_per_mm in n_per_mm: 1.0),
        factor!(Rate from_lbf_per_in lbf_per_in in n_per_mm: lbf / 25.4),
        factor!(Volts from_v v in v: 1.0),
        factor!(Amps from_a a in a: 1.0),
        factor!(Ohms from_ohm ohm in ohm: 1.0),
    ]
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 4.0 * f64::EPSILON * b.abs()
}

#[test]
fn every_factor_follows_from_its_definition() {
    for (name, from, read, one) in factors() {
        assert!(close(from(1.0), one), "{name}: {} is not {one}", from(1.0));
        assert!(close(read(one), 1.0), "{name}: reads {} back", read(one));
    }
}

/// Printed by NIST SP 811, appendix B.8 (from memory): what, our figure, theirs with the digits it prints.
#[test]
fn factors_round_to_the_printed_ones() {
    for (name, ours, printed) in [
        ("lbf in N", Force::from_lbf(1.0).n(), "4.448222"),
        ("lbf·ft in N·m", Torque::from_lb_ft(1.0).n_m(), "1.355818"),
        ("lbf·in in N·m", Torque::from_lb_in(1.0).n_m(), "0.1129848"),
        ("psi in kPa", Stress::from_psi(1.0).kpa(), "6.894757"),
        ("ksi in MPa", Stress::from_ksi(1.0).mpa(), "6.894757"),
        ("lb in kg", Mass::from_lb(1.0).kg(), "0.4535924"),
        ("lbf/in in N/m", Rate::from_lbf_per_in(1.0).n_per_mm() * 1000.0, "175.1268"),
        ("degree in rad", Angle::from_deg(1.0).rad(), "0.01745329"),
    ] {
        crate::calc::printed::prints(&format!("NIST SP 811, appendix B.8, from memory, {name}"), printed, ours);
    }
}

/// The library rounds some of its factors to the digits that SP 811 prints: seven figures for a pound-force.
const LIBRARY: f64 = 5e-7;

#[test]
fn a_library_that_others_keep_agrees() {
    use uom::si::{angle, area, electric_current, electric_potential, force, length, mass, pressure, torque};
    let pairs = [
        ("in", Length::from_in(1.0).m(), si::Length::new::<length::inch>(1.0).get::<length::meter>()),
        ("ft", Length::from_ft(1.0).m(), si::Length::new::<length::foot>(1.0).get::<length::meter>()),
        ("mm", Length::from_mm(1.0).m(), si::Length::new::<length::millimeter>(1.0).get::<length::meter>()),
        ("lb", Mass::from_lb(1.0).kg(), si::Mass::new::<mass::pound>(1.0).get::<mass::kilogram>()),
        ("t", Mass::from_t(1.0).kg(), si::Mass::new::<mass::ton>(1.0).get::<mass::kilogram>()),
        ("lbf", Force::from_lbf(1.0).n(), si::Force::new::<force::pound_force>(1.0).get::<force::newton>()),
        ("kN", Force::from_kn(1.0).n(), si::Force::new::<force::kilonewton>(1.0).get::<force::newton>()),
        (
            "lb-ft",
            Torque::from_lb_ft(1.0).n_m(),
            si::Torque::new::<torque::pound_force_foot>(1.0).get::<torque::newton_meter>(),
        ),
        (
            "lb-in",
            Torque::from_lb_in(1.0).n_m(),
            si::Torque::new::<torque::pound_force_inch>(1.0).get::<torque::newton_meter>(),
        ),
        (
            "psi",
            Stress::from_psi(1.0).mpa(),
            si::Pressure::new::<pressure::pound_force_per_square_inch>(1.0).get::<pressure::megapascal>(),
        ),
        (
            "ksi",
            Stress::from_ksi(1.0).mpa(),
            si::Pressure::new::<pressure::kip_per_square_inch>(1.0).get::<pressure::megapascal>(),
        ),
        (
            "kPa",
            Stress::from_kpa(1.0).mpa(),
            si::Pressure::new::<pressure::kilopascal>(1.0).get::<pressure::megapascal>(),
        ),
        ("in²", Area::from_in2(1.0).mm2(), si::Area::new::<area::square_inch>(1.0).get::<area::square_millimeter>()),
        ("deg", Angle::from_deg(1.0).rad(), si::Angle::new::<angle::degree>(1.0).get::<angle::radian>()),
        (
            "V",
            Volts::from_v(1.0).v(),
            si::ElectricPotential::new::<electric_potential::volt>(1.0).get::<electric_potential::volt>(),
        ),
        (
            "A",
            Amps::from_a(1.0).a(),
            si::ElectricCurrent::new::<electric_current::ampere>(1.0).get::<electric_current::ampere>(),
        ),
    ];
    for (name, ours, theirs) in pairs {
        assert!((ours / theirs - 1.0).abs() <= LIBRARY, "{name}: {ours} here, {theirs} there");
    }
}

#[test]
fn products_have_the_right_size() {
    // Derived: each product once, with numbers that show a lost factor of a thousand.
    assert_eq!((Force::from_kn(1.0) * Length::from_m(1.0)).n_m(), 1000.0);
    assert_eq!((Torque::from_n_m(1000.0) / Length::from_m(1.0)).kn(), 1.0);
    assert_eq!((Force::from_kn(1.0) / Area::from_mm2(10.0)).mpa(), 100.0);
    assert_eq!((Stress::from_mpa(100.0) * Area::from_mm2(10.0)).kn(), 1.0);
    assert_eq!((Force::from_n(700.0) / Rate::from_n_per_mm(70.0)).mm(), 10.0);
    assert_eq!((Length::from_mm(2.0) * Length::from_mm(3.0)).mm2(), 6.0);
    assert_eq!((Amps::from_a(10.0) * Ohms::from_ohm(0.05)).v(), 0.5);
    assert_eq!(Mass::from_kg(100.0).weight().n(), 980.665);
    assert!(close(Mass::from_lb(1.0).weight().lbf(), 1.0));
}

proptest! {
    #[test]
    fn every_unit_reads_back_what_it_was_given(value in -1e9..1e9_f64) {
        for (name, from, read, _) in factors() {
            prop_assert!(close(read(from(value)), value), "{}", name);
        }
    }

    #[test]
    fn sums_and_differences_undo_each_other(a in -1e6..1e6_f64, b in -1e6..1e6_f64) {
        let (x, y) = (Mass::from_kg(a), Mass::from_kg(b));
        prop_assert!(((x + y - y) - x).abs().kg() <= 1e-9);
        prop_assert_eq!(x + y, [x, y].into_iter().sum());
        prop_assert_eq!(-(x - y), y - x);
        prop_assert_eq!(x.min(y) + x.max(y), x + y);
        let mut z = x;
        z += y;
        z -= y;
        prop_assert!((z - x).abs().kg() <= 1e-9);
    }
}
