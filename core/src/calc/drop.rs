//! Ball-mount drop to tow level, and how the trailer stands with a given one.
//!
//! Drop by the trade's convention (common practice, no source): top inside face of the receiver tube down to the top
//! face of the ball platform; below zero is a rise.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::{Angle, Length},
};

/// Allowed height of the receiver tube's top inside face, unladen.
pub const TUBE_TOP: Range = Range::new("tube_top_height_mm", "mm", 100.0, 2000.0);
/// Allowed sag at the receiver.
pub const SAG: Range = Range::new("sag_mm", "mm", -500.0, 500.0);
/// Allowed height of the coupler's top, trailer level.
pub const COUPLER_HEIGHT: Range = Range::new("coupler_height_level_mm", "mm", 100.0, 2000.0);
/// Allowed height of the ball's top above the platform.
pub const BALL_HEIGHT: Range = Range::new("ball_height_mm", "mm", 20.0, 400.0);
/// Allowed drop; below zero is a rise.
pub const DROP: Range = Range::new("drop_mm", "mm", -500.0, 500.0);
/// Allowed distance from the coupler to the trailer's axle.
pub const COUPLER_TO_AXLE: Range = Range::new("coupler_to_axle_mm", "mm", 300.0, 20_000.0);

const CONVENTION: Source =
    Source::new("drop from the tube's top inside face to the ball platform's top face", "", Seen::CommonPractice);

/// What the level drop is computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropInput {
    /// Top inside face of the receiver tube above ground, unladen, in the range [`TUBE_TOP`].
    pub tube_top: Length,
    /// How far the receiver sinks laden and hitched, in the range [`SAG`]. Ignoring it makes the ball too low.
    pub sag: Length,
    /// The coupler's top when the trailer stands level, in the range [`COUPLER_HEIGHT`].
    pub coupler_level: Length,
    /// The ball's top above the platform, in the range [`BALL_HEIGHT`].
    pub ball_height: Length,
}

/// The drop that tows level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelDrop {
    /// Where the platform's top face must be, laden.
    pub platform: Length,
    /// The drop that puts it there; below zero is a rise.
    pub drop: Length,
    /// The drop somebody would choose who ignores the sag.
    pub drop_without_sag: Length,
}

/// Returns the drop that tows level.
///
/// ```text
/// platform = coupler level − ball height        drop = (tube top − sag) − platform
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Common practice, no source, for where the drop is measured; the rest is derived.
pub fn level_drop(input: &DropInput) -> Result<LevelDrop, CalcError> {
    TUBE_TOP.check(input.tube_top.mm())?;
    SAG.check(input.sag.mm())?;
    COUPLER_HEIGHT.check(input.coupler_level.mm())?;
    BALL_HEIGHT.check(input.ball_height.mm())?;
    let platform = input.coupler_level - input.ball_height;
    let drop_without_sag = input.tube_top - platform;
    Ok(LevelDrop { platform, drop: drop_without_sag - input.sag, drop_without_sag })
}

/// A ball mount as it will be hitched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountInput {
    /// Top inside face of the receiver tube above ground, unladen, in the range [`TUBE_TOP`].
    pub tube_top: Length,
    /// How far the receiver sinks laden and hitched, in the range [`SAG`].
    pub sag: Length,
    /// The ball mount's drop, in the range [`DROP`].
    pub drop: Length,
    /// The ball's top above the platform, in the range [`BALL_HEIGHT`].
    pub ball_height: Length,
}

/// Where a ball mount puts things, laden.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountHeights {
    /// The platform's top face above ground.
    pub platform: Length,
    /// The ball's top above ground.
    pub ball_top: Length,
}

impl MountHeights {
    /// Returns the height of the ball's centre: half a diameter below its top.
    #[must_use]
    pub fn ball_centre(&self, diameter: Length) -> Length {
        self.ball_top - diameter / 2.0
    }

    /// Returns the mount's lowest height: so far below the platform's top face.
    #[must_use]
    pub fn lowest(&self, depth_below_platform: Length) -> Length {
        self.platform - depth_below_platform
    }

    /// Returns how far the ball sits above the coupler's level height; below zero is too low.
    #[must_use]
    pub fn off_level(&self, coupler_level: Length) -> Length {
        self.ball_top - coupler_level
    }
}

/// Returns where a ball mount puts platform and ball, laden.
///
/// ```text
/// platform = tube top − sag − drop        ball top = platform + ball height
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
pub fn mount_heights(input: &MountInput) -> Result<MountHeights, CalcError> {
    TUBE_TOP.check(input.tube_top.mm())?;
    SAG.check(input.sag.mm())?;
    DROP.check(input.drop.mm())?;
    BALL_HEIGHT.check(input.ball_height.mm())?;
    let platform = input.tube_top - input.sag - input.drop;
    Ok(MountHeights { platform, ball_top: platform + input.ball_height })
}

/// Returns the trailer's attitude, nose up: `θ = atan((ball − level) / A)`. Below zero is nose down.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`COUPLER_TO_AXLE`].
pub fn attitude(off_level: Length, coupler_to_axle: Length) -> Result<Angle, CalcError> {
    let to_axle = COUPLER_TO_AXLE.check(coupler_to_axle.mm())?;
    Ok(Angle::from_rad((off_level.mm() / to_axle).atan()))
}

/// Returns the step behind [`level_drop`].
#[must_use]
pub fn basis(input: &DropInput) -> Vec<Basis> {
    vec![Basis::new(
        "ball-mount-drop",
        "drop = (tube top − sag) − (coupler level − ball height)",
        CONVENTION,
        &[
            ("tube_top_height_mm", input.tube_top.mm()),
            ("sag_mm", input.sag.mm()),
            ("coupler_height_level_mm", input.coupler_level.mm()),
            ("ball_height_mm", input.ball_height.mm()),
        ],
    )]
}
