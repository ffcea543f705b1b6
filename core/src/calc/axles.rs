//! Axle loads by moments.

use crate::units::{Length, Mass};

/// A mass at a station rearward of the front axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// How heavy.
    pub mass: Mass,
    /// Where.
    pub station: Length,
}

/// What the axle loads are computed from.
#[derive(Debug, Clone, PartialEq)]
pub struct AxleInput<'a> {
    /// Front axle to rear axle.
    pub wheelbase: Length,
    /// Kerb load on the front axle.
    pub kerb_front: Mass,
    /// Kerb load on the rear axle.
    pub kerb_rear: Mass,
    /// What rides in and on the vehicle.
    pub items: &'a [Station],
    /// The tongue load at the ball, when hitched.
    pub tongue: Option<Station>,
}

/// Loads on the two axles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLoads {
    /// Front, before hitching.
    pub front_before: Mass,
    /// Rear, before hitching.
    pub rear_before: Mass,
    /// Front, hitched; the same as before when there is no tongue load.
    pub front: Mass,
    /// Rear, hitched.
    pub rear: Mass,
}
