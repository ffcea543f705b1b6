//! What hangs under the vehicle: its own profile and the gear that is fitted.

use super::Point;
use crate::{
    calc::sag::Pose,
    error::CalcError,
    model::{
        profile::{Profile, ProfileJoin, ProfilePoint},
        vehicle::{HEIGHT, STATION},
    },
};

/// What hangs under the vehicle. The points count through: body, fitted gear, ball mount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Underside<'a> {
    /// The vehicle's own points, by rising station where its edges are straight.
    pub body: &'a [ProfilePoint],
    /// What is between them.
    pub join: ProfileJoin,
    /// The points of what is fitted, such as a receiver's. Each stands alone.
    pub fitted: &'a [ProfilePoint],
    /// The points of the ball mount, when it stays in. Each stands alone.
    pub mount: &'a [Point],
}

impl<'a> Underside<'a> {
    /// Starts from a profile with nothing fitted.
    #[must_use]
    pub fn of(profile: &'a Profile) -> Self {
        Self { body: &profile.points, join: profile.join, fitted: &[], mount: &[] }
    }

    /// Adds what is fitted.
    #[must_use]
    pub const fn with_fitted(self, fitted: &'a [ProfilePoint]) -> Self {
        Self { fitted, ..self }
    }

    /// Adds a ball mount.
    #[must_use]
    pub const fn with_mount(self, mount: &'a [Point]) -> Self {
        Self { mount, ..self }
    }

    /// Returns the label of a point; a ball mount's points are called `ball mount`.
    #[must_use]
    pub fn label(&self, index: usize) -> Option<&'a str> {
        if let Some(point) = self.body.get(index) {
            return Some(&point.label);
        }
        let index = index.checked_sub(self.body.len())?;
        if let Some(point) = self.fitted.get(index) {
            return Some(&point.label);
        }
        let index = index.checked_sub(self.fitted.len())?;
        self.mount.get(index).map(|_| "ball mount")
    }

    /// Returns the points as measured.
    fn measured(&self) -> impl Iterator<Item = Point> + use<'a> {
        let bare = |point: &ProfilePoint| Point { station: point.station, height: point.height };
        self.body.iter().map(bare).chain(self.fitted.iter().map(bare)).chain(self.mount.iter().copied())
    }

    /// Returns the points in a pose, each with its index.
    pub(crate) fn placed<'p>(&self, pose: &'p Pose) -> impl Iterator<Item = (usize, Point)> + use<'a, 'p> {
        self.measured().map(|point| pose.place(point)).enumerate()
    }

    /// Returns all points in a pose, for those who walk them more than once.
    pub(super) fn all_placed(&self, pose: &Pose) -> Vec<Point> {
        let mut placed = Vec::with_capacity(self.body.len() + self.fitted.len() + self.mount.len());
        placed.extend(self.placed(pose).map(|(_, point)| point));
        placed
    }

    /// Checks wheels, ranges and order.
    pub(super) fn check(&self, pose: &Pose) -> Result<(), CalcError> {
        pose.wheels().check()?;
        for point in self.measured() {
            STATION.check(point.station.mm())?;
            HEIGHT.check(point.height.mm())?;
        }
        let rising = self.body.is_sorted_by(|one, next| one.station <= next.station);
        if self.join == ProfileJoin::StraightEdges && !rising {
            return Err(CalcError::Conflict {
                field: "station_mm",
                other: "join",
                why: "the corners of straight edges are listed by rising station",
            });
        }
        Ok(())
    }
}
