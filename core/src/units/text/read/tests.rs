use proptest::prelude::*;

use super::*;
use crate::units::text::{
    read_amps, read_angle, read_force, read_length, read_mass, read_rate, read_stress, read_torque, read_volts,
};
use crate::units::{Amps, Angle, Force, Length, Mass, Rate, Stress, Torque, Volts};

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * b.abs().max(1.0)
}

#[test]
fn reads_torques() {
    for text in [
        "75 lb-ft",
        "75 ft-lb",
        "75 lbf ft",
        "75 ft lbs",
        "75ft·lbf",
        "75 lb.ft",
        "75 lb. ft.",
        "75 FT-LBS",
        "75 pound-feet",
        "75 foot-pounds",
        "75 lbf·ft",
        "75\u{a0}lb\u{2011}ft",
        "75.0 lb–ft",
        "+75 lb-ft",
        "900 lb-in",
        "900 in-lbs",
        "900 in lb",
        "900 lbf·in",
    ] {
        let torque = read_torque(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(near(torque.lb_ft(), 75.0), "{text}: {torque:?}");
    }
    for text in ["101.7 N·m", "101.7 Nm", "101.7 N m", "101.7N-m", "101.7 N⋅m", "101.7 n*m", "101.7\u{2009}N·m"] {
        assert_eq!(read_torque(text), Ok(Torque::from_n_m(101.7)), "{text}");
    }
}

#[test]
fn reads_lengths() {
    for (text, inches) in [
        ("21 5/8 in", 21.625),
        ("21-5/8 in", 21.625),
        ("21 5/8\"", 21.625),
        ("19-3/4\"", 19.75),
        ("19 ¾ in", 19.75),
        ("19¾″", 19.75),
        ("½ in", 0.5),
        ("5' 6\"", 66.0),
        ("5'6\"", 66.0),
        ("5’ 6”", 66.0),
        ("5'-6 1/2\"", 66.5),
        ("5 ft 6 in", 66.0),
        ("5ft6in", 66.0),
        ("5 ft .5 in", 60.5),
        ("6 ft", 72.0),
        ("6 feet", 72.0),
        ("2-in", 2.0),
        ("-3 1/2 in", -3.5),
        ("\u{2212}3 in", -3.0),
        ("- 3 in.", -3.0),
        ("1,200 in", 1200.0),
        ("2''", 2.0),
    ] {
        let length = read_length(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(near(length.inches(), inches), "{text}: {length:?}");
    }
    assert_eq!(read_length("12 mm"), Ok(Length::from_mm(12.0)));
    assert_eq!(read_length("1.2 m"), Ok(Length::from_m(1.2)));
    assert_eq!(read_length("45.5cm"), Ok(Length::from_mm(455.0)));
}

#[test]
fn reads_masses() {
    assert_eq!(read_mass("7,500 lb"), Ok(Mass::from_lb(7500.0)));
    assert_eq!(read_mass("7500 lbs"), Ok(Mass::from_lb(7500.0)));
    assert_eq!(read_mass("1,234,567.5 lb"), Ok(Mass::from_lb(1_234_567.5)));
    assert_eq!(read_mass("13 lb 4 oz"), Ok(Mass::from_lb(13.25)));
    assert_eq!(read_mass("8 oz"), Ok(Mass::from_lb(0.5)));
    assert_eq!(read_mass("2.5 t"), Ok(Mass::from_t(2.5)));
    assert_eq!(read_mass("3 400 kg").map_err(|error| error.field()), Err("mass"));
    assert_eq!(read_mass("3400kg"), Ok(Mass::from_kg(3400.0)));
}

#[test]
fn reads_the_rest() {
    assert_eq!(read_force("15.6 kN"), Ok(Force::from_kn(15.6)));
    assert_eq!(read_force("3500 lbf"), Ok(Force::from_lbf(3500.0)));
    assert_eq!(read_force("640 N"), Ok(Force::from_n(640.0)));
    for text in ["11.5°", "11.5 deg", "11.5 degrees", "11.5 º"] {
        assert_eq!(read_angle(text), Ok(Angle::from_deg(11.5)), "{text}");
    }
    for text in ["70 N/mm", "70 kN/m", "70 n / mm"] {
        assert_eq!(read_rate(text), Ok(Rate::from_n_per_mm(70.0)), "{text}");
    }
    assert_eq!(read_rate("400 lb/in"), Ok(Rate::from_lbf_per_in(400.0)));
    for text in ["640 MPa", "640 N/mm²", "640 N/mm2", "640 N/mm^2"] {
        assert_eq!(read_stress(text), Ok(Stress::from_mpa(640.0)), "{text}");
    }
    assert_eq!(read_stress("92 ksi"), Ok(Stress::from_ksi(92.0)));
    assert_eq!(read_stress("450 kPa"), Ok(Stress::from_kpa(450.0)));
    assert_eq!(read_stress("4.5 bar"), Ok(Stress::from_kpa(450.0)));
    assert_eq!(read_volts("12.6 V"), Ok(Volts::from_v(12.6)));
    assert_eq!(read_volts("12.6 volts"), Ok(Volts::from_v(12.6)));
    assert_eq!(read_amps("7.5A"), Ok(Amps::from_a(7.5)));
    assert_eq!(read_amps("20 amps"), Ok(Amps::from_a(20.0)));
}

#[test]
fn a_header_may_carry_the_unit() {
    assert_eq!(split_header("trailer mass (kg)"), ("trailer mass", Some("kg")));
    assert_eq!(split_header(" hitch height [ in ] "), ("hitch height", Some("in")));
    assert_eq!(split_header("label"), ("label", None));
    assert_eq!(split_header("(kg"), ("(kg", None));
    let kg = unit_named::<Mass>("kg").unwrap();
    assert_eq!(read_in("2000", Some(kg)), Ok(Mass::from_kg(2000.0)));
    assert_eq!(read_in("2,000.5", Some(kg)), Ok(Mass::from_kg(2000.5)));
    assert_eq!(read_in("4400 lb", Some(kg)), Ok(Mass::from_lb(4400.0)));
    let inches = unit_named::<Length>("in.").unwrap();
    assert_eq!(read_in("21 5/8", Some(inches)), Ok(Length::from_in(21.625)));
    assert!(unit_named::<Mass>("stone").is_err());
    assert!(unit_named::<Mass>("").is_err());
    assert!(unit_named::<Mass>("ton").is_err());
}

fn why<Q: Quantity + std::fmt::Debug>(text: &str) -> String {
    match read::<Q>(text) {
        Err(CalcError::Unreadable { field, why, example, .. }) => {
            assert_eq!((field, example), (Q::FIELD, Q::EXAMPLE));
            why
        }
        other => panic!("{text:?} was read as {other:?}"),
    }
}

#[test]
fn refusals_say_what_to_write() {
    for (found, expected) in [
        (why::<Mass>("2000"), "it has no unit; units are kg, t, lb, oz, g"),
        (why::<Mass>("2,5 t"), "write a point for decimals: 2.5"),
        (why::<Torque>("101,7 N·m"), "write a point for decimals: 101.7"),
        (why::<Mass>("1.234,5 kg"), "write a point for decimals: 1234.5"),
        (why::<Mass>("75,00 lb"), "write a point for decimals: 75.00"),
        (why::<Mass>("2.5 tons"), "a ton is 2000 lb, 2240 lb or 1000 kg"),
        (why::<Mass>("12 stone"), "\"stone\" is not a unit of mass; units are kg, t, lb, oz, g"),
        (why::<Torque>("75 lb"), "write lb-ft or lb-in"),
        (why::<Torque>("75"), "units are N·m, lb-ft, lb-in"),
        (why::<Torque>("10 kgf·m"), "1 kgf·m is 9.80665 N·m"),
        (why::<Force>("500 kg"), "a kilogram is a mass"),
        (why::<Length>(""), "it is empty"),
        (why::<Length>(" \u{a0} "), "it is empty"),
        (why::<Length>("long"), "it does not start with a number"),
        (why::<Length>("--3 mm"), "it does not start with a number"),
        (why::<Length>("1e400 mm"), "it is too large for a number"),
        (why::<Length>("1e306 m"), "it is too large for a number"),
        (why::<Length>("5' 6"), "the second number has no unit; it should be in"),
        (why::<Length>("5' 14\""), "14 in are not less than one ft"),
        (why::<Length>("5' 12\""), "12 in are not less than one ft"),
        (why::<Mass>("13 lb 16 oz"), "16 oz are not less than one lb"),
        (why::<Length>("5.5 ft 6 in"), "cannot have in behind it"),
        (why::<Length>("5 ft 6 mm"), "only in may follow ft"),
        (why::<Length>("5 ft 6 in 3"), "only in may follow ft"),
        (why::<Length>("5 in 3 mm"), "nothing may follow in"),
        (why::<Length>("7 500 mm"), "write 7500 or 7,500"),
        (why::<Length>("1/0 in"), "cannot have 0 below its bar"),
        (why::<Angle>("20 °C"), "that is a temperature"),
        (why::<Stress>("NaN MPa"), "it does not start with a number"),
        (why::<Stress>("inf MPa"), "it does not start with a number"),
        (why::<Stress>(&"9".repeat(65)), "it is longer than 64 characters"),
    ] {
        assert!(found.contains(expected), "{found:?} does not say {expected:?}");
    }
}

#[test]
fn an_error_never_repeats_a_long_text() {
    let error = read_mass(&"9".repeat(10_000)).unwrap_err().to_string();
    assert!(error.len() < 300, "{error}");
}

fn never_panics(text: &str) -> Result<(), TestCaseError> {
    fn one<Q: Quantity>(text: &str) -> Result<(), TestCaseError> {
        if let Ok(quantity) = read::<Q>(text) {
            prop_assert!(Q::UNITS[0].in_it(quantity).is_finite(), "{text:?} was read as something not finite");
        }
        let _ = unit_named::<Q>(text);
        Ok(())
    }
    let _ = split_header(text);
    one::<Length>(text)?;
    one::<Mass>(text)?;
    one::<Force>(text)?;
    one::<Torque>(text)?;
    one::<Stress>(text)?;
    one::<Angle>(text)?;
    one::<Rate>(text)?;
    one::<Volts>(text)?;
    one::<Amps>(text)
}

proptest! {
    #[test]
    fn no_text_panics(text in ".{0,80}") {
        never_panics(&text)?;
    }

    #[test]
    fn no_near_quantity_panics(text in "[-+−]?[0-9.,½]{0,6}[-/ eE'\u{a0}]{0,2}[0-9.,]{0,5} ?(ft|in|lb|oz|°|N/mm2|kg|N·m|'|\"|.{0,3})[ 0-9/.\"]{0,5}(in|oz)?") {
        never_panics(&text)?;
    }
}
