//! What turns torque into preload: nut factor, or friction in the threads and under the face.
//!
//! Both forms come down to one arm: preload times arm is torque. `K · d` is that arm in the short form; the sum of
//! a pitch, a thread and a face term in the long one.

mod screw;

pub use screw::{Arm, Arms, Screw};

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::finish::{Band, Finish},
    range::Range,
    tables,
    units::Length,
};

/// Where the short form is printed.
pub const SHORT_SOURCE: Source = Source::new("Mechanical Fastening, Joining and Assembly, p. 85", "", Seen::Opened);
/// Where the long form is printed.
pub const LONG_SOURCE: Source = Source::new("VDI 2230 part 1, DIN 946, ISO 16047", "", Seen::FromMemory);

/// Where bearing faces and holes of hexagons are printed: ISO 4014 the face itself; ASME B18.2.1 the width across flats,
/// and a face of that diameter less up to a tenth.
pub const FACE_SOURCE: Source = Source::new("ISO 4014 and ISO 273; ASME B18.2.1 and B18.2.8", "", Seen::FromMemory);

/// Nut factor K: from below the slipperiest friction class to above the driest published row.
pub const NUT_FACTOR: Range = Range::new("nut_factor", "", 0.05, 0.60);
/// Coefficient of friction: from the lower edge of friction class A to above the lower edge of class E.
pub const FRICTION: Range = Range::new("friction", "", 0.04, 0.50);
/// Nominal diameter of a thread.
pub const DIAMETER: Range = Range::new("diameter_mm", "mm", 1.6, 100.0);
/// Outer diameter of the ring that slides under the head, nut or washer.
pub const RING_OUTER: Range = Range::new("bearing_diameter_mm", "mm", 2.0, 300.0);
/// The hole inside that ring.
pub const RING_HOLE: Range = Range::new("hole_diameter_mm", "mm", 1.6, 250.0);

/// The condition of the two sliding surfaces of a fastener that is being tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Condition {
    /// Known by its nut factor K: the short form.
    NutFactor(Band),
    /// Known by friction in the threads and under the turning face: the long form.
    Friction {
        /// In the threads.
        thread: Band,
        /// Under the turning face.
        face: Band,
    },
    /// Nobody knows. Calculations then run over the widest published band and say so.
    Unknown,
}

impl Condition {
    /// Reads the condition from a finish: both frictions when both are known, else its nut factor, else unknown.
    #[must_use]
    pub const fn of(finish: &Finish) -> Self {
        match (finish.thread_friction, finish.face_friction, finish.nut_factor) {
            (Some(thread), Some(face), _) => Self::Friction { thread, face },
            (_, _, Some(nut_factor)) => Self::NutFactor(nut_factor),
            _ => Self::Unknown,
        }
    }

    /// Reads the condition from a named row.
    #[must_use]
    pub const fn named(row: &tables::friction::NamedCondition) -> Self {
        match row.quantity {
            tables::friction::Quantity::NutFactor => Self::NutFactor(row.band()),
            tables::friction::Quantity::Friction => Self::Friction { thread: row.band(), face: row.band() },
        }
    }

    /// Returns whether anything is known.
    #[must_use]
    pub const fn is_known(&self) -> bool {
        !matches!(self, Self::Unknown)
    }

    /// Returns the form in which this condition is calculated.
    #[must_use]
    pub const fn form(&self) -> TorqueForm {
        match self {
            Self::Friction { .. } => TorqueForm::Long,
            Self::NutFactor(_) | Self::Unknown => TorqueForm::Short,
        }
    }
}

/// Which relation between torque and preload was used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TorqueForm {
    /// `T = K · F · d`.
    Short,
    /// Pitch, threads and face separately.
    Long,
}

/// The face that slides when the fastener is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Face {
    /// A hexagon head or nut on a medium hole, by the tables of the thread's own standards.
    Tabled,
    /// As measured or printed.
    Ring {
        /// Its outer diameter.
        outer: Length,
        /// The hole inside it.
        hole: Length,
    },
    /// The mean diameter of friction itself.
    Mean(Length),
}

/// A washer under the turning face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WasherSeat {
    /// Its outer diameter.
    pub outer: Length,
    /// Its inner diameter, or the hole beneath it when that is larger.
    pub hole: Length,
    /// Whether it turns with the nut, so that its underside is what slides. `None` when nobody knows:
    /// the band then covers both.
    pub turns: Option<bool>,
}

/// Returns the condition of a fastener whose threads are in one condition and whose face is in another: lubricant that
/// reached one of the two surfaces only.
///
/// A condition known by its nut factor is first parted into the one friction that would give it.
///
/// # Errors
///
/// [`CalcError::Missing`] when either condition is unknown, or the bearing face is; [`CalcError::OutOfRange`] when a nut
/// factor amounts to a friction outside [`FRICTION`].
pub fn surfaces(screw: &Screw, threads: &Condition, face: &Condition) -> Result<Condition, CalcError> {
    let parted = |condition: &Condition, field: &'static str| match *condition {
        Condition::Friction { thread, face } => Ok((thread, face)),
        Condition::NutFactor(band) => {
            let both = Band {
                low: screw.friction(band.low)?,
                nominal: screw.friction(band.nominal)?,
                high: screw.friction(band.high)?,
            }
            .check(&FRICTION)?;
            Ok((both, both))
        }
        Condition::Unknown => Err(CalcError::Missing { field, by: "friction of one surface" }),
    };
    let (thread, _) = parted(threads, "thread_friction")?;
    let (_, face) = parted(face, "face_friction")?;
    Ok(Condition::Friction { thread, face })
}

/// Returns the torque in `to` over the torque in `from` that leaves the same preload, at likely friction.
///
/// Only for torques: a specification by angle or into yield is never scaled.
///
/// # Errors
///
/// [`CalcError::Missing`] when either condition is unknown; else as [`Screw::arms`].
///
/// # Source
///
/// [`SHORT_SOURCE`] and [`LONG_SOURCE`]; the ratio is theirs at equal preload.
pub fn conversion_factor(screw: &Screw, from: &Condition, to: &Condition) -> Result<f64, CalcError> {
    for (condition, field) in [(from, "specified_condition"), (to, "actual_condition")] {
        if !condition.is_known() {
            return Err(CalcError::Missing { field, by: "a conversion at constant preload" });
        }
    }
    Ok(screw.arms(to)?.nominal.total / screw.arms(from)?.nominal.total)
}

#[cfg(test)]
mod handbook;
#[cfg(test)]
mod laws;
