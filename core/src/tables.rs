//! Printed data: one file per standard and edition; its `SOURCE` is the first constant.
//!
//! Rows are never interpolated. What a table does not hold is an error that names the rows it has, or `None` where a
//! size simply has no such figure; neither ever stands for "any strength will do".

pub mod asme_b18;
pub mod asme_b1_1;
pub mod awg;
pub mod brake_thresholds;
pub mod connectors;
pub mod embedding;
pub mod faying;
pub mod friction;
pub mod fuses;
pub mod hardware;
pub mod iso_10684;
pub mod iso_261;
pub mod iso_273;
pub mod iso_3506;
pub mod iso_4014;
pub mod iso_4032;
pub mod iso_6722;
pub mod iso_7089;
pub mod iso_724;
pub mod iso_898_1_2013;
pub mod iso_898_2;
pub mod iso_898_6;
pub mod j684;
pub mod lamp_loads;
pub mod limiting_pressure;
pub mod load_index;
pub mod roles;
pub mod routing;
pub mod sae_j429;
pub mod sae_j995;
pub mod thread_limits;
pub mod tightening_method;

#[cfg(test)]
mod handbook;

pub use hardware::{
    HoleSeries, WasherSeries, WasherSize, across_flats, bearing_diameter, clearance_hole, nut_height, washer,
};

use std::fmt::Display;

use crate::basis::Source;
use crate::error::CalcError;
use crate::model::fastener::{BoltClass, NutClass, StainlessClass};
use crate::model::thread::{Thread, ThreadSystem};
use crate::units::{Force, Length, Stress};

/// What a least yield is measured as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum YieldKind {
    /// Lower yield strength, `ReL`.
    Lower,
    /// Stress at 0.2 % offset on a machined piece, `Rp0.2`.
    Offset,
    /// Stress at 0.0048 d offset on the full-size bolt, `Rpf`.
    FullSize,
}

/// How strong a bolt of one class is in one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltStrength {
    /// Nominal tensile strength, where the standard gives one; never to be relied on in place of the least.
    pub tensile_nominal: Option<Stress>,
    /// Least tensile strength.
    pub tensile_min: Stress,
    /// Nominal yield, where the standard gives one; never to be relied on in place of the least.
    pub yield_nominal: Option<Stress>,
    /// Least yield, of the kind beside it.
    pub yield_min: Stress,
    /// What the least yield is measured as.
    pub yield_kind: YieldKind,
    /// Stress under proof load; absent where the standard has none, as for stainless bolts.
    pub proof: Option<Stress>,
    /// The longest bolt these figures hold for, where the standard limits it: grade 2 above 6 in is weaker.
    pub length_max: Option<Length>,
    /// Where the row was read.
    pub source: Source,
}

/// What a nut holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutProof {
    /// Proof stress over the thread's stress area.
    pub stress: Stress,
    /// Proof load: the printed one where the standard prints it, otherwise stress times area.
    pub load: Force,
    /// Whether the nut is of full height and full strength. A thin nut never develops the bolt.
    pub full_strength: bool,
    /// Where the row was read.
    pub source: Source,
}

impl NutProof {
    fn computed(stress: Stress, thread: &Thread, full_strength: bool, source: Source) -> Self {
        Self { stress, load: stress * thread.stress_area(), full_strength, source }
    }
}

/// How a nut's class stands to a bolt's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NutMatch {
    /// The nut that belongs to the bolt.
    Same,
    /// A stronger nut; always allowed.
    Stronger,
    /// A weaker or thin nut: its threads may strip before the bolt breaks.
    Weaker,
    /// Classes of different systems, which have no common measure.
    OtherSystem,
}

fn no_class_row(class: impl Display, thread: &Thread, table: &'static str, rows: &str) -> CalcError {
    CalcError::NoSuchRow { field: "class", key: format!("{class} on {thread}"), table, rows: rows.to_owned() }
}

fn only(system: ThreadSystem, thread: &Thread) -> Result<(), CalcError> {
    if thread.system == system {
        return Ok(());
    }
    let why = match system {
        ThreadSystem::Metric => "this class is defined for metric threads only",
        ThreadSystem::Unified => "this grade is defined for inch threads only",
    };
    Err(CalcError::Conflict { field: "class", other: "thread", why })
}

/// Returns how strong a bolt of this class is in this size.
///
/// Grade 2 to 3/4 in gets its stronger row, and `length_max` says how long the bolt may be for that;
/// use [`bolt_strength_at`] when the length is known.
///
/// # Errors
///
/// [`CalcError::Conflict`] when class and thread are of different systems; [`CalcError::NoSuchRow`] when the class is
/// not made in this size.
pub fn bolt_strength(class: BoltClass, thread: &Thread) -> Result<BoltStrength, CalcError> {
    strength(class, thread, None)
}

/// Returns how strong a bolt of this class, size and length is.
///
/// # Errors
///
/// As [`bolt_strength`].
pub fn bolt_strength_at(class: BoltClass, thread: &Thread, length: Length) -> Result<BoltStrength, CalcError> {
    strength(class, thread, Some(length))
}

fn strength(class: BoltClass, thread: &Thread, length: Option<Length>) -> Result<BoltStrength, CalcError> {
    match class {
        BoltClass::Iso(class) => {
            only(ThreadSystem::Metric, thread)?;
            iso_898_1_2013::strength(class, thread)
        }
        BoltClass::Sae(grade) => {
            only(ThreadSystem::Unified, thread)?;
            sae_j429::strength(grade, thread, length)
        }
        BoltClass::Stainless(class) => {
            only(ThreadSystem::Metric, thread)?;
            iso_3506::strength(class, thread)
        }
    }
}

/// Returns what a nut of this class holds in this size.
///
/// # Errors
///
/// As [`bolt_strength`].
pub fn nut_proof(class: NutClass, thread: &Thread) -> Result<NutProof, CalcError> {
    use NutClass::{Sae2, Sae5, Sae8, Stainless50, Stainless70, Stainless80};
    match class {
        Sae2 | Sae5 | Sae8 => {
            only(ThreadSystem::Unified, thread)?;
            sae_j995::nut_proof(class, thread)
        }
        Stainless50 | Stainless70 | Stainless80 => {
            only(ThreadSystem::Metric, thread)?;
            let class = match class {
                Stainless50 => StainlessClass::C50,
                Stainless70 => StainlessClass::C70,
                _ => StainlessClass::C80,
            };
            iso_3506::nut_proof(class, thread)
        }
        _ => {
            only(ThreadSystem::Metric, thread)?;
            iso_898_2::nut_proof(class, thread)
        }
    }
}

/// Returns what a hot-dip galvanised nut holds: reduced at M8 and M10, the ordinary figure above.
///
/// # Errors
///
/// As [`nut_proof`]; also [`CalcError::NoSuchRow`] for an M8 or M10 class that ISO 10684 gives no reduced figure for.
pub fn nut_proof_galvanised(class: NutClass, thread: &Thread) -> Result<NutProof, CalcError> {
    let full = nut_proof(class, thread)?;
    if let Some(reduced) = iso_10684::nut_proof(class, thread) {
        return Ok(reduced);
    }
    let small = thread.system == ThreadSystem::Metric && thread.diameter.mm() < 8.0;
    if small || iso_10684::is_weakened(thread) {
        return Err(no_class_row(
            class,
            thread,
            "ISO 10684",
            "8 and 10 on M8x1.25 and M10x1.5; M12 and above unreduced",
        ));
    }
    Ok(full)
}

/// Returns how a nut's class stands to a bolt's.
///
/// A nut's number is the first number of the strongest bolt it develops: 8 with 8.8, 10 with 10.9 (ISO 898-2), and a
/// nut's grade is at least the bolt's (SAE J995). A thin nut is weaker than every bolt.
#[must_use]
pub fn nut_matches(bolt: BoltClass, nut: NutClass) -> NutMatch {
    let (needed, given) = match (bolt, nut) {
        (_, NutClass::Iso04 | NutClass::Iso05) => {
            return if matches!(bolt, BoltClass::Iso(_)) { NutMatch::Weaker } else { NutMatch::OtherSystem };
        }
        (BoltClass::Iso(class), nut) if nut.system() == bolt.system() => (iso_898_2::least_nut(class), nut.number()),
        (BoltClass::Sae(grade), nut) if nut.system() == bolt.system() => (grade.number(), nut.number()),
        (BoltClass::Stainless(class), nut) if nut.system() == bolt.system() => (class.number(), nut.number()),
        _ => return NutMatch::OtherSystem,
    };
    match given.cmp(&needed) {
        std::cmp::Ordering::Equal => NutMatch::Same,
        std::cmp::Ordering::Greater => NutMatch::Stronger,
        std::cmp::Ordering::Less => NutMatch::Weaker,
    }
}
