//! Quantities that carry a number, a printed text, or both.

use baybook_core::{
    error::CalcError,
    range::Range,
    units::{Force, Length, Mass, Torque, text},
};
use baybook_proto::v1 as pb;

use super::Fields;

/// A quantity on the wire, taken apart.
struct Parts<'a> {
    value: Option<f64>,
    printed: &'a str,
    /// The field of the number: `value_kg`.
    field: &'static str,
    /// What to write in the printed text, as an example.
    example: &'static str,
}

impl Fields {
    /// Reads a mass that may be absent.
    pub fn mass(&mut self, name: &'static str, wire: Option<&pb::Mass>, range: &Range) -> Option<Mass> {
        let wire = wire?;
        let parts = Parts { value: wire.value_kg, printed: &wire.printed, field: "value_kg", example: "5,000 lb" };
        let read = |printed: &str| text::read_mass(printed).map(Mass::kg);
        self.under(name, |fields| fields.quantity(&parts, range, read)).map(Mass::from_kg)
    }

    /// Reads a length that may be absent.
    pub fn length(&mut self, name: &'static str, wire: Option<&pb::Length>, range: &Range) -> Option<Length> {
        let wire = wire?;
        let parts = Parts { value: wire.value_mm, printed: &wire.printed, field: "value_mm", example: "2-5/16 in" };
        let read = |printed: &str| text::read_length(printed).map(Length::mm);
        self.under(name, |fields| fields.quantity(&parts, range, read)).map(Length::from_mm)
    }

    /// Reads a force that may be absent.
    pub fn force(&mut self, name: &'static str, wire: Option<&pb::Force>, range: &Range) -> Option<Force> {
        let wire = wire?;
        let parts = Parts { value: wire.value_n, printed: &wire.printed, field: "value_n", example: "5,000 lbf" };
        let read = |printed: &str| text::read_force(printed).map(Force::n);
        self.under(name, |fields| fields.quantity(&parts, range, read)).map(Force::from_n)
    }

    /// Reads a torque that may be absent.
    pub fn torque(&mut self, name: &'static str, wire: Option<&pb::Torque>, range: &Range) -> Option<Torque> {
        let wire = wire?;
        let parts = Parts { value: wire.value_n_m, printed: &wire.printed, field: "value_n_m", example: "75 lb-ft" };
        let read = |printed: &str| text::read_torque(printed).map(Torque::n_m);
        self.under(name, |fields| fields.quantity(&parts, range, read)).map(Torque::from_n_m)
    }

    /// Reads the number, the printed text, or both; the printed text is the exact one.
    fn quantity(
        &mut self,
        parts: &Parts<'_>,
        range: &Range,
        read: impl FnOnce(&str) -> Result<f64, CalcError>,
    ) -> Option<f64> {
        let Parts { value, printed, field, example } = *parts;
        if printed.is_empty() {
            if value.is_none() {
                self.reject_here(format!("is empty: give {field}, or the printed text such as {example:?}"));
            }
            return self.number(field, value, range);
        }
        let number = self.number(field, value, range);
        let exact = match read(printed) {
            Ok(exact) => exact,
            Err(error) => {
                self.reject_calc("printed", &error);
                return None;
            }
        };
        if !range.holds(exact) {
            self.number("printed", Some(exact), range);
            return None;
        }
        if let Some(number) = number
            && (number - exact).abs() > rounding(number)
        {
            let why = format!("says {number}, but the printed text {printed:?} is {exact}: leave one of them out");
            self.reject(field, why);
            return None;
        }
        Some(exact)
    }
}

/// Returns how far a number may be from what it was rounded from: half of its own last decimal place.
fn rounding(number: f64) -> f64 {
    let mut place = 1.0;
    for _ in 0..9 {
        if (number / place).round() * place == number {
            break;
        }
        place /= 10.0;
    }
    // A hair more than half, for what binary fractions make of a number that ends in 5.
    place * 0.500_001
}
