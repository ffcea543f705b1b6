//! Reading and printing what people write: `75 lb-ft`, `21 5/8 in`, `13 lb 4 oz`, `101.7 N·m`.
//!
//! A number without a unit is refused unless the sheet's header names one. A comma parts thousands and nothing else;
//! a decimal comma is refused with what to write instead, never guessed at.

mod kinds;
#[cfg(test)]
mod laws;
pub(crate) mod number;
mod print;
mod read;

pub use print::{Fraction, exact, exact_in, print, print_in, print_inches};
pub use read::{read, read_in, split_header, unit_named};

use crate::error::CalcError;
use crate::units::{Amps, Angle, Force, Length, Mass, Rate, Stress, Torque, Volts};

/// The units a person wants to see.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnitSystem {
    /// Inches, pounds, pound-feet.
    Us,
    /// Millimetres, kilograms, newton metres.
    Si,
}

/// One unit of a quantity: how it is written, and how it is built and read.
pub struct Unit<Q: 'static> {
    /// How it is printed.
    pub name: &'static str,
    /// How else it is written, folded: lower case, without spaces, points, dashes and raised dots.
    spellings: &'static [&'static str],
    from: fn(f64) -> Q,
    to: fn(Q) -> f64,
    /// How many significant digits people want to see, and how many decimals at most.
    digits: (i32, usize),
    /// The smaller unit that may follow, and how many of it make one: feet and inches, pounds and ounces.
    minor: Option<(&'static str, f64)>,
}

impl<Q> Unit<Q> {
    const fn new(
        name: &'static str,
        spellings: &'static [&'static str],
        from: fn(f64) -> Q,
        to: fn(Q) -> f64,
        digits: (i32, usize),
    ) -> Self {
        Self { name, spellings, from, to, digits, minor: None }
    }

    const fn followed_by(mut self, minor: &'static str, per_major: f64) -> Self {
        self.minor = Some((minor, per_major));
        self
    }
}

impl<Q: Copy> Unit<Q> {
    /// Builds a quantity from a number of this unit.
    #[must_use]
    pub fn of(&self, value: f64) -> Q {
        (self.from)(value)
    }

    /// Reads a quantity as a number of this unit.
    #[must_use]
    pub fn in_it(&self, quantity: Q) -> f64 {
        (self.to)(quantity)
    }
}

impl<Q> std::fmt::Debug for Unit<Q> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Unit").field(&self.name).finish()
    }
}

/// A quantity that has a text form.
pub trait Quantity: Copy + Sized + 'static {
    /// What errors call the input when the caller has no better name: `torque`.
    const FIELD: &'static str;
    /// What it should have been, with its article: `a torque`.
    const WANTED: &'static str;
    /// A text that can be read.
    const EXAMPLE: &'static str;
    /// Its units; the first is the one it is stored in, in which its exact form is printed.
    const UNITS: &'static [Unit<Self>];
    /// Units people write that have no one meaning here, folded, and what to do about them.
    const REFUSED: &'static [(&'static str, &'static str)];

    /// Returns the unit that fits the value for people.
    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self>;
}

macro_rules! wrappers {
    ($( $quantity:ident: $wanted:literal, $read:ident, $print:ident, $exact:ident; )+) => {
        $(
            #[doc = concat!("Reads ", $wanted, " with its unit; [`read_in`] takes the unit of a header as well.")]
            ///
            /// # Errors
            ///
            /// [`CalcError::Unreadable`] says what is wrong and shows a text that can be read.
            pub fn $read(text: &str) -> Result<$quantity, CalcError> {
                read(text)
            }

            #[doc = concat!("Prints ", $wanted, " with the digits that people want to see.")]
            #[must_use]
            pub fn $print(quantity: $quantity, system: UnitSystem) -> String {
                print(quantity, system)
            }

            #[doc = concat!("Prints ", $wanted, " so that reading it gives the same number, bit for bit.")]
            #[must_use]
            pub fn $exact(quantity: $quantity) -> String {
                exact(quantity)
            }
        )+
    };
}

wrappers! {
    Length: "a length", read_length, print_length, exact_length;
    Mass: "a mass", read_mass, print_mass, exact_mass;
    Force: "a force", read_force, print_force, exact_force;
    Torque: "a torque", read_torque, print_torque, exact_torque;
    Stress: "a stress", read_stress, print_stress, exact_stress;
    Angle: "an angle", read_angle, print_angle, exact_angle;
    Rate: "a spring rate", read_rate, print_rate, exact_rate;
    Volts: "a voltage", read_volts, print_volts, exact_volts;
    Amps: "a current", read_amps, print_amps, exact_amps;
}

/// Builds the error for text that cannot be read, with the text cut to a length that fits a line.
pub(crate) fn unreadable(
    field: &'static str,
    text: &str,
    wanted: &'static str,
    why: impl Into<String>,
    example: &'static str,
) -> CalcError {
    let mut shown: String = text.chars().take(number::LONGEST).collect();
    if text.chars().nth(number::LONGEST).is_some() {
        shown.push('…');
    }
    CalcError::Unreadable { field, text: shown, wanted, why: why.into(), example }
}
