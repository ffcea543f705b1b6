//! One fastener's measures, and the arms its torque acts on.

use std::f64::consts::PI;

use super::{Condition, DIAMETER, FRICTION, Face, NUT_FACTOR, RING_HOLE, RING_OUTER, WasherSeat};
use crate::{
    error::CalcError,
    model::{finish::Band, thread::Thread},
    tables,
    units::{Force, Length, Torque},
};

/// Twice the cosine of the flank's half-angle of 30°: thread friction acts as `μ · d2 / (2 cos 30°)`.
const TWO_COS_30: f64 = 1.732_050_807_568_877_2;

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
            Face::Ring { outer, hole } => Some(Band::exactly(mean_diameter(outer, hole)?)),
            Face::Mean(mean) => Some(Band::exactly(RING_OUTER.check(mean.mm())?)),
            Face::Tabled => {
                let tabled = tabled_ring(thread)?;
                face_from_tables = tabled.is_some();
                tabled
            }
        };
        let turning = washer.map(|washer| mean_diameter(washer.outer, washer.hole)).transpose()?;
        let ring = match (standing, turning, washer.and_then(|washer| washer.turns)) {
            (_, Some(turning), Some(true)) => {
                face_from_tables = false;
                Some(Band::exactly(turning))
            }
            (Some(standing), Some(turning), None) => Some(Band {
                low: standing.low.min(turning),
                nominal: standing.nominal,
                high: standing.high.max(turning),
            }),
            (standing, _, _) => standing,
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

/// Returns the mean diameter of friction of a hexagon on a medium hole, by the tables.
///
/// Metric heads have a printed bearing face. Inch heads have one as wide as their flats, less up to a tenth
/// ([`FACE_SOURCE`]): a band.
fn tabled_ring(thread: &Thread) -> Result<Option<Band>, CalcError> {
    let Some(hole) = tables::clearance_hole(thread, tables::HoleSeries::Medium) else { return Ok(None) };
    if let Some(outer) = tables::bearing_diameter(thread) {
        return Ok(Some(Band::exactly(mean_diameter(outer, hole)?)));
    }
    let Some(flats) = tables::across_flats(thread) else { return Ok(None) };
    let mean = |share: f64| mean_diameter(flats * share, hole);
    Ok(Some(Band { low: mean(0.90)?, nominal: mean(0.95)?, high: mean(1.0)? }))
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
