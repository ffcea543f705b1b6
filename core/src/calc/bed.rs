//! Room for a trailer that hangs in the bed: behind the cab in a turn, and above the rails.
//!
//! Seen from above the trailer turns about the pin, so each corner of its nose stays on a circle. Seen from the side its
//! underside and the rails are two straight lines. Level ground, no travel of the springs: margins come on top.

#[cfg(test)]
mod tests;

use super::clearance::Point;
use crate::{
    basis::{Basis, Seen, Source},
    calc::{axles::tongue::COUPLER_TO_AXLE, swing::PlanPoint},
    error::CalcError,
    model::vehicle::{HEIGHT, STATION},
    range::Range,
    units::Length,
};

/// Allowed distance from the cab's back to the pin.
pub const CAB_TO_PIN: Range = Range { field: "cab_to_pin_mm", ..super::swing::FACE_TO_BALL };
/// Allowed distance of a trailer's point behind the pin; below zero is ahead of it.
pub const BEHIND_PIN: Range = super::swing::BEHIND_BALL;
/// Allowed distance of a trailer's point from its middle line.
pub const ASIDE: Range = super::swing::ASIDE;
/// How far the underside of the nose may lie above the face of the coupling; below zero it hangs lower.
pub const ABOVE_FACE: Range = Range::new("underside_above_coupling_mm", "mm", -1000.0, 2000.0);

const PLAN: Source =
    Source::new("geometry in plan: a corner of the nose on its circle about the pin", "", Seen::Derived);
const SIDE: Source = Source::new("geometry from the side: two straight lines", "", Seen::Derived);

/// The room behind the cab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CabGap {
    /// The radius of the circle that comes furthest forward.
    pub reach: Length,
    /// From that circle to the cab's back; below zero the nose strikes the cab.
    pub gap: Length,
    /// Which further point draws the circle; `None` for the corners of the nose.
    pub point: Option<usize>,
}

/// Returns the least room between the cab's back and the nose as the trailer turns up to a right angle to either side.
///
/// ```text
/// gap = c − max ρ        ρ = hypot(ahead, aside); for a point behind the pin ρ = aside
/// ```
///
/// `c` is the cab's back to the pin. The cab is taken to be as wide as anything that turns past it. A point behind the pin
/// comes furthest forward when the trailer stands crosswise.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Derived.
pub fn cab_gap(cab_to_pin: Length, corner: PlanPoint, points: &[PlanPoint]) -> Result<CabGap, CalcError> {
    let room = CAB_TO_PIN.check(cab_to_pin.mm())?;
    let mut furthest = (reach(corner)?, None);
    for (index, point) in points.iter().enumerate() {
        let reach = reach(*point)?;
        if furthest.0 < reach {
            furthest = (reach, Some(index));
        }
    }
    let (reach, point) = furthest;
    Ok(CabGap { reach: Length::from_mm(reach), gap: Length::from_mm(room - reach), point })
}

fn reach(point: PlanPoint) -> Result<f64, CalcError> {
    let (behind, aside) = (BEHIND_PIN.check(point.behind.mm())?, ASIDE.check(point.aside.mm())?);
    Ok(if behind < 0.0 { behind.hypot(aside) } else { aside.abs() })
}

/// Returns the steps behind [`cab_gap`].
#[must_use]
pub fn cab_gap_basis(cab_to_pin: Length, found: &CabGap) -> Basis {
    let inputs = [("cab_to_pin_mm", cab_to_pin.mm()), ("reach_mm", found.reach.mm())];
    Basis::new("cab-gap", "gap = c - max rho, rho = hypot(ahead, aside)", PLAN, &inputs)
}

/// A nose above the rails of a bed, as the vehicle stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverRails {
    /// The face of the coupling where the pin or ball stands.
    pub face: Point,
    /// The rails' top at the cab's back and at their end.
    pub rails: [Point; 2],
    /// How far the nose reaches ahead of the pin.
    pub ahead: Length,
    /// How far the nose's underside lies above the face of the coupling.
    pub above_face: Length,
    /// Height of the face at which the trailer stands level.
    pub level: Length,
    /// Pin to the trailer's axle or axle group, in the range [`COUPLER_TO_AXLE`].
    pub to_axle: Length,
}

/// The room above the rails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RailGap {
    /// Underside of the nose above the rails; below zero it lies on them.
    pub gap: Length,
    /// Where it is least, rearward of the front axle.
    pub station: Length,
}

/// Returns the least room between the rails and the underside of the nose.
///
/// ```text
/// underside(s) = face + u − (s − pin) · (face − level) / A        gap = min (underside − rail)
/// ```
///
/// Both are straight, so the least room is at the front of the nose (or of the rails) or at the end of the rails. A face
/// above the trailer's level height lifts the nose and lowers the underside towards the tailgate.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range; [`CalcError::Conflict`] where nose and rails do not
/// overlap.
///
/// # Source
///
/// Derived.
pub fn rail_gap(room: &OverRails) -> Result<RailGap, CalcError> {
    let face = HEIGHT.check(room.face.height.mm())?;
    let pin = STATION.check(room.face.station.mm())?;
    let above = ABOVE_FACE.check(room.above_face.mm())?;
    let to_axle = COUPLER_TO_AXLE.check(room.to_axle.mm())?;
    let level = HEIGHT.check(room.level.mm())?;
    let [front, end] = room.rails;
    for rail in room.rails {
        HEIGHT.check(rail.height.mm())?;
        STATION.check(rail.station.mm())?;
    }
    let from = front.station.mm().max(pin - room.ahead.mm());
    let to = end.station.mm();
    if to <= from {
        return Err(CalcError::Conflict {
            field: "rail_end_station_mm",
            other: "pin_station_mm",
            why: "ends before the nose of the trailer begins",
        });
    }
    let rise = (end.height - front.height) / (end.station - front.station);
    let slope = (face - level) / to_axle;
    let at = |station: f64| {
        let underside = face + above - (station - pin) * slope;
        underside - (front.height.mm() + (station - front.station.mm()) * rise)
    };
    let (gap, station) = if at(from) < at(to) { (at(from), from) } else { (at(to), to) };
    Ok(RailGap { gap: Length::from_mm(gap), station: Length::from_mm(station) })
}

/// Returns the steps behind [`rail_gap`].
#[must_use]
pub fn rail_gap_basis(room: &OverRails) -> Basis {
    Basis::new(
        "rail-gap",
        "underside(s) = face + u - (s - pin) (face - level) / A; gap = min (underside - rail)",
        SIDE,
        &[
            ("face_height_mm", room.face.height.mm()),
            ("pin_station_mm", room.face.station.mm()),
            ("underside_above_coupling_mm", room.above_face.mm()),
            ("coupler_height_level_mm", room.level.mm()),
            ("coupler_to_axle_mm", room.to_axle.mm()),
        ],
    )
}
