//! Approach, departure and ramp angles, as measured and laden, and the lowest point.
//!
//! An angle is that of the tangent to the tyre's static loaded radius, not of a line through the contact patch: the
//! latter reads low, a line from the tread's edge reads high and is unsafe.

#[cfg(test)]
mod handbook;
#[cfg(test)]
mod laws;
mod ramp;
mod tangent;
mod two_radius;
mod underside;

pub use tangent::{
    Kind, Sensitivity, TAPE, height_for_angle, sensitivity, station_for_angle, tangent, tangent_two_radius,
    tape_uncertainty, uncertainty,
};
pub use two_radius::{approach_two_radius, departure_two_radius};
pub use underside::Underside;

use crate::{
    basis::{Basis, Seen, Source},
    calc::sag::Pose,
    error::CalcError,
    model::vehicle::WHEELBASE,
    range::Range,
    units::{Angle, Length},
};

/// Allowed static loaded radius of the front wheels.
pub const FRONT_RADIUS: Range = Range::new("front_radius_mm", "mm", 100.0, 1500.0);
/// Allowed static loaded radius of the rear wheels.
pub const REAR_RADIUS: Range = Range::new("rear_radius_mm", "mm", 100.0, 1500.0);

/// What approach and departure angle mean.
pub const APPROACH_SOURCE: Source =
    Source::new("49 CFR 523.2, approach and departure angle, as quoted in an encyclopaedia", "", Seen::Opened);
/// What the ramp angle means; the metric standards' wording gives the same number.
pub const RAMP_SOURCE: Source = Source::new("40 CFR 86.084-2, ramp breakover angle", "", Seen::Opened);

/// A rigid point, seen from the side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Rearward of the front axle.
    pub station: Length,
    /// Above ground.
    pub height: Length,
}

impl Point {
    /// Names a point by millimetres.
    #[must_use]
    pub const fn from_mm(station: f64, height: f64) -> Self {
        Self { station: Length::from_mm(station), height: Length::from_mm(height) }
    }
}

/// The two wheels: wheelbase and loaded radii.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheels {
    /// Front axle to rear axle.
    pub wheelbase: Length,
    /// Static loaded radius, front.
    pub front_radius: Length,
    /// Static loaded radius, rear.
    pub rear_radius: Length,
}

impl Wheels {
    fn check(&self) -> Result<(), CalcError> {
        WHEELBASE.check(self.wheelbase.mm())?;
        FRONT_RADIUS.check(self.front_radius.mm())?;
        REAR_RADIUS.check(self.rear_radius.mm())?;
        Ok(())
    }
}

/// An angle and the point that governs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Governed {
    /// The angle.
    pub angle: Angle,
    /// Where the line touches, in the pose it was computed for; on an edge this may lie between two measured points.
    pub at: Point,
    /// The index of the governing point, or of the first corner of the governing edge, in the underside's points.
    pub index: usize,
    /// Whether it lies between that corner and the next.
    pub on_edge: bool,
}

/// The lowest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowest {
    /// Where it is, in the pose it was computed for.
    pub at: Point,
    /// Its index in the underside's points.
    pub index: usize,
}

/// The angles and the lowest point of one underside in one pose. Each stands alone: one that cannot be told says why.
#[derive(Debug, Clone, PartialEq)]
pub struct Clearances {
    /// The approach angle.
    pub approach: Result<Governed, CalcError>,
    /// The departure angle.
    pub departure: Result<Governed, CalcError>,
    /// The ramp angle.
    pub ramp: Result<Governed, CalcError>,
    /// The lowest point.
    pub lowest: Result<Lowest, CalcError>,
}

/// Returns the approach angle: the least tangent angle over all points ahead of the front axle.
///
/// Parts of the axle itself, inside the tyre's circle and within half its radius of the hub, sit beside the tyre and
/// govern the lowest point alone.
///
/// # Errors
///
/// - [`CalcError::Missing`] when no point lies ahead of the front axle.
/// - [`CalcError::Conflict`] for a point inside a tyre.
/// - [`CalcError::OutOfRange`] for a wheel or a point outside its range.
///
/// # Source
///
/// 49 CFR 523.2: a line tangent to the front tyre's static loaded radius arc that touches the underside.
pub fn approach(underside: &Underside<'_>, pose: &Pose) -> Result<Governed, CalcError> {
    underside.check(pose)?;
    approach_of(&underside.all_placed(pose), pose)
}

fn approach_of(placed: &[Point], pose: &Pose) -> Result<Governed, CalcError> {
    let radius = pose.wheels().front_radius.mm();
    least(placed, "the approach angle", |point| (-point.station.mm(), radius))
}

/// Returns the departure angle: the least tangent angle over all points behind the rear axle.
///
/// # Errors
///
/// As [`approach`], for the rear axle.
///
/// # Source
///
/// 49 CFR 523.2, for the rear tyre.
pub fn departure(underside: &Underside<'_>, pose: &Pose) -> Result<Governed, CalcError> {
    underside.check(pose)?;
    departure_of(&underside.all_placed(pose), pose)
}

fn departure_of(placed: &[Point], pose: &Pose) -> Result<Governed, CalcError> {
    let wheels = pose.wheels();
    let (wheelbase, radius) = (wheels.wheelbase.mm(), wheels.rear_radius.mm());
    least(placed, "the departure angle", |point| (point.station.mm() - wheelbase, radius))
}

/// Finds the point with the least tangent angle on one side. The tangent of half the angle rises with the angle, so
/// the points are compared by it and the arc tangent is taken once.
fn least(placed: &[Point], by: &'static str, side: impl Fn(&Point) -> (f64, f64)) -> Result<Governed, CalcError> {
    let mut best: Option<(f64, usize, Point)> = None;
    for (index, &point) in placed.iter().enumerate() {
        let (u, radius) = side(&point);
        if u <= 0.0 {
            continue;
        }
        let Some(half) = tangent::half_tangent(u, point.height.mm(), radius) else {
            if tangent::under_axle(u, radius) {
                continue;
            }
            return Err(tangent::INSIDE_TYRE);
        };
        if best.is_none_or(|(least, _, _)| half < least) {
            best = Some((half, index, point));
        }
    }
    let (half, index, at) = best.ok_or(CalcError::Missing { field: "points", by })?;
    Ok(Governed { angle: Angle::from_rad(2.0 * half.atan()), at, index, on_edge: false })
}

/// Returns the ramp (breakover) angle: the least sum of the tangent angles to both tyres over all points between the
/// axles, and over the edges between them where the profile says that they are straight.
///
/// Corners alone do not suffice here and err on the unsafe side: the middle of a flat pan governs, not its corners.
///
/// # Errors
///
/// - [`CalcError::Missing`] when nothing lies between the axles.
/// - [`CalcError::Conflict`] for a point inside a tyre, or for corners that are not listed by rising station.
/// - [`CalcError::OutOfRange`] for a wheel or a point outside its range.
///
/// # Source
///
/// 40 CFR 86.084-2: the supplement of the largest angle between two lines tangent to the front and rear static loaded
/// radius arcs that meet on the underside.
pub fn ramp(underside: &Underside<'_>, pose: &Pose) -> Result<Governed, CalcError> {
    underside.check(pose)?;
    ramp::ramp_of(underside, &underside.all_placed(pose), pose)
}

/// Returns the lowest point of the underside. Edges are straight, so it is always a measured point.
///
/// # Errors
///
/// [`CalcError::Missing`] for an underside without points; [`CalcError::OutOfRange`] as [`approach`].
pub fn lowest(underside: &Underside<'_>, pose: &Pose) -> Result<Lowest, CalcError> {
    underside.check(pose)?;
    lowest_of(&underside.all_placed(pose))
}

fn lowest_of(placed: &[Point]) -> Result<Lowest, CalcError> {
    let mut best: Option<Lowest> = None;
    for (index, &at) in placed.iter().enumerate() {
        if best.is_none_or(|low| at.height < low.at.height) {
            best = Some(Lowest { at, index });
        }
    }
    best.ok_or(CalcError::Missing { field: "points", by: "the lowest point" })
}

/// Returns all of them for one underside in one pose.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] or [`CalcError::Conflict`] for wheels or points that cannot be; what concerns one angle
/// alone stands in its own place.
pub fn clearances(underside: &Underside<'_>, pose: &Pose) -> Result<Clearances, CalcError> {
    underside.check(pose)?;
    let placed = underside.all_placed(pose);
    Ok(Clearances {
        approach: approach_of(&placed, pose),
        departure: departure_of(&placed, pose),
        ramp: ramp::ramp_of(underside, &placed, pose),
        lowest: lowest_of(&placed),
    })
}

/// The clearances before and after a swap of gear.
#[derive(Debug, Clone, PartialEq)]
pub struct Swap {
    /// With what comes off.
    pub before: Clearances,
    /// With what goes on.
    pub after: Clearances,
}

impl Swap {
    /// Returns which share of the departure angle is lost: 0.5 for half. Below zero is a gain.
    #[must_use]
    pub fn departure_loss(&self) -> Option<f64> {
        let (before, after) = (self.before.departure.as_ref().ok()?, self.after.departure.as_ref().ok()?);
        Some(1.0 - after.angle / before.angle)
    }
}

/// Returns the clearances with what comes off and with what goes on: the same calculation on two sets of points.
///
/// # Errors
///
/// As [`clearances`].
pub fn swap(before: (&Underside<'_>, &Pose), after: (&Underside<'_>, &Pose)) -> Result<Swap, CalcError> {
    Ok(Swap { before: clearances(before.0, before.1)?, after: clearances(after.0, after.1)? })
}

/// Returns the steps behind [`clearances`] in that pose.
#[must_use]
pub fn basis(pose: &Pose) -> Vec<Basis> {
    let wheels = pose.wheels();
    let inputs = [
        ("wheelbase_mm", wheels.wheelbase.mm()),
        ("front_radius_mm", wheels.front_radius.mm()),
        ("rear_radius_mm", wheels.rear_radius.mm()),
    ];
    vec![
        Basis::new(
            "tangent-to-loaded-radius",
            "α = 2 · atan(z / (u + √(u² − z · (2r − z)))), least over all points",
            APPROACH_SOURCE,
            &inputs,
        ),
        Basis::new("ramp-angle", "β = α_front + α_rear, least over all points and edges", RAMP_SOURCE, &inputs),
        Basis::new("pose", pose.model().words(), Source::new("rigid body on linear springs", "", Seen::Derived), &[]),
    ]
}
