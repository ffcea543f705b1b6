//! Approach, departure and ramp angles, unladen and laden.

use crate::units::{Angle, Length};

/// A rigid point, seen from the side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Rearward of the front axle.
    pub station: Length,
    /// Above ground.
    pub height: Length,
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

/// An angle and the point that governs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Governed {
    /// The angle.
    pub angle: Angle,
    /// Where the line touches; on an edge this may lie between two measured points.
    pub at: Point,
    /// The index of the governing point, or of the first corner of the governing edge, in the points given.
    pub index: usize,
}
