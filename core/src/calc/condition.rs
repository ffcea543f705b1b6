//! What turns torque into preload: nut factor, or friction in the threads and under the face.
//!
//! Both forms come down to one arm: preload times arm is torque. `K · d` is that arm in the short form; the sum of
//! a pitch, a thread and a face term in the long one.

use std::f64::consts::PI;

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::{
        finish::{Band, Finish},
        thread::Thread,
    },
    range::Range,
    tables,
    units::{Force, Length, Torque},
};

/// Where the short form is printed.
pub const SHORT_SOURCE: Source = Source::new("Mechanical Fastening, Joining and Assembly, p. 85", "", Seen::Opened);
/// Where the long form is printed.
pub const LONG_SOURCE: Source = Source::new("VDI 2230 part 1, DIN 946, ISO 16047", "", Seen::FromMemory);

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

/// Twice the cosine of the flank's half-angle of 30°: thread friction acts as `μ · d2 / (2 cos 30°)`.
const TWO_COS_30: f64 = 1.732_050_807_568_877_2;

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

/// The arm of preload, in millimetres: torque is preload times arm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    /// Pitch, threads and face together.
    pub total: f64,
    /// Pitch and threads: what twists the shank. `None` when the bearing face is not known.
    pub thread: Option<f64>,
}

impl Arm {
    /// Returns the preload that this torque makes.
    #[must_use]
    pub fn preload(&self, torque: Torque) -> Force {
        torque / Length::from_mm(self.total)
    }

    /// Returns the torque that makes this preload.
    #[must_use]
    pub fn torque(&self, preload: Force) -> Torque {
        preload * Length::from_mm(self.total)
    }

    /// Returns the torque in the shank under this preload.
    #[must_use]
    pub fn thread_torque(&self, preload: Force) -> Option<Torque> {
        self.thread.map(|arm| preload * Length::from_mm(arm))
    }
}

/// The arms at low, likely and high friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arms {
    /// At low friction: the greatest preload.
    pub low: Arm,
    /// At likely friction.
    pub nominal: Arm,
    /// At high friction: the least preload.
    pub high: Arm,
    /// High friction in the threads over low friction under the face: the other corner where torsion may be worst.
    pub twisting: Arm,
}

/// The measures of a fastener that its torque depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    diameter: f64,
    pitch: f64,
    pitch_diameter: f64,
    ring: Option<Band>,
    /// Whether bearing face and hole came from the tables.
    pub face_from_tables: bool,
}

impl Screw {
    /// Gathers the measures.
    ///
    /// The mean diameter of friction is half the sum of outer diameter and hole.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] for a diameter outside its range; [`CalcError::Conflict`] for a pitch too coarse for
    /// the diameter, or a hole that leaves no bearing face.
    pub fn new(thread: &Thread, face: Face, washer: Option<WasherSeat>) -> Result<Self, CalcError> {
        let diameter = DIAMETER.check(thread.diameter.mm())?;
        let pitch = thread.pitch.mm();
        // The external minor diameter must be left: d − 1.23 P (ISO 68-1). Written so that a NaN fails.
        if !(0.0 < pitch && 1.3 * pitch < diameter) {
            return Err(CalcError::Conflict {
                field: "pitch_mm",
                other: "diameter_mm",
                why: "a pitch is above zero and below 1/1.3 of the diameter",
            });
        }
        let mut face_from_tables = false;
        let standing = match face {
            Face::Ring { outer, hole } => Some(mean_diameter(outer, hole)?),
            Face::Mean(mean) => Some(RING_OUTER.check(mean.mm())?),
            Face::Tabled => {
                let tabled: Option<(Length, Length)> = None;
                face_from_tables = tabled.is_some();
                tabled.map(|(outer, hole)| mean_diameter(outer, hole)).transpose()?
            }
        };
        let turning = washer.map(|washer| mean_diameter(washer.outer, washer.hole)).transpose()?;
        let ring = match (standing, turning, washer.and_then(|washer| washer.turns)) {
            (_, Some(turning), Some(true)) => {
                face_from_tables = false;
                Some(Band::exactly(turning))
            }
            (Some(standing), Some(turning), None) => {
                Some(Band { low: standing.min(turning), nominal: standing, high: standing.max(turning) })
            }
            (standing, _, _) => standing.map(Band::exactly),
        };
        Ok(Self { diameter, pitch, pitch_diameter: thread.pitch_diameter().mm(), ring, face_from_tables })
    }

    /// Returns whether the sliding face is known, so that torsion can be told from face friction.
    #[must_use]
    pub const fn knows_face(&self) -> bool {
        self.ring.is_some()
    }

    /// Returns the arm of the pitch and of friction in the threads: `P/2π + μ d2 / (2 cos 30°)`.
    fn thread_arm(&self, friction: f64) -> f64 {
        self.pitch / (2.0 * PI) + friction * self.pitch_diameter / TWO_COS_30
    }

    /// Returns the arms for both frictions known.
    ///
    /// ```text
    /// T/F = P/2π + μ_thread · d2 / (2 cos 30°) + μ_face · D_mean / 2
    /// ```
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] when the bearing face is not known; [`CalcError::OutOfRange`] outside [`FRICTION`].
    ///
    /// # Source
    ///
    /// [`LONG_SOURCE`].
    fn long(&self, thread: Band, face: Band) -> Result<Arms, CalcError> {
        let ring = self.ring.ok_or(CalcError::Missing { field: RING_OUTER.field, by: "the long form of torque" })?;
        let (thread, face) = (thread.check(&FRICTION)?, face.check(&FRICTION)?);
        let arm = |in_thread: f64, under_face: f64, ring: f64| {
            let thread = self.thread_arm(in_thread);
            Arm { total: thread + under_face * ring / 2.0, thread: Some(thread) }
        };
        Ok(Arms {
            low: arm(thread.low, face.low, ring.low),
            nominal: arm(thread.nominal, face.nominal, ring.nominal),
            high: arm(thread.high, face.high, ring.high),
            twisting: arm(thread.high, face.low, ring.low),
        })
    }

    /// Returns the arms for a known nut factor: `K · d`, parted by the one friction that would give this K.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`NUT_FACTOR`]; [`CalcError::Conflict`] for a nut factor below what the
    /// pitch alone takes.
    ///
    /// # Source
    ///
    /// [`SHORT_SOURCE`]; the parting is the total friction of DIN 946 (from memory).
    fn short(&self, nut_factor: Band) -> Result<Arms, CalcError> {
        let nut_factor = nut_factor.check(&NUT_FACTOR)?;
        let pitch_arm = self.pitch / (2.0 * PI);
        if nut_factor.low * self.diameter <= pitch_arm {
            return Err(CalcError::Conflict {
                field: NUT_FACTOR.field,
                other: "pitch_mm",
                why: "the pitch alone needs a greater nut factor",
            });
        }
        let arm = |nut_factor: f64| {
            let total = nut_factor * self.diameter;
            let thread = self.ring.map(|ring| {
                let friction = (total - pitch_arm) / (self.pitch_diameter / TWO_COS_30 + ring.nominal / 2.0);
                self.thread_arm(friction)
            });
            Arm { total, thread }
        };
        let low = arm(nut_factor.low);
        Ok(Arms { low, nominal: arm(nut_factor.nominal), high: arm(nut_factor.high), twisting: low })
    }

    /// Returns the arms of this fastener in a condition.
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] when the long form lacks the bearing face; [`CalcError::OutOfRange`] and
    /// [`CalcError::Conflict`] for bands out of range or out of order.
    pub fn arms(&self, condition: &Condition) -> Result<Arms, CalcError> {
        match *condition {
            Condition::NutFactor(nut_factor) => self.short(nut_factor),
            Condition::Friction { thread, face } => self.long(thread, face),
            Condition::Unknown => self.short(tables::friction::UNKNOWN),
        }
    }

    /// Returns the nut factors that these arms amount to: `K = arm / d`.
    #[must_use]
    pub fn nut_factor(&self, arms: &Arms) -> Band {
        Band {
            low: arms.low.total / self.diameter,
            nominal: arms.nominal.total / self.diameter,
            high: arms.high.total / self.diameter,
        }
    }

    /// Returns the one friction, threads and face alike, that a nut factor amounts to.
    ///
    /// ```text
    /// μ = (K d − P/2π) / (d2 / (2 cos 30°) + D_mean / 2)
    /// ```
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] when the bearing face is not known; [`CalcError::OutOfRange`] outside [`NUT_FACTOR`].
    pub fn friction(&self, nut_factor: f64) -> Result<f64, CalcError> {
        let ring = self.ring.ok_or(CalcError::Missing { field: RING_OUTER.field, by: "friction from a nut factor" })?;
        let total = NUT_FACTOR.check(nut_factor)? * self.diameter;
        Ok((total - self.pitch / (2.0 * PI)) / (self.pitch_diameter / TWO_COS_30 + ring.nominal / 2.0))
    }
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

/// Returns the mean diameter of friction of a ring.
fn mean_diameter(outer: Length, hole: Length) -> Result<f64, CalcError> {
    let (outer, hole) = (RING_OUTER.check(outer.mm())?, RING_HOLE.check(hole.mm())?);
    if outer <= hole {
        return Err(CalcError::Conflict {
            field: RING_OUTER.field,
            other: RING_HOLE.field,
            why: "a bearing face is wider than its hole",
        });
    }
    Ok((outer + hole) / 2.0)
}

#[cfg(test)]
mod handbook;
#[cfg(test)]
mod laws;
