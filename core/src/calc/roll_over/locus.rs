//! The curve that a wheel's hub follows: the upper edge of all circles that stand on the ground.
//!
//! Every straight piece of the ground lifts to a parallel line, every corner that points up to an arc between the two
//! lines beside it; a corner that points down is never touched while both its sides are in the way. Where lines and
//! arcs overlap the highest counts, and the wheel bridges what lies below.

use super::ground::Ground;

/// What the hub follows on one piece of its curve.
#[derive(Debug, Clone, Copy)]
pub(super) enum Shape {
    /// A line through a place, in a direction.
    Line { x: f64, z: f64, cos: f64, sin: f64 },
    /// The upper half of a circle about a corner of the ground.
    Arc { x: f64, z: f64, r: f64 },
}

impl Shape {
    #[inline]
    pub(super) fn height(&self, at: f64) -> f64 {
        match *self {
            Self::Line { x, z, cos, sin } => z + (at - x) * (sin / cos),
            Self::Arc { x, z, r } => z + (r * r - (at - x) * (at - x)).max(0.0).sqrt(),
        }
    }

    /// Returns where it meets a circle, the further meeting first.
    #[inline]
    fn meets_circle(&self, (cx, cz): (f64, f64), radius: f64) -> [Option<(f64, f64)>; 2] {
        match *self {
            Self::Line { x, z, cos, sin } => {
                let (dx, dz) = (x - cx, z - cz);
                let half = dx * cos + dz * sin;
                let off = dx * sin - dz * cos;
                let square = radius * radius - off * off;
                if square < 0.0 {
                    return [None, None];
                }
                let root = square.sqrt();
                let at = |t: f64| Some((x + t * cos, z + t * sin));
                [at(-half + root), at(-half - root)]
            }
            Self::Arc { x, z, r } => {
                let (dx, dz) = (x - cx, z - cz);
                let square = dx * dx + dz * dz;
                let apart = square.sqrt();
                let along = (radius * radius - r * r + square) / (2.0 * apart);
                let aside = radius * radius - along * along;
                if apart <= 0.0 || aside < 0.0 {
                    return [None, None];
                }
                let aside = aside.sqrt();
                let (ux, uz) = (dx / apart, dz / apart);
                let one = (cx + along * ux + aside * uz, cz + along * uz - aside * ux);
                let other = (cx + along * ux - aside * uz, cz + along * uz + aside * ux);
                let keep = |place: (f64, f64)| (place.1 >= z).then_some(place);
                if one.0 >= other.0 { [keep(one), keep(other)] } else { [keep(other), keep(one)] }
            }
        }
    }

    /// Returns where two may cross; a place that turns out to be none is harmless.
    fn crossings(&self, other: &Self) -> [f64; 2] {
        let places = match (*self, *other) {
            (Self::Line { x: x1, z: z1, cos: c1, sin: s1 }, Self::Line { x: x2, z: z2, cos: c2, sin: s2 }) => {
                let (one, two) = (s1 / c1, s2 / c2);
                let x = x1 + (z2 - z1 + (x1 - x2) * two) / (one - two);
                [x, x]
            }
            (line @ Self::Line { .. }, Self::Arc { x, z, r }) | (Self::Arc { x, z, r }, line @ Self::Line { .. }) => {
                line.meets_circle((x, z), r).map(|place| place.map_or(f64::NAN, |(x, _)| x))
            }
            (Self::Arc { x: x1, z: z1, r }, Self::Arc { x: x2, z: z2, .. }) => {
                let (dx, dz) = (x2 - x1, z2 - z1);
                let square = dx * dx + dz * dz;
                let half = (r * r - square / 4.0).sqrt();
                let (middle, off) = (f64::midpoint(x1, x2), half * dz / square.sqrt());
                [middle - off, middle + off]
            }
        };
        if places[0] <= places[1] { places } else { [places[1], places[0]] }
    }
}

/// A stretch of the curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) lo: f64,
    pub(super) hi: f64,
    pub(super) shape: Shape,
    /// Which line or arc it is a part of.
    id: usize,
}

/// The whole curve, from left to right without a hole.
#[derive(Debug, Clone)]
pub(super) struct Locus {
    pub(super) pieces: Vec<Piece>,
}

impl Locus {
    /// Lifts the ground by a wheel's radius.
    pub(super) fn over(ground: &Ground, r: f64) -> Self {
        let last = ground.corners.len();
        let direction = |piece: usize| {
            let slope = ground.slopes[piece];
            let cos = 1.0 / slope.hypot(1.0);
            (cos, slope * cos)
        };
        let mut raw = Vec::with_capacity(2 * last + 1);
        for piece in 0..=last {
            let (cos, sin) = direction(piece);
            let (x, z) = ground.corners[piece.saturating_sub(1)];
            let lo = if piece == 0 { f64::NEG_INFINITY } else { x - r * sin };
            let hi = ground.corners.get(piece).map_or(f64::INFINITY, |next| next.0 - r * sin);
            raw.push(Piece { lo, hi, shape: Shape::Line { x: x - r * sin, z: z + r * cos, cos, sin }, id: raw.len() });
            if let Some(&(x, z)) = ground.corners.get(piece)
                && ground.slopes[piece] > ground.slopes[piece + 1]
            {
                let (_, next) = direction(piece + 1);
                raw.push(Piece { lo: hi, hi: x - r * next, shape: Shape::Arc { x, z, r }, id: raw.len() });
            }
        }
        Self { pieces: upper(&raw) }
    }

    /// Returns the piece over a distance, walking from a piece nearby.
    #[inline]
    pub(super) fn piece(&self, x: f64, near: usize) -> usize {
        let mut at = near.min(self.pieces.len() - 1);
        while at > 0 && x <= self.pieces[at - 1].hi {
            at -= 1;
        }
        while at + 1 < self.pieces.len() && x > self.pieces[at].hi {
            at += 1;
        }
        at
    }

    /// Returns the hub ahead of another hub at a distance from it: the furthest such place on the curve, its piece and
    /// where it is. `None` where the ground is so steep that there is none ahead.
    #[inline]
    pub(super) fn ahead(&self, hub: (f64, f64), distance: f64, near: usize) -> Option<(usize, f64, f64)> {
        /// How far a meeting may lie outside its piece by rounding alone, mm.
        const ROUNDING: f64 = 1e-9;
        let mut limit = hub.0 + distance;
        let mut at = self.piece(limit, near);
        loop {
            let piece = &self.pieces[at];
            for (x, z) in piece.shape.meets_circle(hub, distance).into_iter().flatten() {
                if x >= piece.lo - ROUNDING && x <= limit + ROUNDING {
                    return Some((at, x, z));
                }
            }
            limit = piece.lo;
            if limit <= hub.0 || at == 0 {
                return None;
            }
            // Rounding may have lost a meeting on the border itself.
            let z = piece.shape.height(limit);
            if (limit - hub.0).hypot(z - hub.1) <= distance {
                return Some((at, limit, z));
            }
            at -= 1;
        }
    }
}

/// Returns the upper edge of some pieces, by halves.
fn upper(raw: &[Piece]) -> Vec<Piece> {
    if raw.len() <= 1 {
        return raw.to_vec();
    }
    let (left, right) = raw.split_at(raw.len() / 2);
    merge(&upper(left), &upper(right))
}

/// Adds a stretch of a piece, as a part of the one before where it goes on.
fn add(out: &mut Vec<Piece>, piece: &Piece, lo: f64, hi: f64) {
    if hi <= lo {
        return;
    }
    match out.last_mut() {
        Some(last) if last.id == piece.id && last.hi == lo => last.hi = hi,
        _ => out.push(Piece { lo, hi, ..*piece }),
    }
}

fn merge(one: &[Piece], other: &[Piece]) -> Vec<Piece> {
    let mut out = Vec::with_capacity(one.len() + other.len());
    let (mut i, mut j) = (0, 0);
    let mut x = f64::NEG_INFINITY;
    loop {
        while one.get(i).is_some_and(|piece| piece.hi <= x) {
            i += 1;
        }
        while other.get(j).is_some_and(|piece| piece.hi <= x) {
            j += 1;
        }
        let (a, b) = match (one.get(i), other.get(j)) {
            (None, None) => return out,
            (Some(piece), None) | (None, Some(piece)) => {
                add(&mut out, piece, x.max(piece.lo), piece.hi);
                x = piece.hi;
                continue;
            }
            (Some(a), Some(b)) => (a, b),
        };
        let start = x.max(a.lo.min(b.lo));
        if a.lo > start || b.lo > start {
            let (active, waiting) = if a.lo > start { (b, a) } else { (a, b) };
            x = active.hi.min(waiting.lo);
            add(&mut out, active, start, x);
            continue;
        }
        let end = a.hi.min(b.hi);
        let mut from = start;
        for cut in a.shape.crossings(&b.shape).into_iter().chain([end]) {
            if cut > from && cut <= end {
                let middle = f64::midpoint(from, cut);
                let higher = if a.shape.height(middle) >= b.shape.height(middle) { a } else { b };
                add(&mut out, higher, from, cut);
                from = cut;
            }
        }
        x = end;
    }
}
