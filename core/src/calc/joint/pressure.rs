//! Pressure under head, nut and washer.

use std::f64::consts::PI;

use crate::{
    calc::condition::{RING_HOLE, RING_OUTER},
    error::CalcError,
    range::Range,
    units::{Area, Force, Length, Stress},
};

/// A force on a bearing face.
pub const FORCE: Range = Range::new("force_n", "N", 0.0, 5.0e6);

/// A ring that bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Its outer diameter.
    pub outer: Length,
    /// The hole in it.
    pub hole: Length,
}

impl Ring {
    /// Returns the ring that two faces have in common: the lesser outside, the larger hole.
    #[must_use]
    pub fn shared(self, other: Self) -> Self {
        Self { outer: self.outer.min(other.outer), hole: self.hole.max(other.hole) }
    }

    /// Returns its area: `A = π/4 (dw² − dh²)`.
    ///
    /// # Errors
    ///
    /// [`CalcError::Conflict`] when nothing is left of the ring; [`CalcError::OutOfRange`] for a diameter out of range.
    pub fn area(self) -> Result<Area, CalcError> {
        let (outer, hole) = (RING_OUTER.check(self.outer.mm())?, RING_HOLE.check(self.hole.mm())?);
        if outer <= hole {
            return Err(CalcError::Conflict {
                field: RING_OUTER.field,
                other: RING_HOLE.field,
                why: "a bearing face is wider than its hole",
            });
        }
        Ok(Area::from_mm2(PI / 4.0 * (outer * outer - hole * hole)))
    }

    /// Returns the pressure of a force on it: `p = F / A`.
    ///
    /// # Errors
    ///
    /// As [`Ring::area`]; also [`CalcError::OutOfRange`] outside [`FORCE`].
    pub fn pressure(self, force: Force) -> Result<Stress, CalcError> {
        FORCE.check(force.n())?;
        Ok(force / self.area()?)
    }
}
