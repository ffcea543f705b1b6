//! The height of the centre of mass, from a tilt weighing.

use super::{KERB_FRONT, KERB_REAR};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::vehicle::WHEELBASE,
    range::Range,
    units::{Angle, Length, Mass},
};

/// Allowed angle of a tilt weighing; below about 5° the result drowns in the scale's error (common practice, no source).
pub const TILT: Range = Range::new("tilt_deg", "deg", 5.0, 45.0);

const TILT_SOURCE: Source =
    Source::new("vehicle dynamics textbooks; ISO 10392, centre of gravity location", "", Seen::FromMemory);

/// A level and a tilted weighing, for the height of the centre of mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiltWeighing {
    /// Front axle to rear axle, in the range [`WHEELBASE`].
    pub wheelbase: Length,
    /// The loaded radius, at which both hubs stand when level.
    pub loaded_radius: Length,
    /// Load on the front axle, level.
    pub front_level: Mass,
    /// Load on the rear axle, level.
    pub rear_level: Mass,
    /// Load on the rear axle with the front lifted and the suspension locked.
    pub rear_tilted: Mass,
    /// How far the vehicle was tilted, in the range [`TILT`].
    pub tilt: Angle,
}

/// Returns the height of the centre of mass above ground from a tilt weighing, front lifted, suspension locked.
///
/// ```text
/// z = r + (R_tilted − R_level) · L / (W · tan θ)
/// ```
///
/// Noisy below about ten degrees (common practice, no source).
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the wheelbase, the tilt, or an axle load that is not above zero.
///
/// # Source
///
/// From memory of vehicle dynamics textbooks and ISO 10392.
pub fn centre_height(weighing: &TiltWeighing) -> Result<Length, CalcError> {
    WHEELBASE.check(weighing.wheelbase.mm())?;
    let tilt = Angle::from_deg(TILT.check(weighing.tilt.deg())?);
    let total = KERB_FRONT.check(weighing.front_level.kg())? + KERB_REAR.check(weighing.rear_level.kg())?;
    Range::new("kerb_rear_kg", "kg", 1.0, 120_000.0).check(total)?;
    let gained = weighing.rear_tilted - weighing.rear_level;
    Ok(weighing.loaded_radius + weighing.wheelbase * (gained.kg() / (total * tilt.rad().tan())))
}

/// Returns the step behind [`centre_height`].
#[must_use]
pub fn centre_height_basis(weighing: &TiltWeighing) -> Vec<Basis> {
    vec![Basis::new(
        "centre-height-by-tilt",
        "z = r + (R_tilted − R_level) · L / (W · tan θ)",
        TILT_SOURCE,
        &[
            ("wheelbase_mm", weighing.wheelbase.mm()),
            ("loaded_radius_mm", weighing.loaded_radius.mm()),
            ("rear_level_kg", weighing.rear_level.kg()),
            ("rear_tilted_kg", weighing.rear_tilted.kg()),
            ("tilt_deg", weighing.tilt.deg()),
        ],
    )]
}
