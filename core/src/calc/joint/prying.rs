//! A plate that bends between bolt and web pries on the bolt: the three ways a T-shaped piece fails.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Force, Length, Stress, Torque},
};

/// Where the three modes are printed.
pub const SOURCE: Source = Source::new("EN 1993-1-8, equivalent T-stub", "", Seen::FromMemory);

/// A lever or a length of the plate.
pub const LEVER: Range = Range::new("lever_mm", "mm", 1.0, 1000.0);
/// Thickness of the plate.
pub const THICKNESS: Range = Range::new("thickness_mm", "mm", 0.5, 100.0);
/// Yield of the plate.
pub const YIELD: Range = Range::new("yield_mpa", "MPa", 50.0, 1500.0);
/// Tension the bolts bear together.
pub const BOLTS: Range = Range::new("bolts_tension_n", "N", 1.0, 2.0e7);

/// A plate that bends between bolts and web.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stub {
    /// Effective length of the plate that works with these bolts.
    pub length: Length,
    /// Its thickness.
    pub thickness: Length,
    /// Its yield.
    pub yields: Stress,
    /// From the bolts to the web, m.
    pub to_web: Length,
    /// From the bolts to the free edge, e.
    pub to_edge: Length,
    /// What the bolts bear in tension together.
    pub bolts: Force,
}

/// How it fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// The plate yields at web and bolts.
    Plate,
    /// The plate yields at the web and the bolts break, pried.
    PlateAndBolts,
    /// The bolts break, unpried.
    Bolts,
}

/// What a T-shaped piece bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pried {
    /// Plastic moment of the plate.
    pub moment: Torque,
    /// The resistances of the three modes, in their order.
    pub modes: [Force; 3],
    /// The least.
    pub resistance: Force,
    /// The mode that gives it.
    pub governing: Mode,
}

impl Stub {
    /// Returns what it bears.
    ///
    /// ```text
    /// Mpl = 0.25 l t² fy;  n = min(e, 1.25 m)
    /// F1 = 4 Mpl / m;  F2 = (2 Mpl + n ΣFt) / (m + n);  F3 = ΣFt
    /// ```
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] for the first figure outside its range.
    ///
    /// # Source
    ///
    /// [`SOURCE`].
    pub fn resistance(&self) -> Result<Pried, CalcError> {
        let [length, m, e] =
            [LEVER.check(self.length.mm())?, LEVER.check(self.to_web.mm())?, LEVER.check(self.to_edge.mm())?];
        let (t, fy) = (THICKNESS.check(self.thickness.mm())?, YIELD.check(self.yields.mpa())?);
        let bolts = BOLTS.check(self.bolts.n())?;
        let moment = 0.25 * length * t * t * fy;
        let n = e.min(1.25 * m);
        let modes = [4.0 * moment / m, (2.0 * moment + n * bolts) / (m + n), bolts];
        let (governing, least) = [Mode::Plate, Mode::PlateAndBolts, Mode::Bolts]
            .into_iter()
            .zip(modes)
            .fold((Mode::Bolts, bolts), |best, next| if next.1 < best.1 { next } else { best });
        Ok(Pried {
            moment: Torque::from_n_m(moment / 1000.0),
            modes: modes.map(Force::from_n),
            resistance: Force::from_n(least),
            governing,
        })
    }
}
