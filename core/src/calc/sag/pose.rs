//! Where a point of the underside goes when the body sinks and pitches.

use super::Sag;
use crate::{
    calc::clearance::{Point, Wheels},
    units::Length,
};

/// How the points of the body are moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Model {
    /// Not at all: the state the vehicle was measured in.
    AsMeasured,
    /// Straight down by the sag at their station.
    Linear,
    /// As parts of a rigid body: heights and stations both. The exact one, and the one to prefer.
    RigidBody,
}

impl Model {
    /// Returns the words that say which model a figure was made with.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::AsMeasured => "as measured",
            Self::Linear => "linear sag",
            Self::RigidBody => "rigid-body pose",
        }
    }
}

/// Where the body stands, and the wheels under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    model: Model,
    wheels: Wheels,
    /// Station: `s' = a · s + b · z + c`.
    station: [f64; 3],
    /// Height: `z' = a · s + b · z + c`.
    height: [f64; 3],
}

impl Pose {
    /// The pose the vehicle was measured in.
    #[must_use]
    pub const fn as_measured(wheels: Wheels) -> Self {
        Self { model: Model::AsMeasured, wheels, station: [1.0, 0.0, 0.0], height: [0.0, 1.0, 0.0] }
    }

    /// Every point straight down by the sag at its station.
    #[must_use]
    pub fn linear(sag: &Sag) -> Self {
        let slope = (sag.rear - sag.front) / sag.unladen.wheelbase;
        Self {
            model: Model::Linear,
            wheels: sag.laden,
            station: [1.0, 0.0, 0.0],
            height: [-slope, 1.0, -sag.front.mm()],
        }
    }

    /// Every point as a part of one rigid body.
    ///
    /// The two body points at the hubs sink by the sag of their axle and keep their distance; all else follows. Stations
    /// count from the front hub where it stands laden, and the wheelbase is the hubs' horizontal distance.
    #[must_use]
    pub fn rigid_body(sag: &Sag) -> Self {
        let wheelbase = sag.unladen.wheelbase.mm();
        let (front_hub, rear_hub) = (sag.unladen.front_radius.mm(), sag.unladen.rear_radius.mm());
        let between = wheelbase.hypot(front_hub - rear_hub);
        let rise = (front_hub - sag.front.mm()) - (rear_hub - sag.rear.mm());
        let laden_slope = (rise / between).clamp(-1.0, 1.0).asin();
        let (sin, cos) = (laden_slope - ((front_hub - rear_hub) / between).asin()).sin_cos();
        let laden_wheelbase = between * laden_slope.cos();
        // About the rear hub: forward' = a cos − h sin, up' = a sin + h cos, with a = L − s and h = z − r_rear.
        Self {
            model: Model::RigidBody,
            wheels: Wheels { wheelbase: Length::from_mm(laden_wheelbase), ..sag.laden },
            station: [cos, sin, laden_wheelbase - wheelbase * cos - rear_hub * sin],
            height: [-sin, cos, wheelbase * sin - rear_hub * cos + rear_hub - sag.rear.mm()],
        }
    }

    /// Returns which model it is.
    #[must_use]
    pub const fn model(&self) -> Model {
        self.model
    }

    /// Returns the wheels in this pose.
    #[must_use]
    pub const fn wheels(&self) -> &Wheels {
        &self.wheels
    }

    /// Returns every number that the pose is made of.
    #[must_use]
    pub const fn numbers(&self) -> [f64; 9] {
        let ([a, b, c], [d, e, f]) = (self.station, self.height);
        let Wheels { wheelbase, front_radius, rear_radius } = self.wheels;
        [a, b, c, d, e, f, wheelbase.mm(), front_radius.mm(), rear_radius.mm()]
    }

    /// Returns where a measured point goes.
    #[must_use]
    pub fn place(&self, point: Point) -> Point {
        let (s, z) = (point.station.mm(), point.height.mm());
        let along = |[a, b, c]: [f64; 3]| Length::from_mm(a * s + b * z + c);
        Point { station: along(self.station), height: along(self.height) }
    }
}
