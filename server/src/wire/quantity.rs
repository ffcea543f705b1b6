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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{WireError, fixture::paths, ranges};

    fn mass(value_kg: Option<f64>, printed: &str) -> Result<Mass, WireError> {
        let wire = pb::Mass { value_kg, printed: printed.to_owned() };
        let mut fields = Fields::default();
        let mass = fields.mass("gvwr", Some(&wire), &ranges::MASS);
        fields.finish(mass)
    }

    fn length(value_mm: Option<f64>, printed: &str) -> Result<Length, WireError> {
        let wire = pb::Length { value_mm, printed: printed.to_owned() };
        let mut fields = Fields::default();
        let length = fields.length("shank", Some(&wire), &ranges::SIZE);
        fields.finish(length)
    }

    #[test]
    fn a_number_or_a_printed_text_will_do_and_the_text_is_exact() {
        assert_eq!(mass(Some(2268.0), ""), Ok(Mass::from_kg(2268.0)));
        assert_eq!(mass(None, "5,000 lb"), Ok(Mass::from_lb(5000.0)));
        // 5,000 lb are 2267.961 85 kg: every way to round that stands beside it.
        for number in [2268.0, 2267.96, 2_267.962, 2_267.961_85] {
            assert_eq!(mass(Some(number), "5,000 lb"), Ok(Mass::from_lb(5000.0)), "{number}");
        }
        assert_eq!(length(Some(50.8), "2 in"), Ok(Length::from_in(2.0)));
        assert_eq!(length(Some(58.7), "2-5/16 in"), Ok(Length::from_in(2.3125)));
    }

    #[test]
    fn a_number_that_is_not_the_printed_text_is_refused() {
        for number in [2270.0, 2267.9, 2267.97, 5000.0, 2000.0] {
            let error = mass(Some(number), "5,000 lb").unwrap_err();
            assert_eq!(paths(&error), ["gvwr.value_kg"], "{number}");
            assert!(error.to_string().contains("leave one of them out"), "{error}");
        }
        // A 50 mm ball is no 2 in ball, however few digits are printed.
        assert_eq!(paths(&length(Some(50.0), "2 in").unwrap_err()), ["shank.value_mm"]);
    }

    #[test]
    fn what_cannot_be_read_says_so_where_it_stands() {
        assert_eq!(paths(&mass(None, "").unwrap_err()), ["gvwr"]);
        assert_eq!(paths(&mass(None, "5,000").unwrap_err()), ["gvwr.printed"]);
        assert_eq!(paths(&mass(None, "75 lb-ft").unwrap_err()), ["gvwr.printed"]);
        assert_eq!(paths(&mass(None, "900,000 lb").unwrap_err()), ["gvwr.printed"]);
        assert_eq!(paths(&mass(Some(-1.0), "5,000 lb").unwrap_err()), ["gvwr.value_kg"]);
        assert_eq!(paths(&mass(Some(f64::NAN), "five tons").unwrap_err()), ["gvwr.value_kg", "gvwr.printed"]);
        let error = mass(Some(60_001.0), "").unwrap_err();
        assert_eq!(error.violations[0].description, "must be 0 to 60000 kg, is 60001");
    }
}
