//! What turns torque into preload: nut factor, or friction in the threads and under the face.

use crate::{
    model::finish::{Band, Finish},
    range::Range,
    units::Length,
};

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

    /// Returns whether anything is known.
    #[must_use]
    pub const fn is_known(&self) -> bool {
        !matches!(self, Self::Unknown)
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
