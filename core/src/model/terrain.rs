//! The ground a vehicle must get over.

use crate::units::Length;

/// One corner of the ground line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundPoint {
    /// Distance along the ground, rising.
    pub run: Length,
    /// Height.
    pub rise: Length,
}

/// A terrain as a line of straight pieces, flat before its first corner and after its last.
#[derive(Debug, Clone, PartialEq)]
pub struct Terrain {
    /// The entry name, `terrains/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its corners, by strictly rising distance.
    pub points: Vec<GroundPoint>,
}
