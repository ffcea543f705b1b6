//! Vehicle and trailer, seen from above.

use crate::units::Length;

/// A vehicle's tail.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Tail {
    /// Half the body's width at its rear face.
    pub half_width: Option<Length>,
    /// The rear face, rearward of the front axle.
    pub rear_face_station: Option<Length>,
    /// Radius that the rear axle's centre drives on at full lock.
    pub turn_radius: Option<Length>,
}

/// One point of a trailer's nose.
#[derive(Debug, Clone, PartialEq)]
pub struct NosePoint {
    /// What it is: `jack handle`.
    pub label: String,
    /// Behind the ball; below zero ahead of it.
    pub behind: Length,
    /// Off the middle line, on either side.
    pub aside: Length,
}

/// A trailer's nose, when the train stands straight.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Nose {
    /// From the ball back to the front corners.
    pub behind: Option<Length>,
    /// Half the body's width at its front.
    pub half_width: Option<Length>,
    /// What else sticks out.
    pub points: Vec<NosePoint>,
}
