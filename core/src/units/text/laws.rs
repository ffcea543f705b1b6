//! Laws of the text forms: what is printed reads back, for every quantity and every unit.

use proptest::prelude::*;

use super::print::decimals;
use super::*;

/// Any finite number, from every power of two.
fn finite() -> impl Strategy<Value = f64> {
    use proptest::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    POSITIVE | NEGATIVE | NORMAL | SUBNORMAL | ZERO
}

/// Numbers of the size that shops meet, and then some.
fn everyday() -> impl Strategy<Value = f64> {
    (-9.0..9.0_f64, any::<bool>()).prop_map(|(power, negative)| 10f64.powf(power) * if negative { -1.0 } else { 1.0 })
}

fn exact_reads_back<Q: Quantity + std::fmt::Debug>(value: f64) -> Result<(), TestCaseError> {
    let stored = &Q::UNITS[0];
    let text = exact(stored.of(value));
    let back = read::<Q>(&text).map_err(|error| TestCaseError::fail(error.to_string()))?;
    prop_assert_eq!(stored.in_it(back).to_bits(), value.to_bits(), "{} as {}", value, text);
    Ok(())
}

/// Half of the last printed digit, with room for the rounding of two conversions.
fn half_digit(value: f64, digits: (i32, usize)) -> f64 {
    let places = i32::try_from(decimals(value, digits)).unwrap();
    0.5 * 10f64.powi(-places) * (1.0 + 1e-9) + value.abs() * 1e-14
}

fn print_reads_back<Q: Quantity + std::fmt::Debug>(value: f64) -> Result<(), TestCaseError> {
    for unit in Q::UNITS {
        let quantity = unit.of(value);
        let mut prints = vec![(unit, print_in(quantity, unit))];
        for system in [UnitSystem::Us, UnitSystem::Si] {
            prints.push((quantity.shown_in(system), print(quantity, system)));
        }
        for (shown, text) in prints {
            let back = read::<Q>(&text).map_err(|error| TestCaseError::fail(error.to_string()))?;
            let (was, is) = (shown.in_it(quantity), shown.in_it(back));
            prop_assert!((was - is).abs() <= half_digit(was, shown.digits), "{was} was printed as {text}");
        }
        let text = exact_in(quantity, unit);
        let back = read::<Q>(&text).map_err(|error| TestCaseError::fail(error.to_string()))?;
        let (was, is) = (unit.in_it(quantity), unit.in_it(back));
        prop_assert!((was - is).abs() <= was.abs() * 4.0 * f64::EPSILON, "{was} was printed as {text}");
    }
    Ok(())
}

macro_rules! laws {
    ($($quantity:ident $name:ident;)+) => {
        $(mod $name {
            use super::*;

            proptest! {
                #[test]
                fn exact_form_reads_back_bit_for_bit(value in finite()) {
                    exact_reads_back::<$quantity>(value)?;
                }

                #[test]
                fn printed_form_reads_back_within_half_a_digit(value in everyday()) {
                    print_reads_back::<$quantity>(value)?;
                }
            }

            #[test]
            fn every_spelling_is_folded_and_belongs_to_one_unit() {
                let all: Vec<_> = $quantity::UNITS.iter().flat_map(|unit| unit.spellings).collect();
                for (i, spelling) in all.iter().enumerate() {
                    let folded: String = spelling.to_lowercase().chars().filter(|c| !" .-·".contains(*c)).collect();
                    assert_eq!(folded, ***spelling);
                    assert!(!all[..i].contains(spelling), "{spelling} stands for two units");
                    assert!($quantity::REFUSED.iter().all(|(refused, _)| refused != *spelling), "{spelling}");
                    assert!(read::<$quantity>(&format!("1 {spelling}")).is_ok(), "{spelling}");
                }
                for unit in $quantity::UNITS {
                    assert!(unit_named::<$quantity>(unit.name).is_ok_and(|found| found.name == unit.name));
                }
                for (refused, why) in $quantity::REFUSED {
                    let error = unit_named::<$quantity>(refused).unwrap_err().to_string();
                    assert!(error.contains(why), "{error}");
                }
            }

            #[test]
            fn every_part_of_the_example_can_be_read() {
                for text in $quantity::EXAMPLE.split(", ").flat_map(|part| part.split(" or ")) {
                    assert!(read::<$quantity>(text).is_ok(), "{text}");
                }
            }
        })+
    };
}

laws! {
    Length length;
    Mass mass;
    Force force;
    Torque torque;
    Stress stress;
    Angle angle;
    Rate rate;
    Volts volts;
    Amps amps;
}

proptest! {
    #[test]
    fn a_tape_reading_is_within_half_a_mark(inches in -2000.0..2000.0_f64) {
        for (fraction, mark) in [(Fraction::Eighths, 0.125), (Fraction::Sixteenths, 0.0625)] {
            let text = print_inches(Length::from_in(inches), fraction);
            let back = read_length(&text).unwrap();
            prop_assert!((back.inches() - inches).abs() <= mark / 2.0 + 1e-9, "{inches} as {text}");
        }
    }

    #[test]
    fn feet_and_inches_add_up(feet in 0..200_u32, sixteenths in 0..192_u32) {
        let text = format!("{feet} ft {} {}/16 in", sixteenths / 16, sixteenths % 16);
        let length = read_length(&text).unwrap();
        let wanted = f64::from(feet) * 12.0 + f64::from(sixteenths) / 16.0;
        prop_assert!((length.inches() - wanted).abs() <= 1e-12 * wanted.max(1.0), "{text}");
    }

    #[test]
    fn thousands_commas_change_nothing(pounds in 0..100_000_000_u32) {
        let printed = print_mass(Mass::from_lb(f64::from(pounds)), UnitSystem::Us);
        let plain = read_mass(&format!("{pounds} lb")).unwrap();
        let error = (read_mass(&printed).unwrap().lb() - plain.lb()).abs();
        prop_assert!(error < 1e-6, "{printed}");
    }
}
