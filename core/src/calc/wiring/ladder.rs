//! Loads along one run, each a resistance between the wire out and the wire back: the loop solved as a whole.

use super::{
    Wire,
    drop::{LENGTH, LOAD, SUPPLY},
};
use crate::{
    error::CalcError,
    range::Range,
    units::{Amps, Length, Ohms, Volts},
};

/// Allowed number of loads along a run.
pub const TAPS: Range = Range::new("taps_count", "", 1.0, 100.0);

/// A load at a place along the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tap {
    /// How far from the supply, one way, in the range [`LENGTH`].
    pub at: Length,
    /// Its resistance, in the range [`LOAD`].
    pub load: Ohms,
}

/// What each load gets.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    /// What the supply gives.
    pub total: Amps,
    /// The voltage at each load, in the order given.
    pub volts: Vec<Volts>,
    /// The current through each load.
    pub amps: Vec<Amps>,
}

/// Solves a run with several loads along it.
///
/// ```text
/// from the far end:   Z_k = r_k + (R_k ∥ Z_k+1)        r_k: wire out and back from load k − 1 to load k
/// from the supply:    I_1 = V / Z_1, V_k = V_k−1 − I_k · r_k
/// ```
///
/// # Errors
///
/// - [`CalcError::OutOfRange`] or [`CalcError::NoSuchRow`] for what cannot be.
/// - [`CalcError::Conflict`] for loads that are not listed by rising distance.
///
/// # Source
///
/// Derived: Ohm's law and Kirchhoff's.
pub fn ladder(supply: Volts, wire: Wire, celsius: f64, taps: &[Tap]) -> Result<Ladder, CalcError> {
    let supply = SUPPLY.check(supply.v())?;
    // A count of loads is far below the point where a float would round it.
    TAPS.check(taps.len() as f64)?;
    let per_mm = wire.resistance_per_metre(celsius)?.ohm() * 2.0 / 1000.0;
    let mut before = 0.0;
    let mut rungs = Vec::with_capacity(taps.len());
    for tap in taps {
        let at = LENGTH.check(tap.at.mm())?;
        let load = LOAD.check(tap.load.ohm())?;
        if at < before {
            return Err(CalcError::Conflict {
                field: "at_mm",
                other: "taps",
                why: "loads are listed by rising distance from the supply",
            });
        }
        rungs.push(((at - before) * per_mm, load));
        before = at;
    }
    // From the far end: what each stretch and all beyond it come to, and what lies beyond each load.
    let mut beyond = f64::INFINITY;
    let mut seen = Vec::with_capacity(rungs.len());
    for &(stretch, load) in rungs.iter().rev() {
        let joined = 1.0 / (1.0 / load + 1.0 / beyond);
        beyond = stretch + joined;
        seen.push(beyond);
    }
    let (mut volts, mut amps) = (Vec::with_capacity(rungs.len()), Vec::with_capacity(rungs.len()));
    let mut here = supply;
    let mut total = 0.0;
    for (index, (&(stretch, load), all)) in rungs.iter().zip(seen.iter().rev()).enumerate() {
        let flowing = here / all;
        if index == 0 {
            total = flowing;
        }
        here -= flowing * stretch;
        volts.push(Volts::from_v(here));
        amps.push(Amps::from_a(here / load));
    }
    Ok(Ladder { total: Amps::from_a(total), volts, amps })
}
