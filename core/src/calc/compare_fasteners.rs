//! Whether a bolt, a nut and a washer may stand in for the specified ones.
//!
//! The verdict is one of: the same; better, and the original torque stays; worse, refuse. A part about which too little is
//! known is none of these: it is refused until somebody knows.

mod bolt;
pub mod captive;
mod nut;
pub mod reason;
pub mod reuse;
mod washer;

pub use reason::{Reason, ReasonKind, Weight};
pub use washer::LEAST_GAP_MM;

use crate::{
    basis::{Basis, Seen, Source},
    calc::condition::{RING_HOLE, RING_OUTER},
    error::CalcError,
    model::fastener::{Bolt, Nut, Washer},
    range::Range,
    units::Length,
};

/// A higher class keeps the original torque; a lower one is never fitted.
pub const CLASS_SOURCE: Source = Source::new(
    "US Army TM 5-3895-367-14&P, appendix H, and TM 5-3800-205-23-1; an equipment manual",
    "",
    Seen::Opened,
);

/// Length under the head, grip and washers.
pub const LENGTH: Range = Range::new("length_mm", "mm", 0.0, 1000.0);

/// Hardness of a washer, Vickers.
pub const HARDNESS: Range = Range::new("hardness_hv", "HV", 20.0, 1000.0);

/// Fasteners of one place in a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Fasteners {
    /// The bolt.
    pub bolt: Bolt,
    /// The nut; `None` where the bolt is screwed into the part.
    pub nut: Option<Nut>,
    /// The washer under the turning side; `None` where there is none.
    pub washer: Option<Washer>,
}

/// What the parts around the fastener are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Around {
    /// Carbon steel.
    Steel,
    /// Aluminium.
    Aluminium,
    /// Stainless steel.
    Stainless,
}

/// What [`compare`] needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct CompareInput {
    /// What the maker specifies.
    pub specified: Fasteners,
    /// What is at hand.
    pub offered: Fasteners,
    /// The clamped parts without washers; `None` when nobody measured.
    pub grip: Option<Length>,
    /// What the parts are made of; `None` when nobody says.
    pub around: Option<Around>,
    /// Whether the offered bolt is electroplated; `None` when nobody says.
    pub electroplated: Option<bool>,
    /// Whether the specified torque was printed for a locking nut; the offered one must then lock too.
    pub specified_locks: Option<bool>,
    /// What an inspection of a used bolt found; `None` for a new one.
    pub used: Option<reuse::Inspection>,
    /// What is known of a used nut; `None` for a new one.
    pub used_nut: Option<reuse::UsedNut>,
}

/// Whether it may be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// The same.
    Same,
    /// Better; the original torque stays.
    BetterKeepTorque,
    /// Too little is known; refused until somebody knows.
    Unknown,
    /// Worse; refused.
    WorseRefuse,
}

impl Verdict {
    /// Returns its stable name.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::BetterKeepTorque => "better-keep-torque",
            Self::Unknown => "unknown",
            Self::WorseRefuse => "worse-refuse",
        }
    }

    /// Returns whether the part may be fitted.
    #[must_use]
    pub const fn may_be_fitted(self) -> bool {
        matches!(self, Self::Same | Self::BetterKeepTorque)
    }
}

/// What a comparison found.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The verdict, the worst that any reason asks for.
    pub verdict: Verdict,
    /// Every reason, the weightiest first.
    pub reasons: Vec<Reason>,
}

impl Comparison {
    /// Returns whether a reason of this kind was found.
    #[must_use]
    pub fn has(&self, kind: ReasonKind) -> bool {
        self.reasons.iter().any(|reason| reason.kind == kind)
    }

    /// Returns what it rests on.
    #[must_use]
    pub fn basis(&self) -> Vec<Basis> {
        self.reasons.iter().map(Reason::basis).collect()
    }
}

/// Compares the fasteners at hand with the specified ones.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a length outside [`LENGTH`], a face or hole outside [`RING_OUTER`] or [`RING_HOLE`], a
/// hardness outside [`HARDNESS`]; what the strength tables refuse, such as a class that is not
/// made in the bolt's size.
///
/// # Source
///
/// Each reason names its own.
pub fn compare(input: &CompareInput) -> Result<Comparison, CalcError> {
    if let Some(grip) = input.grip {
        LENGTH.check(grip.mm())?;
    }
    for fasteners in [&input.specified, &input.offered] {
        measures(fasteners)?;
    }
    let mut reasons = Vec::new();
    bolt::compare(input, &mut reasons)?;
    nut::compare(input, &mut reasons)?;
    washer::compare(input, &mut reasons);
    if let Some(used) = &input.used {
        reuse::judge(used, &input.offered.bolt, &mut reasons);
    }
    if let (Some(used), Some(nut)) = (&input.used_nut, &input.offered.nut) {
        reuse::judge_nut(used, nut, &mut reasons)?;
    }
    reasons.sort_by_key(|reason: &Reason| (std::cmp::Reverse(reason.kind.weight()), reason.kind));
    reasons.dedup_by_key(|reason| reason.kind);
    let verdict = reasons.iter().map(|reason| reason.kind.weight().verdict()).max().unwrap_or(Verdict::Same);
    Ok(Comparison { verdict, reasons })
}

/// Refuses measures that cannot be, so that no comparison below meets one that is not a number.
fn measures(fasteners: &Fasteners) -> Result<(), CalcError> {
    let Fasteners { bolt, nut, washer } = fasteners;
    let nut = nut.as_ref();
    let washer = washer.as_ref();
    let outer = [
        bolt.bearing_diameter,
        nut.and_then(|nut| nut.bearing_diameter),
        washer.and_then(|washer| washer.outer_diameter),
    ];
    let hole = [bolt.hole_diameter, washer.and_then(|washer| washer.inner_diameter)];
    let length = [bolt.length, nut.and_then(|nut| nut.height), washer.and_then(|washer| washer.thickness)];
    for (range, lengths) in [(RING_OUTER, &outer[..]), (RING_HOLE, &hole[..]), (LENGTH, &length[..])] {
        for length in lengths.iter().flatten() {
            range.check(length.mm())?;
        }
    }
    if let Some(hv) = washer.and_then(|washer| washer.hardness_hv) {
        HARDNESS.check(hv)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
