//! The tangent from a rigid point to the arc of a tyre.

use super::{Point, Wheels};
use crate::{
    error::CalcError,
    range::Range,
    units::{Angle, Length},
};

/// Allowed distance of a point from the wheel centre, along the ground.
pub const DISTANCE: Range = Range::new("distance_mm", "mm", 0.001, 20_000.0);
/// Allowed radius of a tyre.
pub const RADIUS: Range = Range::new("loaded_radius_mm", "mm", 100.0, 1500.0);
/// Allowed height of a point.
pub const HEIGHT: Range = Range::new("height_mm", "mm", 0.0, 4000.0);
/// Allowed uncertainty of the tape.
pub const TAPE: Range = Range::new("tape_mm", "mm", 0.0, 50.0);

/// A point that no rigid part can be at.
pub(super) const INSIDE_TYRE: CalcError = CalcError::Conflict {
    field: "height_mm",
    other: "station_mm",
    why: "the point lies inside the tyre's circle; measure parts of an axle at that axle's station",
};

/// Returns tan(α / 2), or `None` when the point lies inside the tyre's circle. Takes bare millimetres: it is the inner
/// loop of every angle.
#[inline]
pub(super) fn half_tangent(u: f64, z: f64, r: f64) -> Option<f64> {
    let squared = u * u - z * (2.0 * r - z);
    if squared < 0.0 { None } else { Some(z / (u + squared.sqrt())) }
}

/// Returns whether a point at this distance from the hub belongs to the axle: within half a radius of the hub it can
/// sit low beside the tyre, as a differential does, and governs nothing but the lowest point.
#[inline]
pub(super) fn under_axle(u: f64, r: f64) -> bool {
    u.abs() < r / 2.0
}

/// Returns the exact angle between the ground and the line through a point that touches the tyre's arc from below.
///
/// ```text
/// u · sin α + (r − z) · cos α = r        α = 2 · atan(z / (u + √(u² − z · (2r − z))))
/// ```
///
/// `u` is the point's distance from the wheel centre along the ground, `z` its height, `r` the static loaded radius.
/// The form holds through `z = 2r`, where the textbook's quadratic loses its leading term.
///
/// # Errors
///
/// - [`CalcError::OutOfRange`] for [`DISTANCE`], [`HEIGHT`] or [`RADIUS`].
/// - [`CalcError::Conflict`] for a point inside the tyre's circle.
///
/// # Source
///
/// The definition: 49 CFR 523.2. The formula is derived.
pub fn tangent(u: Length, z: Length, r: Length) -> Result<Angle, CalcError> {
    let (u, z, r) = (DISTANCE.check(u.mm())?, HEIGHT.check(z.mm())?, RADIUS.check(r.mm())?);
    half_tangent(u, z, r).map(|half| Angle::from_rad(2.0 * half.atan())).ok_or(INSIDE_TYRE)
}

/// Returns the angle for a tyre whose hub stands at another height than its arc's radius, such as the free radius.
///
/// ```text
/// α = asin(r / ρ) − atan2(h − z, u)        ρ = hypot(u, h − z)
/// ```
///
/// The free radius gives a larger angle than the loaded one; [`tangent`] is the cautious choice.
///
/// # Errors
///
/// As [`tangent`].
pub fn tangent_two_radius(u: Length, z: Length, hub_height: Length, r: Length) -> Result<Angle, CalcError> {
    let (u, z, r) = (DISTANCE.check(u.mm())?, HEIGHT.check(z.mm())?, RADIUS.check(r.mm())?);
    let below = RADIUS.check(hub_height.mm())? - z;
    let distance = u.hypot(below);
    if distance < r {
        return Err(INSIDE_TYRE);
    }
    Ok(Angle::from_rad((r / distance).asin() - below.atan2(u)))
}

/// Returns the height a point must have for an angle: `z = u · tan α + r · (1 − 1 / cos α)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`DISTANCE`], [`RADIUS`] or an angle that is not 0° to 85°.
pub fn height_for_angle(u: Length, angle: Angle, r: Length) -> Result<Length, CalcError> {
    let (u, r) = (DISTANCE.check(u.mm())?, RADIUS.check(r.mm())?);
    let angle = Range::new("angle_deg", "deg", 0.0, 85.0).check(angle.deg()).map(Angle::from_deg)?.rad();
    Ok(Length::from_mm(u * angle.tan() + r * (1.0 - 1.0 / angle.cos())))
}

/// Returns how far from the wheel centre a point of a height may lie for an angle: `u = (r − (r − z) · cos α) / sin α`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`HEIGHT`], [`RADIUS`] or an angle that is not 0.01° to 85°.
pub fn station_for_angle(z: Length, angle: Angle, r: Length) -> Result<Length, CalcError> {
    let (z, r) = (HEIGHT.check(z.mm())?, RADIUS.check(r.mm())?);
    let angle = Range::new("angle_deg", "deg", 0.01, 85.0).check(angle.deg()).map(Angle::from_deg)?.rad();
    Ok(Length::from_mm((r - (r - z) * angle.cos()) / angle.sin()))
}

/// By how much an angle changes for one millimetre more of each measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// One millimetre further from the wheel: `−sin α / w`.
    pub distance: Angle,
    /// One millimetre higher: `cos α / w`. This is what the tape must get right.
    pub height: Angle,
    /// One millimetre more radius: `(1 − cos α) / w`.
    pub radius: Angle,
}

/// Returns by how much the tangent angle changes for one millimetre of each measure.
///
/// `w = √(u² − z · (2r − z))` is the length of the tangent from the point to where it touches.
///
/// # Errors
///
/// As [`tangent`]; a point on the arc itself, where the change has no limit, counts as inside.
pub fn sensitivity(u: Length, z: Length, r: Length) -> Result<Sensitivity, CalcError> {
    let angle = tangent(u, z, r)?;
    let (u, z, r) = (u.mm(), z.mm(), r.mm());
    let length = (u * u - z * (2.0 * r - z)).sqrt();
    if length <= 0.0 {
        return Err(INSIDE_TYRE);
    }
    let (sin, cos) = angle.rad().sin_cos();
    Ok(Sensitivity {
        distance: Angle::from_rad(-sin / length),
        height: Angle::from_rad(cos / length),
        radius: Angle::from_rad((1.0 - cos) / length),
    })
}

/// Returns how far off the angle may be when each of the three measures may be off by that much, all the wrong way.
///
/// # Errors
///
/// As [`sensitivity`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn tape_uncertainty(u: Length, z: Length, r: Length, tape: Length) -> Result<Angle, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    let each = sensitivity(u, z, r)?;
    Ok((each.distance.abs() + each.height.abs() + each.radius.abs()) * tape)
}

/// Which angle a point governs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Ahead of the front axle.
    Approach,
    /// Behind the rear axle.
    Departure,
    /// Between the axles.
    Ramp,
}

/// Returns how far off an angle may be when station, height and radii may each be off by that much, all the wrong way.
///
/// `at` is the governing point and `wheels` are those of the pose it was computed in. For a ramp angle an error of the
/// station moves the point away from one wheel and towards the other, an error of the height counts at both.
///
/// # Errors
///
/// As [`tape_uncertainty`].
pub fn uncertainty(kind: Kind, at: Point, wheels: &Wheels, tape: Length) -> Result<Angle, CalcError> {
    let Wheels { wheelbase, front_radius, rear_radius } = *wheels;
    match kind {
        Kind::Approach => tape_uncertainty(-at.station, at.height, front_radius, tape),
        Kind::Departure => tape_uncertainty(at.station - wheelbase, at.height, rear_radius, tape),
        Kind::Ramp => {
            let tape = TAPE.check(tape.mm())?;
            let front = sensitivity(at.station, at.height, front_radius)?;
            let rear = sensitivity(wheelbase - at.station, at.height, rear_radius)?;
            let station = (front.distance - rear.distance).abs();
            let height = (front.height + rear.height).abs();
            Ok((station + height + front.radius.abs() + rear.radius.abs()) * tape)
        }
    }
}
