//! The ramp angle: least over points and edges between the axles.
//!
//! Along a straight edge that stays outside a tyre's circle the tangent angle to that tyre only rises or only falls,
//! since the lines of equal angle are the tangents themselves and an edge crosses each at most once. So the sum of the
//! two angles' lesser ends is a floor for the whole edge, by which most edges are passed over.
//!
//! How fast it rises or falls: with `d` the hub's distance from the edge's line, `x` the distance along the line from
//! the foot of that perpendicular and `w = √(x² + d² − r²)` the tangent's length,
//!
//! ```text
//! |dα/dx| = |d² − r²| / (w · (d · w + r · x))
//! ```
//!
//! for a line that passes below the hub. While `x ≥ 0` it only falls with `x`. So where neither foot lies on the edge,
//! as is usual, the derivative of the sum changes its sign at most once, and its signs at the ends tell whether there
//! is a minimum between them. Elsewhere the edge is looked through in pieces.

use super::{
    Governed, Point, Underside, Wheels,
    tangent::{INSIDE_TYRE, half_tangent, under_axle},
};
use crate::{calc::sag::Pose, error::CalcError, model::profile::ProfileJoin, units::Angle};

/// How many pieces an edge is cut into when its ends do not bracket a minimum.
const PIECES: u32 = 8;
/// Rounds of false position before the bracket is halved instead, and more rounds than either ever needs.
const SECANTS: u32 = 24;
const ROUNDS: u32 = 80;
/// The slope, in radians over the whole edge, that counts as level. The angle's own error is of its square.
const LEVEL: f64 = 1e-10;
/// How far an edge is kept off a tyre's circle, as a share of the edge.
const OFF: f64 = 1e-10;
/// How many corners keep their tangents for the edges; those of further corners are worked out again.
const KEPT: usize = 48;

/// Returns tan(β / 2) from the tangents of the half angles; it rises with β up to a straight angle, beyond which
/// nothing governs.
#[inline]
fn join(front: f64, rear: f64) -> f64 {
    let below = 1.0 - front * rear;
    if below > 0.0 { (front + rear) / below } else { f64::INFINITY }
}

/// The tangents of half the angle to the front and to the rear tyre.
type Halves = (f64, f64);

/// The two wheels in bare millimetres.
#[derive(Clone, Copy)]
struct Pair {
    wheelbase: f64,
    front: f64,
    rear: f64,
}

impl Pair {
    fn of(wheels: &Wheels) -> Self {
        Self { wheelbase: wheels.wheelbase.mm(), front: wheels.front_radius.mm(), rear: wheels.rear_radius.mm() }
    }

    /// Returns the tangents of both half angles, or `None` inside a tyre.
    #[inline]
    fn halves(&self, s: f64, z: f64) -> Option<Halves> {
        Some((half_tangent(s, z, self.front)?, half_tangent(self.wheelbase - s, z, self.rear)?))
    }
}

/// A straight edge, walked by a share from 0 to 1.
#[derive(Clone, Copy)]
struct Edge {
    s: f64,
    z: f64,
    run: f64,
    rise: f64,
}

impl Edge {
    fn between(one: Point, next: Point) -> Self {
        let (s, z) = (one.station.mm(), one.height.mm());
        Self { s, z, run: next.station.mm() - s, rise: next.height.mm() - z }
    }

    #[inline]
    fn at(&self, share: f64) -> (f64, f64) {
        (self.s + share * self.run, self.z + share * self.rise)
    }

    /// Returns between which shares the edge runs inside a circle, if it does.
    fn inside(&self, centre: f64, radius: f64) -> Option<(f64, f64)> {
        let (ds, dz) = (self.s - centre, self.z - radius);
        let square = self.run * self.run + self.rise * self.rise;
        let half = (ds * self.run + dz * self.rise) / square;
        let root = half * half - (ds * ds + dz * dz - radius * radius) / square;
        (root > 0.0).then(|| (-half - root.sqrt(), -half + root.sqrt()))
    }

    /// Returns the part of the edge that lies between the axles and outside both tyres.
    fn clip(&self, pair: Pair) -> Option<(f64, f64)> {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let (at_front, at_rear) = (-self.s / self.run, (pair.wheelbase - self.s) / self.run);
        low = low.max(at_front.min(at_rear));
        high = high.min(at_front.max(at_rear));
        if let Some((enter, leave)) = self.inside(0.0, pair.front)
            && enter < high
            && leave > low
        {
            low = leave + OFF;
        }
        if let Some((enter, leave)) = self.inside(pair.wheelbase, pair.rear)
            && enter < high
            && leave > low
        {
            high = enter - OFF;
        }
        (low < high).then_some((low, high))
    }

    /// Returns the derivative of β along the edge.
    ///
    /// From `u · sin α + (r − z) · cos α = r`: dα/du = −sin α / w and dα/dz = cos α / w, with w the tangent's length.
    #[inline]
    fn slope(&self, share: f64, pair: Pair) -> f64 {
        let (s, z) = self.at(share);
        let one = |u: f64, r: f64, du: f64| {
            let length = (u * u - z * (2.0 * r - z)).max(0.0).sqrt();
            let half = z / (u + length);
            let square = half * half;
            ((1.0 - square) * self.rise - 2.0 * half * du) / ((1.0 + square) * length)
        };
        one(s, pair.front, self.run) + one(pair.wheelbase - s, pair.rear, -self.run)
    }

    /// Returns whether the derivative changes its sign at most once between two shares: both feet off the edge and both
    /// hubs above its line.
    fn turns_once(&self, low: f64, high: f64, pair: Pair) -> bool {
        let slope = self.rise / self.run;
        let ((s0, z0), (s1, z1)) = (self.at(low), self.at(high));
        let behind_front = s0 + (z0 - pair.front) * slope >= 0.0;
        let ahead_of_rear = (pair.wheelbase - s1) + (pair.rear - z1) * slope >= 0.0;
        let below_front = z0 - slope * s0 < pair.front;
        let below_rear = z1 + slope * (pair.wheelbase - s1) < pair.rear;
        behind_front && ahead_of_rear && below_front && below_rear
    }

    /// Returns where β is least inside the edge, when that is below `best`. `ends` are the tangents at its two corners,
    /// where both lie between the axles.
    fn least_below(&self, best: f64, ends: Option<(Halves, Halves)>, pair: Pair) -> Option<(f64, f64)> {
        let hopeless = |one: Halves, other: Halves| join(one.0.min(other.0), one.1.min(other.1)) >= best;
        if self.run <= 0.0 || ends.is_some_and(|(one, other)| hopeless(one, other)) {
            return None;
        }
        let (low, high) = self.clip(pair)?;
        let halves = |share: f64| {
            let (s, z) = self.at(share);
            pair.halves(s, z)
        };
        if ends.is_none()
            && let (Some(one), Some(other)) = (halves(low), halves(high))
            && hopeless(one, other)
        {
            return None;
        }
        let mut found: Option<(f64, f64)> = None;
        let mut keep = |share: f64| {
            if let Some((front, rear)) = halves(share) {
                let value = join(front, rear);
                if value < found.map_or(best, |(least, _)| least) {
                    found = Some((value, share));
                }
            }
        };
        let (at_low, at_high) = (self.slope(low, pair), self.slope(high, pair));
        if self.turns_once(low, high, pair) {
            if at_low < 0.0 && at_high > 0.0 {
                keep(self.zero((low, at_low), (high, at_high), pair));
            }
            return found;
        }
        let step = (high - low) / f64::from(PIECES);
        let mut before = (low, at_low);
        for piece in 1..=PIECES {
            let share = low + step * f64::from(piece);
            let here = (share, self.slope(share, pair));
            if before.1 < 0.0 && here.1 > 0.0 {
                keep(self.zero(before, here, pair));
            }
            before = here;
        }
        found
    }

    /// Finds the zero of the derivative in a bracket: false position with the Illinois step, halving where that stalls.
    fn zero(&self, (mut low, mut at_low): (f64, f64), (mut high, mut at_high): (f64, f64), pair: Pair) -> f64 {
        let mut middle = 0.5 * (low + high);
        let mut side = 0.0;
        for round in 0..ROUNDS {
            let secant = high - at_high * (high - low) / (at_high - at_low);
            let halve = round >= SECANTS || !(low < secant && secant < high);
            middle = if halve { 0.5 * (low + high) } else { secant };
            let value = self.slope(middle, pair);
            if value.abs() < LEVEL {
                break;
            }
            // Twice on the same side: the other end is stale, and weighs half.
            let stale = if value * side > 0.0 { 0.5 } else { 1.0 };
            if value < 0.0 {
                (low, at_low, at_high) = (middle, value, at_high * stale);
            } else {
                (high, at_high, at_low) = (middle, value, at_low * stale);
            }
            side = value;
        }
        middle
    }
}

/// Finds the least β over all points and, where they are straight, all edges.
pub(super) fn ramp_of(underside: &Underside<'_>, placed: &[Point], pose: &Pose) -> Result<Governed, CalcError> {
    let pair = Pair::of(pose.wheels());
    let mut best = f64::INFINITY;
    let mut found: Option<(Point, usize, bool)> = None;
    let mut kept: [Option<Halves>; KEPT] = [None; KEPT];
    for (index, &point) in placed.iter().enumerate() {
        let (s, z) = (point.station.mm(), point.height.mm());
        if s <= 0.0 || s >= pair.wheelbase {
            continue;
        }
        let Some((front, rear)) = pair.halves(s, z) else {
            if under_axle(s, pair.front) || under_axle(pair.wheelbase - s, pair.rear) {
                continue;
            }
            return Err(INSIDE_TYRE);
        };
        if let Some(slot) = kept.get_mut(index) {
            *slot = Some((front, rear));
        }
        let value = join(front, rear);
        if value < best || found.is_none() {
            best = value;
            found = Some((point, index, false));
        }
    }
    if underside.join == ProfileJoin::StraightEdges {
        let halves = |index: usize| kept.get(index).copied().flatten();
        let mut before: Option<Point> = None;
        for (index, &point) in placed.iter().enumerate().take(underside.body.len()) {
            if let Some((corner, first)) = before.zip(index.checked_sub(1)) {
                let edge = Edge::between(corner, point);
                if let Some((value, share)) = edge.least_below(best, halves(first).zip(halves(index)), pair) {
                    let (s, z) = edge.at(share);
                    best = value;
                    found = Some((Point::from_mm(s, z), first, true));
                }
            }
            before = Some(point);
        }
    }
    let (at, index, on_edge) = found.ok_or(CalcError::Missing { field: "points", by: "the ramp angle" })?;
    Ok(Governed { angle: Angle::from_rad(2.0 * best.atan()), at, index, on_edge })
}
