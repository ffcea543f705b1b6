//! The condition a thread is really in: coating and lubricant, and what friction that gives.

use crate::{error::CalcError, range::Range};

/// A low, a likely and a high value. Friction is never one number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The lowest credible value.
    pub low: f64,
    /// The value to aim by.
    pub nominal: f64,
    /// The highest credible value.
    pub high: f64,
}

impl Band {
    /// Returns a band of no width: what a printed table assumes, never what a bench finds.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, nominal: value, high: value }
    }

    /// Returns the band when all three values lie in the range and do not fall.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] for the first value outside the range; [`CalcError::Conflict`] when the values
    /// are not in rising order.
    pub fn check(self, range: &Range) -> Result<Self, CalcError> {
        for value in [self.low, self.nominal, self.high] {
            range.check(value)?;
        }
        if self.low <= self.nominal && self.nominal <= self.high {
            return Ok(self);
        }
        Err(CalcError::Conflict {
            field: range.field,
            other: range.field,
            why: "a band runs from its lowest over its likely to its highest value",
        })
    }

    /// Returns how many times the low value the high value is.
    #[must_use]
    pub const fn ratio(self) -> f64 {
        self.high / self.low
    }
}

/// A finish and lubrication condition.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// The entry name, `finishes/…`, or empty when given inline.
    pub name: String,
    /// What people call it: `zinc, dry`, `black, oiled`, `anti-seize on threads and face`.
    pub label: String,
    /// Nut factor K, when the condition is known by one.
    pub nut_factor: Option<Band>,
    /// Friction in the threads, when it is known.
    pub thread_friction: Option<Band>,
    /// Friction under the turning face, when it is known.
    pub face_friction: Option<Band>,
    /// Where the band comes from.
    pub source: String,
    /// Whether a lubricant is present; none, on the threads only, on the face only, on both.
    pub lubricated: Option<Lubricated>,
}

/// Which of the two sliding surfaces carries lubricant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lubricated {
    /// Neither.
    Dry,
    /// The threads only.
    ThreadsOnly,
    /// The face only.
    FaceOnly,
    /// Both.
    Both,
}
