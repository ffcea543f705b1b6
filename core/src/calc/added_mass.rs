//! The added-mass label: how much a shop may add before the first sale without a label.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::Mass,
};

/// Where the threshold is published.
pub const SOURCE: Source = Source::new("FMVSS 110 and 120, final rule 72 FR 68442", "2007", Seen::Opened);
/// Allowed gross vehicle weight rating.
pub const GVWR: Range = Range::new("gvwr_kg", "kg", 100.0, 60_000.0);
/// Allowed added mass, net of what was taken off.
pub const ADDED: Range = Range::new("added_kg", "kg", -5_000.0, 20_000.0);
/// The share of the gross rating.
pub const SHARE: f64 = 0.015;
/// The fixed mass, the exact hundred pounds; the rule's own 45.4 kg is that number rounded.
pub const FIXED: Mass = Mass::from_lb(100.0);

/// What the threshold is set by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetBy {
    /// 1.5 % of the gross rating.
    Share,
    /// A hundred pounds.
    HundredPounds,
}

/// How much may be added without a label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threshold {
    /// Up to and including this.
    pub limit: Mass,
    /// What sets it.
    pub set_by: SetBy,
}

impl Threshold {
    /// Returns whether a label is due: only strictly above the limit, see [`Mass::exceeds`].
    #[must_use]
    pub fn due(&self, added: Mass) -> bool {
        added.exceeds(self.limit)
    }
}

/// Returns how much mass may be added before the first retail sale without a label.
///
/// ```text
/// limit = min(0.015 · GVWR, 100 lb)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`GVWR`].
///
/// # Source
///
/// FMVSS 110 and 120, final rule 72 FR 68442 of 4 December 2007. Trailers have their own placard.
pub fn label_threshold(gvwr: Mass) -> Result<Threshold, CalcError> {
    GVWR.check(gvwr.kg())?;
    let share = gvwr * SHARE;
    Ok(if share < FIXED {
        Threshold { limit: share, set_by: SetBy::Share }
    } else {
        Threshold { limit: FIXED, set_by: SetBy::HundredPounds }
    })
}

/// Returns whether the label is due for what all shops together have added, less what they took off.
///
/// Counting net of removed parts is common practice, no source; both masses belong in the log.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`GVWR`] or [`ADDED`].
pub fn label_due(gvwr: Mass, added: Mass, removed: Mass) -> Result<bool, CalcError> {
    let net = added - removed;
    ADDED.check(net.kg())?;
    Ok(label_threshold(gvwr)?.due(net))
}

/// Returns the step behind [`label_threshold`].
#[must_use]
pub fn basis(gvwr: Mass) -> Vec<Basis> {
    vec![Basis::new("added-mass-label", "limit = min(0.015 · GVWR, 100 lb)", SOURCE, &[("gvwr_kg", gvwr.kg())])]
}
