//! The ground line, level before its first corner and after its last.

use crate::{
    error::CalcError,
    model::terrain::{GroundPoint, Terrain},
    range::Range,
};

/// Allowed distance of a corner.
pub const RUN: Range = Range::new("run_mm", "mm", -100_000.0, 100_000.0);
/// Allowed height of a corner.
pub const RISE: Range = Range::new("rise_mm", "mm", -10_000.0, 10_000.0);
/// Allowed number of corners.
pub const GROUND_POINTS: Range = Range::new("points_count", "", 2.0, 500.0);

/// Returns the terrain as met from its other end: what backing over it, or the way home, meets.
#[must_use]
pub fn reversed(terrain: &Terrain) -> Terrain {
    let points = terrain.points.iter().rev().map(|point| GroundPoint { run: -point.run, rise: point.rise }).collect();
    Terrain { name: terrain.name.clone(), label: terrain.label.clone(), points }
}

/// The ground in bare millimetres. Piece `k` lies before corner `k`: piece 0 is level, so is the last.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    pub(super) corners: Vec<(f64, f64)>,
    /// One more than there are corners.
    pub(super) slopes: Vec<f64>,
}

impl Ground {
    pub(super) fn of(terrain: &Terrain) -> Result<Self, CalcError> {
        // A count of corners is far below the point where a float would round it.
        GROUND_POINTS.check(terrain.points.len() as f64)?;
        let mut corners: Vec<(f64, f64)> = Vec::with_capacity(terrain.points.len());
        let mut slopes = Vec::with_capacity(terrain.points.len() + 1);
        slopes.push(0.0);
        for point in &terrain.points {
            let (run, rise) = (RUN.check(point.run.mm())?, RISE.check(point.rise.mm())?);
            if let Some(&(before, height)) = corners.last() {
                if run <= before {
                    return Err(CalcError::Conflict {
                        field: "run_mm",
                        other: "points",
                        why: "corners stand by rising distance; give a kerb's face a run of 1 mm",
                    });
                }
                slopes.push((rise - height) / (run - before));
            }
            corners.push((run, rise));
        }
        slopes.push(0.0);
        Ok(Self { corners, slopes })
    }

    /// Returns the piece under a distance, walking from a piece nearby.
    #[inline]
    pub(super) fn piece(&self, x: f64, near: usize) -> usize {
        let mut at = near.min(self.corners.len());
        while at > 0 && x < self.corners[at - 1].0 {
            at -= 1;
        }
        while at < self.corners.len() && x > self.corners[at].0 {
            at += 1;
        }
        at
    }

    /// Returns the piece under a distance.
    pub(super) fn find(&self, x: f64) -> usize {
        self.corners.partition_point(|corner| corner.0 < x)
    }

    /// Returns the height of a piece at a distance.
    #[inline]
    pub(super) fn height(&self, x: f64, piece: usize) -> f64 {
        let (run, rise) = self.corners[piece.saturating_sub(1)];
        rise + self.slopes[piece] * (x - run)
    }
}
