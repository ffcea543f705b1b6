//! One vehicle on one ground: how it stands, and how far its parts are off the ground.

use super::{Contact, Measures, Place, RollInput, Stance, Touching, check, ground::Ground, locus::Locus, measures};
use crate::{
    error::CalcError,
    model::terrain::Terrain,
    units::{Angle, Length},
};

/// The steepest stance, as the sine of its angle from hub to hub: 45°. No road wheel climbs there, and nothing rigid that
/// stands steeper says anything of a vehicle.
const STEEPEST: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// What cannot stand.
const TOO_STEEP: CalcError = CalcError::Conflict {
    field: "rise_mm",
    other: "wheelbase_mm",
    why: "the ground is so steep that the vehicle would stand at more than 45° on its wheels",
};

/// A part of the vehicle that may touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Element {
    /// A point.
    Point(usize),
    /// The edge from the point of that index to the next.
    Edge(usize),
}

/// A stance in bare numbers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bare {
    pub(super) x: f64,
    pub(super) z: f64,
    pub(super) front_x: f64,
    pub(super) front_z: f64,
    pub(super) cos: f64,
    pub(super) sin: f64,
    pub(super) rear_piece: usize,
    pub(super) front_piece: usize,
}

impl Bare {
    /// Returns the stance in our own quantities.
    pub(super) fn shown(&self) -> Stance {
        let place = |x: f64, z: f64| Place { run: Length::from_mm(x), rise: Length::from_mm(z) };
        Stance {
            rear_hub: place(self.x, self.z),
            front_hub: place(self.front_x, self.front_z),
            pitch: Angle::from_rad(self.sin.atan2(self.cos)),
        }
    }

    /// Returns where a point of the vehicle is.
    #[inline]
    pub(super) fn place(&self, (forward, above_hub): (f64, f64)) -> (f64, f64) {
        (self.x + forward * self.cos - above_hub * self.sin, self.z + forward * self.sin + above_hub * self.cos)
    }
}

/// One vehicle on one ground.
#[derive(Debug, Clone)]
pub(super) struct Rolling {
    pub(super) ground: Ground,
    pub(super) rear: Locus,
    pub(super) front: Locus,
    /// From hub to hub.
    between: f64,
    /// The direction from hub to hub on level ground.
    level: (f64, f64),
    /// Forward of the rear hub, and above it.
    pub(super) points: Vec<(f64, f64)>,
    /// How many edges there are, from the first point on.
    pub(super) edges: usize,
    /// How far anything reaches ahead of the rear hub.
    pub(super) reach_ahead: f64,
    /// How far anything reaches behind the rear hub.
    pub(super) reach_behind: f64,
}

impl Rolling {
    pub(super) fn of(input: &RollInput<'_>) -> Result<Self, CalcError> {
        check(input)?;
        Self::new(input.terrain, &measures(input))
    }

    pub(super) fn new(terrain: &Terrain, measures: &Measures) -> Result<Self, CalcError> {
        let ground = Ground::of(terrain)?;
        let &Measures { wheelbase, front_radius, rear_radius, .. } = measures;
        let between = wheelbase.hypot(front_radius - rear_radius);
        let points: Vec<(f64, f64)> = measures.points.iter().map(|&(a, z)| (a, z - rear_radius)).collect();
        let reach = |side: fn(f64) -> bool| {
            points.iter().filter(|point| side(point.0)).map(|point| point.0.hypot(point.1)).fold(0.0, f64::max)
        };
        let (ahead, behind) = (reach(|a| a >= 0.0), reach(|a| a < 0.0));
        Ok(Self {
            rear: Locus::over(&ground, rear_radius),
            front: Locus::over(&ground, front_radius),
            ground,
            between,
            level: (wheelbase / between, (front_radius - rear_radius) / between),
            edges: measures.joined.saturating_sub(1),
            reach_ahead: ahead.max(between + front_radius),
            reach_behind: behind.max(rear_radius),
            points,
        })
    }

    /// Stands the vehicle with its rear hub at a distance, looking for both hubs' pieces near those given.
    #[inline]
    pub(super) fn stand(&self, x: f64, near_rear: usize, near_front: usize) -> Result<Bare, CalcError> {
        let rear_piece = self.rear.piece(x, near_rear);
        let z = self.rear.pieces[rear_piece].shape.height(x);
        let (front_piece, front_x, front_z) = self.front.ahead((x, z), self.between, near_front).ok_or(TOO_STEEP)?;
        let (dx, dz) = ((front_x - x) / self.between, (front_z - z) / self.between);
        if dz.abs() > STEEPEST {
            return Err(TOO_STEEP);
        }
        Ok(Bare {
            x,
            z,
            front_x,
            front_z,
            cos: dx * self.level.0 + dz * self.level.1,
            sin: dz * self.level.0 - dx * self.level.1,
            rear_piece,
            front_piece,
        })
    }

    /// Stands it near another stance.
    #[inline]
    pub(super) fn stand_near(&self, x: f64, near: &Bare) -> Result<Bare, CalcError> {
        self.stand(x, near.rear_piece, near.front_piece)
    }

    /// Returns the gap of one part; infinite for an edge with no corner of the ground under it.
    pub(super) fn gap(&self, element: Element, stance: &Bare) -> f64 {
        match element {
            Element::Point(index) => {
                let (x, z) = stance.place(self.points[index]);
                z - self.ground.height(x, self.ground.find(x))
            }
            Element::Edge(index) => {
                let (one, next) = (stance.place(self.points[index]), stance.place(self.points[index + 1]));
                self.edge_gap(one, next, self.ground.find(one.0), self.ground.find(next.0)).0
            }
        }
    }

    /// Returns the least gap of an edge over the corners of the ground between its ends, and that corner.
    #[inline]
    pub(super) fn edge_gap(
        &self,
        one: (f64, f64),
        next: (f64, f64),
        one_piece: usize,
        next_piece: usize,
    ) -> (f64, usize) {
        let (low, high) = if one_piece <= next_piece { (one_piece, next_piece) } else { (next_piece, one_piece) };
        let mut best = (f64::INFINITY, low);
        if low == high {
            return best;
        }
        let run = next.0 - one.0;
        // A run of almost nothing is an edge that stands upright; its ends speak for it.
        if run.abs() < 1e-9 {
            return best;
        }
        let slope = (next.1 - one.1) / run;
        for (index, &(x, z)) in self.ground.corners.iter().enumerate().take(high).skip(low) {
            let gap = one.1 + (x - one.0) * slope - z;
            if gap < best.0 {
                best = (gap, index);
            }
        }
        best
    }

    /// Describes the gap of one part in a stance.
    pub(super) fn contact(&self, element: Element, stance: &Bare) -> Contact {
        let show = |gap: f64, touching: Touching, (x, z): (f64, f64), ground_corner: Option<usize>| Contact {
            gap: Length::from_mm(gap),
            touching,
            at: Place { run: Length::from_mm(x), rise: Length::from_mm(z) },
            ground_corner,
            stance: stance.shown(),
        };
        match element {
            Element::Point(index) => {
                /// A point this near to a corner's distance is over the corner, mm.
                const OVER: f64 = 1e-3;
                let at = stance.place(self.points[index]);
                let piece = self.ground.find(at.0);
                let over = |corner: &usize| self.ground.corners.get(*corner).is_some_and(|c| (c.0 - at.0).abs() < OVER);
                let corner = [Some(piece), piece.checked_sub(1)].into_iter().flatten().find(over);
                show(at.1 - self.ground.height(at.0, piece), Touching::Point(index), at, corner)
            }
            Element::Edge(index) => {
                let (one, next) = (stance.place(self.points[index]), stance.place(self.points[index + 1]));
                let (gap, corner) = self.edge_gap(one, next, self.ground.find(one.0), self.ground.find(next.0));
                let (x, z) = self.ground.corners.get(corner).copied().unwrap_or(one);
                show(gap, Touching::Edge(index), (x, z + gap), Some(corner))
            }
        }
    }

    /// Returns every part that may touch, points first.
    pub(super) fn elements(&self) -> impl Iterator<Item = Element> + use<> {
        (0..self.points.len()).map(Element::Point).chain((0..self.edges).map(Element::Edge))
    }

    /// Returns what is nearest to the ground in a stance.
    pub(super) fn least(&self, stance: &Bare) -> (f64, Element) {
        let mut best = (f64::INFINITY, Element::Point(0));
        for element in self.elements() {
            let gap = self.gap(element, stance);
            if gap < best.0 {
                best = (gap, element);
            }
        }
        best
    }

    /// Returns what is nearest to the ground with the rear hub at a distance.
    pub(super) fn nearest(&self, x: f64) -> Result<Contact, CalcError> {
        let stance = self.stand(x, 0, 0)?;
        Ok(self.contact(self.least(&stance).1, &stance))
    }
}
