//! A rigid bracket on its bolts: one load at the ball, one tension and one shear at every bolt.

use super::super::{
    group::{self, POSITION},
    tilting::{self, Row},
};
use crate::{
    error::CalcError,
    range::Range,
    units::{Area, Force, Length},
};

/// Share of the hitch's load that a bracket takes.
pub const SHARE: Range = Range::new("bracket_share", "", 0.01, 1.0);
/// How far bolts may lie off one plane, mm, and still count as in it.
const FLAT: f64 = 0.5;

/// Which way the bolts point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Along the vehicle: through a cross member.
    Lengthwise,
    /// Across it: through the web of a frame rail.
    Crosswise,
    /// Upright: through the flange of a frame rail or the floor.
    Upright,
}

impl Axis {
    /// Returns the two axes in the plane of the bolts and the one along them, right-handed.
    const fn order(self) -> [usize; 3] {
        match self {
            Self::Lengthwise => [1, 2, 0],
            Self::Crosswise => [2, 0, 1],
            Self::Upright => [0, 1, 2],
        }
    }
}

/// On which side of the frame the bracket lies, along the bolts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Towards the rear, the right, or the top.
    Positive,
    /// Towards the front, the left, or the ground.
    Negative,
}

/// The outline of the plate's contact with the frame, in the two axes of its plane: x before y before z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outline {
    /// One corner.
    pub least: [Length; 3],
    /// The opposite one.
    pub most: [Length; 3],
}

/// How tilting is shared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// As springs in three directions about the common centroid: no gap opens, or the bolts lie in space.
    Springs,
    /// Shear as springs in the plane; tilting about neutral axes of a plate that presses within its outline.
    Plate(Outline),
}

/// A bracket: where its bolts are, and where the load comes in.
#[derive(Debug, Clone, PartialEq)]
pub struct Bracket {
    /// Its bolts, from any origin.
    pub positions: Vec<[Length; 3]>,
    /// Which way they point.
    pub axis: Axis,
    /// On which side of the frame it lies.
    pub side: Side,
    /// The centre of the ball, from the same origin.
    pub load_at: [Length; 3],
    /// The share of the hitch's load that it takes: one for a whole receiver, a half for each of two like side plates.
    pub share: f64,
    /// How tilting is shared.
    pub method: Method,
    /// Stress area of its bolts, which are all alike.
    pub area: Area,
}

/// What one bolt bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltLoad {
    /// Along it, pulling; nought when the bracket is pressed onto the frame there.
    pub tension: Force,
    /// Across it.
    pub shear: Force,
    /// The direction of the shear: angle in the plane of the bolts.
    pub across: [Force; 2],
}

/// Returns what each bolt bears under a force at the ball.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a measure outside its range; [`CalcError::Conflict`] when the bolts cannot resist the
/// turning, or a plate's bolts do not lie in one plane within its outline.
///
/// # Source
///
/// [`group::SOURCE`] and [`tilting::SOURCE`].
pub fn bolt_loads(bracket: &Bracket, force: [Force; 3]) -> Result<Vec<BoltLoad>, CalcError> {
    group::BOLTS.check(bracket.positions.len() as f64)?;
    let share = SHARE.check(bracket.share)?;
    let order = bracket.axis.order();
    let point = |at: &[Length; 3]| -> Result<[f64; 3], CalcError> {
        let mut turned = [0.0; 3];
        for (to, from) in turned.iter_mut().zip(order) {
            *to = POSITION.check(at.get(from).map_or(f64::NAN, |at| at.mm()))?;
        }
        Ok(turned)
    };
    let spots = bracket.positions.iter().map(point).collect::<Result<Vec<_>, _>>()?;
    let at = point(&bracket.load_at)?;
    let mut load = [0.0; 3];
    for (to, from) in load.iter_mut().zip(order) {
        *to = super::FORCE.check(force.get(from).map_or(f64::NAN, |force| force.n()))? * share;
    }
    let sign = match bracket.side {
        Side::Positive => 1.0,
        Side::Negative => -1.0,
    };
    match bracket.method {
        Method::Springs => springs(&spots, at, load, sign),
        Method::Plate(outline) => {
            let edges = [point(&outline.least)?, point(&outline.most)?];
            plate(&spots, at, load, sign, edges, bracket.area)
        }
    }
}

fn cross([a, b, c]: [f64; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    [b * z - c * y, c * x - a * z, a * y - b * x]
}

fn less([a, b, c]: [f64; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    [a - x, b - y, c - z]
}

fn centroid(spots: &[[f64; 3]]) -> [f64; 3] {
    let count = spots.len() as f64;
    let sum = spots.iter().fold([0.0; 3], |[a, b, c], [x, y, z]| [a + x, b + y, c + z]);
    sum.map(|sum| sum / count)
}

/// Returns the turn `θ` with `K θ = M` for `K = Σ (|r|² I − r rᵀ)`, `None` when the bolts cannot resist.
fn turn(arms: &[[f64; 3]], moment: [f64; 3]) -> Option<[f64; 3]> {
    let mut k = [[0.0; 3]; 3];
    for [x, y, z] in arms {
        let add = [[y * y + z * z, -x * y, -x * z], [-x * y, x * x + z * z, -y * z], [-x * z, -y * z, x * x + y * y]];
        for (row, add) in k.iter_mut().zip(add) {
            for (cell, add) in row.iter_mut().zip(add) {
                *cell += add;
            }
        }
    }
    let size = k[0][0] + k[1][1] + k[2][2];
    let det = |[p, q, r]: [[f64; 3]; 3]| {
        let [x, y, z] = cross(q, r);
        p[0] * x + p[1] * y + p[2] * z
    };
    // Of like size in all directions the determinant is the cube of a third; a line of bolts brings it to nought.
    if det(k) <= 1e-9 * size.powi(3) {
        let along = line(arms)?;
        let dot = along.iter().zip(moment).map(|(a, m)| a * m).sum::<f64>();
        // What would turn the bolts about their own line nothing resists; what does not is not held against them.
        if 1.0 + 1e-9 * moment.iter().map(|m| m.abs()).sum::<f64>() < dot.abs() {
            return None;
        }
        for (row, a) in k.iter_mut().zip(along) {
            for (cell, b) in row.iter_mut().zip(along) {
                *cell += size * a * b;
            }
        }
    }
    let [a, b, c] = k;
    let whole = det(k);
    // The matrix is its own transpose, so rows stand in for columns.
    Some([det([moment, b, c]) / whole, det([a, moment, c]) / whole, det([a, b, moment]) / whole])
}

/// Returns the direction of a line of bolts; `None` when they lie in one spot.
fn line(arms: &[[f64; 3]]) -> Option<[f64; 3]> {
    let length = |[x, y, z]: &[f64; 3]| x.hypot(*y).hypot(*z);
    let longest = arms.iter().max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let whole = length(longest);
    (0.01 < whole).then(|| longest.map(|part| part / whole))
}

const NO_TURNING: CalcError = CalcError::Conflict {
    field: "positions",
    other: "load_at",
    why: "bolts in one line cannot resist turning about it",
};

/// Like springs in three directions at every bolt.
fn springs(spots: &[[f64; 3]], at: [f64; 3], load: [f64; 3], sign: f64) -> Result<Vec<BoltLoad>, CalcError> {
    let middle = centroid(spots);
    let moment = cross(less(at, middle), load);
    let arms: Vec<_> = spots.iter().map(|spot| less(*spot, middle)).collect();
    let still = moment.iter().all(|moment| moment.abs() < 1.0);
    let turn = if still { [0.0; 3] } else { turn(&arms, moment).ok_or(NO_TURNING)? };
    let count = spots.len() as f64;
    Ok(arms
        .iter()
        .map(|arm| {
            let [u, v, w] = cross(turn, *arm);
            let [u, v, w] = [u + load[0] / count, v + load[1] / count, w + load[2] / count];
            bolt(u, v, sign * w)
        })
        .collect())
}

fn bolt(u: f64, v: f64, pull: f64) -> BoltLoad {
    BoltLoad {
        tension: Force::from_n(pull.max(0.0)),
        shear: Force::from_n(u.hypot(v)),
        across: [Force::from_n(u), Force::from_n(v)],
    }
}

/// A flat plate: shear in its plane, tilting about a neutral axis for each of its two directions.
fn plate(
    spots: &[[f64; 3]],
    at: [f64; 3],
    load: [f64; 3],
    sign: f64,
    [least, most]: [[f64; 3]; 2],
    area: Area,
) -> Result<Vec<BoltLoad>, CalcError> {
    let middle = centroid(spots);
    if spots.iter().any(|spot| FLAT < (spot[2] - middle[2]).abs()) {
        return Err(CalcError::Conflict {
            field: "positions",
            other: "outline",
            why: "the bolts of a plate lie in one plane",
        });
    }
    let inside = |spot: &[f64; 3]| (0..2).all(|axis| least[axis] <= spot[axis] && spot[axis] <= most[axis]);
    if !spots.iter().all(inside) {
        return Err(CalcError::Conflict {
            field: "outline",
            other: "positions",
            why: "every bolt of a plate lies within its outline",
        });
    }
    let flat: Vec<_> = spots.iter().map(|[u, v, _]| group::Bolt { at: [*u, *v].map(Length::from_mm), area }).collect();
    let shear = group::share(
        &flat,
        &group::Load { force: [load[0], load[1]].map(Force::from_n), at: [at[0], at[1]].map(Length::from_mm) },
    )?;
    let [about_u, about_v, _] = cross(less(at, middle), load);
    // Turning about u lifts the side of greater v, turning about v that of lesser u, off a frame on the negative side.
    let by_v = tilt(spots, [least[1], most[1]], 1, most[0] - least[0], sign * about_u, area)?;
    let by_u = tilt(spots, [least[0], most[0]], 0, most[1] - least[1], -sign * about_v, area)?;
    // A press onto the frame relieves the bolts; the relief is left out.
    let direct = (sign * load[2] / spots.len() as f64).max(0.0);
    Ok(shear
        .bolts
        .iter()
        .zip(by_v.iter().zip(&by_u))
        .map(|([u, v], (a, b))| bolt(u.n(), v.n(), direct + a.n() + b.n()))
        .collect())
}

/// Returns the tension of each bolt when the side of greater coordinate is lifted by a positive moment, N·mm.
fn tilt(
    spots: &[[f64; 3]],
    [least, most]: [f64; 2],
    axis: usize,
    width: f64,
    lifting: f64,
    area: Area,
) -> Result<Vec<Force>, CalcError> {
    if lifting.abs() < 1.0 {
        return Ok(vec![Force::ZERO; spots.len()]);
    }
    let from_edge = |spot: &[f64; 3]| {
        let coordinate = spot.get(axis).copied().unwrap_or(f64::NAN);
        if 0.0 < lifting { coordinate - least } else { most - coordinate }
    };
    let rows: Vec<_> = spots.iter().map(|spot| Row { from_edge: Length::from_mm(from_edge(spot)), area }).collect();
    Ok(tilting::about_axis(&rows, Length::from_mm(width), lifting.abs() / 1000.0)?.bolts)
}

#[cfg(test)]
mod tests;
