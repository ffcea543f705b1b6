//! Torque wrenches with an adapter on them, and what their scale allows.

use crate::{
    range::Range,
    units::{Angle, Length},
};

/// Length of the wrench from its drive centre to the load point of the grip.
pub const LEVER: Range = Range::new("lever_mm", "mm", 50.0, 3000.0);
/// Length of the adapter from the wrench's drive centre to the fastener's centre.
pub const EXTENSION: Range = Range::new("extension_mm", "mm", 0.0, 1000.0);
/// Angle of the adapter against the wrench's axis: 0° straight out, 90° sideways, 180° backwards.
pub const ADAPTER_ANGLE: Range = Range::new("angle_deg", "deg", 0.0, 180.0);
/// The share of its scale below which a wrench is not used (common practice, no source).
pub const LEAST_SHARE_OF_SCALE: f64 = 0.20;

/// A crowfoot or other adapter that moves the fastener off the wrench's drive centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adapter {
    /// Drive centre to the load point of the grip.
    pub lever: Length,
    /// Drive centre to the fastener's centre.
    pub extension: Length,
    /// Between the wrench's axis and the adapter: 0 straight out, a right angle sideways.
    pub angle: Angle,
}
