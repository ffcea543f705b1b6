//! Quantity to text.

use super::{Quantity, Unit, UnitSystem};
use crate::units::Length;

/// Above this, digits no longer help anybody and the number is printed with an exponent.
const LARGE: f64 = 1e15;
/// Below this, likewise, in the exact form.
const SMALL: f64 = 1e-6;

/// Prints a quantity with the digits that people want to see, in the unit of the system that fits its size.
///
/// US figures of a thousand and more have commas: `7,500 lb`. A number that is not finite is printed as such, and
/// cannot be read back.
#[must_use]
pub fn print<Q: Quantity>(quantity: Q, system: UnitSystem) -> String {
    let unit = quantity.shown_in(system);
    with_unit(number_of(unit, quantity, system), unit)
}

/// Prints a quantity in a given unit, without thousands commas.
#[must_use]
pub fn print_in<Q: Quantity>(quantity: Q, unit: &Unit<Q>) -> String {
    with_unit(number_of(unit, quantity, UnitSystem::Si), unit)
}

/// Prints a quantity in its stored unit so that reading it gives the same number, bit for bit.
///
/// A number that is not finite is printed as such, and cannot be read back.
#[must_use]
pub fn exact<Q: Quantity>(quantity: Q) -> String {
    match Q::UNITS.first() {
        Some(stored) => exact_in(quantity, stored),
        None => String::new(),
    }
}

/// Prints a quantity in a given unit with the shortest digits that read back as the same number of that unit.
#[must_use]
pub fn exact_in<Q: Quantity>(quantity: Q, unit: &Unit<Q>) -> String {
    let value = unit.in_it(quantity);
    let size = value.abs();
    let digits = if size == 0.0 || (SMALL..LARGE).contains(&size) { format!("{value}") } else { format!("{value:e}") };
    with_unit(digits, unit)
}

/// How fine a fraction of an inch to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fraction {
    /// To the nearest 1/8 in.
    Eighths,
    /// To the nearest 1/16 in, as tapes are marked.
    Sixteenths,
}

/// Prints a length as a tape shows it: `21 5/8 in`.
#[must_use]
pub fn print_inches(length: Length, fraction: Fraction) -> String {
    let parts: u64 = match fraction {
        Fraction::Eighths => 8,
        Fraction::Sixteenths => 16,
    };
    let inches = length.inches();
    // No tape is a million inches long; beyond that, and for what is no number, fractions mean nothing.
    if inches.is_nan() || 1e6 <= inches.abs() {
        return print(length, UnitSystem::Us);
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative and below 16 million")]
    let count = (inches.abs() * parts as f64).round() as u64;
    let sign = if inches < 0.0 && 0 < count { "-" } else { "" };
    let (whole, mut top, mut bottom) = (count / parts, count % parts, parts);
    while 0 < top && top % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    match (whole, top) {
        (whole, 0) => format!("{sign}{whole} in"),
        (0, top) => format!("{sign}{top}/{bottom} in"),
        (whole, top) => format!("{sign}{whole} {top}/{bottom} in"),
    }
}

fn with_unit<Q>(digits: String, unit: &Unit<Q>) -> String {
    // A degree mark stands at its number; every other unit is parted by a space.
    let space = if unit.name == "°" { "" } else { " " };
    format!("{digits}{space}{}", unit.name)
}

/// Returns how many decimals a value is printed with: enough for its significant digits, but no more than the most.
pub(super) fn decimals(value: f64, (significant, most): (i32, usize)) -> usize {
    let size = value.abs();
    if !(0.0 < size && size.is_finite()) {
        return most;
    }
    #[expect(clippy::cast_possible_truncation, reason = "the logarithm of a finite number is below 400")]
    let before = size.log10().floor() as i32 + 1;
    usize::try_from(significant - before).unwrap_or(0).min(most)
}

fn number_of<Q: Quantity>(unit: &Unit<Q>, quantity: Q, system: UnitSystem) -> String {
    let value = unit.in_it(quantity);
    if LARGE <= value.abs() {
        return format!("{value:e}");
    }
    let digits = format!("{value:.*}", decimals(value, unit.digits));
    let digits = match digits.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) => zero.to_owned(),
        _ => digits,
    };
    if system == UnitSystem::Us { with_commas(&digits) } else { digits }
}

/// Parts the whole digits in groups of three.
fn with_commas(digits: &str) -> String {
    let (sign, unsigned) = digits.strip_prefix('-').map_or(("", digits), |rest| ("-", rest));
    let (whole, decimals) = unsigned.split_at(unsigned.find('.').unwrap_or(unsigned.len()));
    if !whole.bytes().all(|b| b.is_ascii_digit()) {
        return digits.to_owned();
    }
    let mut grouped = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, c) in whole.chars().enumerate() {
        if 0 < i && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(c);
    }
    format!("{sign}{grouped}{decimals}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, Force, Mass, Stress, Torque};

    #[test]
    fn prints_what_people_want_to_see() {
        use UnitSystem::{Si, Us};
        let length = |inches: f64| print(Length::from_in(inches), Us);
        assert_eq!(length(0.4375), "0.438 in");
        assert_eq!(length(21.625), "21.62 in");
        assert_eq!(length(132.5), "132.5 in");
        assert_eq!(print(Length::from_mm(549.275), Si), "549.3 mm");
        assert_eq!(print(Length::from_mm(3400.4), Si), "3400 mm");
        assert_eq!(print(Mass::from_lb(7500.0), Us), "7,500 lb");
        assert_eq!(print(Mass::from_lb(-1_234_567.0), Us), "-1,234,567 lb");
        assert_eq!(print(Mass::from_kg(3400.0), Si), "3400 kg");
        assert_eq!(print(Mass::from_lb(13.25), Us), "13.2 lb");
        assert_eq!(print(Torque::from_lb_ft(75.0), Us), "75.0 lb-ft");
        assert_eq!(print(Torque::from_lb_ft(75.0), Si), "101.7 N·m");
        assert_eq!(print(Force::from_n(640.0), Si), "640.0 N");
        assert_eq!(print(Force::from_n(15_600.0), Si), "15.60 kN");
        assert_eq!(print(Stress::from_mpa(640.0), Si), "640 MPa");
        assert_eq!(print(Stress::from_ksi(92.0), Us), "92.0 ksi");
        assert_eq!(print(Stress::from_psi(65.0), Us), "65.0 psi");
        assert_eq!(print(Angle::from_deg(11.5), Us), "11.5°");
        assert_eq!(print(Length::from_mm(-0.001), Si), "0.00 mm");
    }

    #[test]
    fn prints_inches_as_a_tape_shows_them() {
        let tape = |inches: f64| print_inches(Length::from_in(inches), Fraction::Sixteenths);
        assert_eq!(tape(21.625), "21 5/8 in");
        assert_eq!(tape(19.75), "19 3/4 in");
        assert_eq!(tape(0.0625), "1/16 in");
        assert_eq!(tape(7.0), "7 in");
        assert_eq!(tape(-2.5), "-2 1/2 in");
        assert_eq!(tape(-0.01), "0 in");
        assert_eq!(tape(6.99), "7 in");
        assert_eq!(print_inches(Length::from_in(5.3), Fraction::Eighths), "5 1/4 in");
    }

    #[test]
    fn what_is_no_number_is_printed_as_such() {
        assert_eq!(print(Mass::from_kg(f64::NAN), UnitSystem::Us), "NaN lb");
        assert_eq!(print(Mass::from_kg(f64::INFINITY), UnitSystem::Si), "inf kg");
        assert_eq!(print_inches(Length::from_mm(f64::NAN), Fraction::Eighths), "NaN in");
    }
}
