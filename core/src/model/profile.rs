//! The underside of a vehicle, seen from the side.

use crate::units::Length;

/// One rigid point of the underside, measured with the vehicle on level ground.
#[derive(Debug, Clone, PartialEq)]
pub struct ProfilePoint {
    /// What hangs there, in the shop's words: `front lip`, `exhaust`, `receiver tube`.
    pub label: String,
    /// Millimetres rearward of the front-axle centre; negative ahead of it.
    pub station: Length,
    /// Height above ground.
    pub height: Length,
}

/// Whether the underside between neighbouring points is known to be straight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProfileJoin {
    /// Neighbouring points are corners of one straight edge; the edge counts as rigid too.
    StraightEdges,
    /// Each point stands alone; nothing is known to hang between them.
    SeparatePoints,
}

/// The underside of a vehicle without anything fitted to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The points, by rising station.
    pub points: Vec<ProfilePoint>,
    /// What is between them.
    pub join: ProfileJoin,
}
