//! Allowed ranges: one constant feeds the check, the message, the docs and the property tests.

use crate::error::CalcError;

/// The closed range an input must lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// What the input is called, as on the wire: `preload_n`.
    pub field: &'static str,
    /// The unit that `min` and `max` are in; empty for a bare ratio.
    pub unit: &'static str,
    /// The least allowed value.
    pub min: f64,
    /// The greatest allowed value.
    pub max: f64,
}

impl Range {
    /// Declares a range.
    #[must_use]
    pub const fn new(field: &'static str, unit: &'static str, min: f64, max: f64) -> Self {
        Self { field, unit, min, max }
    }

    /// Returns the value when it is a number inside the range; NaN and the infinities never are.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] with this range's own field, unit and bounds.
    pub fn check(&self, value: f64) -> Result<f64, CalcError> {
        if self.holds(value) {
            return Ok(value);
        }
        Err(CalcError::OutOfRange { field: self.field, value, unit: self.unit, min: self.min, max: self.max })
    }

    /// Returns whether the value is a number inside the range.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        self.min <= value && value <= self.max
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_inside_and_not_a_number_is_outside() {
        let range = Range::new("tongue_kg", "kg", 0.0, 2000.0);
        assert_eq!(range.check(0.0), Ok(0.0));
        assert_eq!(range.check(2000.0), Ok(2000.0));
        for bad in [-0.001, 2000.001, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(range.check(bad).is_err(), "{bad}");
        }
    }
}
