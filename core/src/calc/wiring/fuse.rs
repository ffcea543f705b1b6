//! The fuse of a circuit: large enough for its load, small enough for its wire.

use super::{Wire, drop::CURRENT};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    tables::{
        fuses::{self, BY_AREA, BY_GAUGE, DISTANCE_GOOD, DISTANCE_MAX, Fuse, WireMax},
        iso_6722,
    },
    units::{Amps, Area, Length},
};

/// Allowed share of its rating that a fuse carries at all times; common practice, no source, is 0.75 to 0.80. Cold
/// filaments draw about ten times their current for milliseconds, so none is ever filled.
pub const FILL: Range = Range::new("fuse_fill", "", 0.5, 0.8);
/// Allowed rating of a fuse.
pub const RATING: Range = Range::new("fuse_a", "A", 0.5, 500.0);
/// Allowed distance of a fuse from its source.
pub const DISTANCE: Range = Range::new("fuse_distance_mm", "mm", 0.0, 20_000.0);

const RULE: Source = Source::new("load over fill ≤ fuse ≤ what the wire takes", "", Seen::CommonPractice);

/// What a fuse is chosen for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseInput {
    /// The current at all times, in the range [`CURRENT`].
    pub load: Amps,
    /// Which share of its rating the fuse may carry, in the range [`FILL`].
    pub fill: f64,
    /// The wire it protects.
    pub wire: Wire,
}

/// Which fuse, or why none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FuseChoice {
    /// This step is enough for the load, and the wire takes it.
    Fits(Fuse),
    /// The step the load needs is more than the wire takes. The wire grows, never the fuse.
    WireTooThin {
        /// The step the load needs.
        needed: Fuse,
        /// What the wire takes.
        wire_max: Amps,
        /// The thinnest wire of the same kind that takes it, when the table has one.
        thicker: Option<Wire>,
    },
    /// The load needs more than the largest step.
    BeyondSteps {
        /// What it needs.
        needed: Amps,
    },
}

/// Returns what a wire may be fused at; the defaults are common practice, no source.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a size without a row; [`CalcError::Missing`] for a wire known by its area alone, which
/// names neither cable nor insulation.
pub fn wire_max(wire: Wire) -> Result<WireMax, CalcError> {
    match wire {
        Wire::Awg(gauge) => fuses::gauge_max(gauge),
        Wire::Metric(area) => fuses::area_max(area.mm2()),
        Wire::Geometric(_) => Err(CalcError::Missing { field: "wire", by: "what the wire may be fused at" }),
    }
}

/// Returns what a wire takes at least: its own row, or that of the next thinner size that has one. A thicker conductor
/// takes no less than a thinner one; nothing is made of it beyond that.
///
/// # Errors
///
/// As [`wire_max`], when no thinner size has a row either.
pub fn takes(wire: Wire) -> Result<WireMax, CalcError> {
    let thinner = match wire {
        Wire::Awg(gauge) => BY_GAUGE.iter().rev().find(|row| gauge <= row.0).map(|row| row.1),
        Wire::Metric(area) => BY_AREA.iter().rev().find(|row| row.0 <= area.mm2()).map(|row| row.1),
        Wire::Geometric(_) => None,
    };
    thinner.map_or_else(|| wire_max(wire), Ok)
}

/// Chooses the least step that the load asks for, if the wire takes it.
///
/// ```text
/// I_load / fill ≤ I_fuse ≤ I_wire
/// ```
///
/// # Errors
///
/// As [`takes`]; [`CalcError::OutOfRange`] for the load or the fill.
///
/// # Source
///
/// Steps: ISO 8820-3. The rule and the wire's maxima: common practice, no source.
pub fn choose_fuse(input: &FuseInput) -> Result<FuseChoice, CalcError> {
    let needed = CURRENT.check(input.load.a())? / FILL.check(input.fill)?;
    let most = takes(input.wire)?.cautious;
    let Some(step) = fuses::at_least(Amps::from_a(needed)) else {
        return Ok(FuseChoice::BeyondSteps { needed: Amps::from_a(needed) });
    };
    if step.rating <= most {
        return Ok(FuseChoice::Fits(*step));
    }
    let takes = |row: &WireMax| row.cautious >= step.rating;
    let thicker = match input.wire {
        Wire::Awg(_) => BY_GAUGE.iter().find(|row| takes(&row.1)).map(|row| Wire::Awg(row.0)),
        Wire::Metric(_) | Wire::Geometric(_) => {
            BY_AREA.iter().find(|row| takes(&row.1)).map(|row| Wire::Metric(Area::from_mm2(row.0)))
        }
    };
    Ok(FuseChoice::WireTooThin { needed: *step, wire_max: most, thicker })
}

/// What there is to say of a fuse that is already there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FuseCheck {
    /// Whether it holds the load.
    pub holds_load: bool,
    /// Whether it protects the wire by the cautious figure.
    pub protects_wire: bool,
    /// Whether such a step is made.
    pub is_step: bool,
}

impl FuseCheck {
    /// Returns whether nothing is wrong with it.
    #[must_use]
    pub const fn good(&self) -> bool {
        self.holds_load && self.protects_wire && self.is_step
    }
}

/// Checks a fuse that is already there.
///
/// # Errors
///
/// As [`choose_fuse`]; [`CalcError::OutOfRange`] for [`RATING`].
pub fn check_fuse(input: &FuseInput, fuse: Amps) -> Result<FuseCheck, CalcError> {
    let rating = RATING.check(fuse.a())?;
    let needed = CURRENT.check(input.load.a())? / FILL.check(input.fill)?;
    Ok(FuseCheck {
        holds_load: needed <= rating * (1.0 + 1e-12),
        protects_wire: fuse <= takes(input.wire)?.cautious,
        is_step: fuses::STEPS.iter().any(|step| step.rating == fuse),
    })
}

/// How a fuse sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FusePlace {
    /// Near enough to its source.
    Good,
    /// Further than good, not yet too far.
    Far,
    /// So far that the wire before it is unprotected.
    TooFar,
}

/// Returns how a fuse sits by its distance from the source: 180 mm is good, 450 mm the most (common practice, no source).
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`DISTANCE`].
pub fn place(distance: Length) -> Result<FusePlace, CalcError> {
    DISTANCE.check(distance.mm())?;
    Ok(if distance <= DISTANCE_GOOD {
        FusePlace::Good
    } else if distance <= DISTANCE_MAX {
        FusePlace::Far
    } else {
        FusePlace::TooFar
    })
}

/// Returns the next thicker metric size, or the next thicker gauge that is sold.
#[must_use]
pub fn one_size_up(wire: Wire) -> Option<Wire> {
    match wire {
        Wire::Awg(gauge) => (gauge >= 2).then_some(Wire::Awg(gauge - 2)),
        Wire::Metric(area) | Wire::Geometric(area) => {
            iso_6722::ROWS.iter().find(|row| row.0 > area.mm2()).map(|row| Wire::Metric(Area::from_mm2(row.0)))
        }
    }
}

/// Returns the steps behind [`choose_fuse`].
#[must_use]
pub fn basis(input: &FuseInput) -> Vec<Basis> {
    vec![
        Basis::new(
            "fuse-choice",
            "I_load / fill ≤ I_fuse ≤ I_wire",
            RULE,
            &[("load_a", input.load.a()), ("fuse_fill", input.fill)],
        ),
        Basis::new("fuse-steps", "the least step made", fuses::SOURCE, &[]),
        Basis::new("fuse-wire", "what the wire takes", fuses::WIRE_SOURCE, &[]),
    ]
}
