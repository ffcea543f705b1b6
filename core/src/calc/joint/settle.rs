//! What embedding takes from the preload.

use crate::{
    error::CalcError,
    range::Range,
    tables::embedding::{self, Loading, Roughness},
    units::Force,
};

/// Interfaces between clamped parts; none for a single part between head and nut.
pub const INNER: Range = Range::new("inner_interface_count", "", 0.0, 16.0);
/// Resilience of bolt and parts together, mm/N.
pub const RESILIENCE: Range = Range::new("resilience_mm_per_n", "mm/N", 1e-9, 1e-3);

/// The stack as far as it settles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// How rough its surfaces are.
    pub roughness: Roughness,
    /// Which way it is loaded.
    pub loading: Loading,
    /// How many faces bear under head and nut: two for a through bolt, one in a tapped hole.
    pub faces: u32,
    /// How many interfaces lie between clamped parts.
    pub inner: u32,
}

impl Settling {
    /// Returns how much the stack settles, µm: threads once, every face, every inner interface.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] for no face or more than two, or outside [`INNER`].
    ///
    /// # Source
    ///
    /// [`embedding::SOURCE`]. Bare steel only: paint, powder coat, primer and rubber are outside the table.
    pub fn micrometres(&self) -> Result<f64, CalcError> {
        const FACES: Range = Range::new("face_count", "", 1.0, 2.0);
        let faces = FACES.check(f64::from(self.faces))?;
        let inner = INNER.check(f64::from(self.inner))?;
        let [thread, face, interface] = embedding::settling(self.roughness, self.loading);
        Ok(thread + faces * face + inner * interface)
    }

    /// Returns what it takes from the preload: `F_Z = f_Z / (δ_S + δ_P)`.
    ///
    /// # Errors
    ///
    /// As [`Settling::micrometres`], and outside [`RESILIENCE`].
    ///
    /// # Source
    ///
    /// [`embedding::SOURCE`].
    pub fn loss(&self, bolt: f64, plates: f64) -> Result<Force, CalcError> {
        Ok(Force::from_n(self.micrometres()? / 1000.0 / RESILIENCE.check(bolt + plates)?))
    }
}
