//! The way over the terrain: where each part comes nearest, closed in on.
//!
//! Between two stops every gap is a smooth function of the rear hub's distance, so a minimum lies at a stop or is seen
//! as a dip over three of them. Stops are a grid, the ends of the hub curves' pieces, and the places where a point
//! passes a corner of the ground, however narrow the kerb.

use super::{
    Contact, RollOver,
    rolling::{Bare, Element, Rolling},
};
use crate::error::CalcError;

/// The widest move of the rear hub between two stops, mm.
const STEP: f64 = 5.0;
/// A dip that is shallower than the best so far by more than this cannot hide a deeper one: over 5 mm a hub curve of
/// 100 mm radius bends by far less.
const SLACK: f64 = 2.0;
/// How far a dip is closed in on, mm of the rear hub. The gap is flat there, so its error is far smaller.
const CLOSE: f64 = 1e-6;
/// More rounds than closing in ever needs.
const ROUNDS: u32 = 200;
/// A gap of no more than this touches, mm.
const TOUCH: f64 = 1e-9;

/// A stretch of the way in which a part dips.
struct Dip {
    element: usize,
    from: f64,
    to: f64,
    seen: f64,
}

/// Where a part comes nearest, as far as is known.
#[derive(Clone, Copy)]
struct Best {
    gap: f64,
    x: f64,
}

struct Sweep<'a> {
    rolling: &'a Rolling,
    last: Bare,
    /// Where each point was, and over which piece of the ground.
    points: Vec<((f64, f64), usize)>,
    /// Each part's gaps at the last stop and the one before.
    gaps: Vec<[f64; 2]>,
    stops: [f64; 2],
    best: Vec<Best>,
    dips: Vec<Dip>,
    /// The stops between which something touches for the first time.
    first: Option<(f64, f64)>,
}

pub(super) fn sweep(rolling: &Rolling) -> Result<RollOver, CalcError> {
    let corners = &rolling.ground.corners;
    let (first, last) = (corners.first().map_or(0.0, |c| c.0), corners.last().map_or(0.0, |c| c.0));
    let start = first - rolling.reach_ahead - STEP;
    let end = last + rolling.reach_behind + STEP;
    let mut sweep = Sweep::begin(rolling, start)?;
    let mut ends = rolling.rear.pieces.iter().map(|piece| piece.hi).filter(|hi| hi.is_finite()).peekable();
    let mut stop = start;
    while stop < end {
        let mut next = (stop + STEP).min(end);
        while ends.next_if(|&at| at <= stop).is_some() {}
        if let Some(at) = ends.next_if(|&at| at < next) {
            next = at;
        }
        sweep.go_to(next)?;
        stop = next;
    }
    sweep.finish()
}

impl<'a> Sweep<'a> {
    fn begin(rolling: &'a Rolling, start: f64) -> Result<Self, CalcError> {
        let stance = rolling.stand(start, 0, 0)?;
        let points: Vec<_> = rolling.points.iter().map(|&point| (stance.place(point), 0)).collect();
        let parts = rolling.points.len() + rolling.edges;
        let mut sweep = Self {
            rolling,
            last: stance,
            points,
            gaps: vec![[f64::INFINITY; 2]; parts],
            stops: [start; 2],
            best: vec![Best { gap: f64::INFINITY, x: start }; parts],
            dips: Vec::new(),
            first: None,
        };
        sweep.stop_at(stance)?;
        Ok(sweep)
    }

    /// Goes on to the next stop, with a stop at every end of a front piece on the way.
    fn go_to(&mut self, x: f64) -> Result<(), CalcError> {
        let stance = self.rolling.stand_near(x, &self.last)?;
        let (from, to) = (self.last.front_piece, stance.front_piece);
        if from < to {
            for piece in from..to {
                let border = self.rolling.front.pieces[piece].hi;
                let from = self.last;
                let at = self.root(from.x, x, &from, |stance| stance.front_x - border)?;
                if at.x > self.last.x && at.x < x {
                    self.stop_at(at)?;
                }
            }
        }
        self.stop_at(stance)
    }

    /// Takes the gaps of a stance.
    fn stop_at(&mut self, stance: Bare) -> Result<(), CalcError> {
        let rolling = self.rolling;
        let ground = &rolling.ground;
        let count = rolling.points.len();
        let mut least = f64::INFINITY;
        for index in 0..count {
            let place = stance.place(rolling.points[index]);
            let (before, piece) = self.points[index];
            let now = ground.piece(place.0, piece);
            if now != piece {
                self.pass(index, before, place, piece, now, &stance)?;
            }
            self.points[index] = (place, now);
            let gap = place.1 - ground.height(place.0, now);
            least = least.min(gap);
            self.take(index, gap, stance.x);
        }
        for edge in 0..rolling.edges {
            let ((one, one_piece), (next, next_piece)) = (self.points[edge], self.points[edge + 1]);
            let gap = rolling.edge_gap(one, next, one_piece, next_piece).0;
            least = least.min(gap);
            self.take(count + edge, gap, stance.x);
        }
        if self.first.is_none() && least <= TOUCH {
            self.first = Some((self.stops[1], stance.x));
        }
        self.stops = [self.stops[1], stance.x];
        self.last = stance;
        Ok(())
    }

    /// Remembers a part's gap, and the dip that it may end.
    #[inline]
    fn take(&mut self, part: usize, gap: f64, x: f64) {
        let [before, last] = self.gaps[part];
        if last < before - 1e-9 && last <= gap && last < self.best[part].gap + SLACK {
            self.dips.push(Dip { element: part, from: self.stops[0], to: x, seen: last });
        }
        self.gaps[part] = [last, gap];
        if gap < self.best[part].gap {
            self.best[part] = Best { gap, x };
        }
    }

    /// Looks at every corner of the ground that a point has passed since the last stop.
    fn pass(
        &mut self,
        index: usize,
        before: (f64, f64),
        now: (f64, f64),
        from: usize,
        to: usize,
        stance: &Bare,
    ) -> Result<(), CalcError> {
        for corner in from.min(to)..from.max(to) {
            let (x, z) = self.rolling.ground.corners[corner];
            let share = ((x - before.0) / (now.0 - before.0)).clamp(0.0, 1.0);
            let about = before.1 + share * (now.1 - before.1) - z;
            if about > self.best[index].gap + SLACK {
                continue;
            }
            let point = self.rolling.points[index];
            let near = self.last;
            let at = self.root(near.x, stance.x, &near, |stance| stance.place(point).0 - x)?;
            let gap = at.place(point).1 - z;
            if gap < self.best[index].gap {
                self.best[index] = Best { gap, x: at.x };
            }
        }
        Ok(())
    }

    /// Finds where a rising function of the rear hub's distance is zero.
    fn root(&self, from: f64, to: f64, near: &Bare, of: impl Fn(&Bare) -> f64) -> Result<Bare, CalcError> {
        let (mut low, mut high) = (from, to);
        let mut at = self.rolling.stand_near(low, near)?;
        let (mut below, mut above) = (of(&at), of(&self.rolling.stand_near(high, near)?));
        let rising = if above >= below { 1.0 } else { -1.0 };
        (below, above) = (below * rising, above * rising);
        for round in 0..ROUNDS {
            // A straight line through both ends, and now and then the middle for a curve that cheats it.
            let span = above - below;
            let x = if round % 4 == 3 || span <= 0.0 {
                f64::midpoint(low, high)
            } else {
                (low - below * (high - low) / span).clamp(low, high)
            };
            at = self.rolling.stand_near(x, near)?;
            let value = of(&at) * rising;
            if value.abs() < 1e-10 || high - low < 1e-10 {
                break;
            }
            if value < 0.0 {
                (low, below) = (x, value);
            } else {
                (high, above) = (x, value);
            }
        }
        Ok(at)
    }

    fn element(&self, part: usize) -> Element {
        let points = self.rolling.points.len();
        if part < points { Element::Point(part) } else { Element::Edge(part - points) }
    }

    /// Closes in on every dip that may be the deepest of its part.
    fn finish(mut self) -> Result<RollOver, CalcError> {
        let rolling = self.rolling;
        let dips = std::mem::take(&mut self.dips);
        for dip in dips.iter().filter(|dip| dip.seen.is_finite()) {
            if dip.seen > self.best[dip.element].gap + SLACK {
                continue;
            }
            let element = self.element(dip.element);
            let near = rolling.stand(dip.from, 0, 0)?;
            let found = golden(dip.from, dip.to, |x| Ok(rolling.gap(element, &rolling.stand_near(x, &near)?)))?;
            if found.gap < self.best[dip.element].gap {
                self.best[dip.element] = found;
            }
        }
        let contact = |part: usize| -> Result<Contact, CalcError> {
            let stance = rolling.stand(self.best[part].x, 0, 0)?;
            Ok(rolling.contact(self.element(part), &stance))
        };
        let by_point: Vec<Contact> = (0..rolling.points.len()).map(contact).collect::<Result<_, _>>()?;
        let mut deepest = 0;
        for (part, best) in self.best.iter().enumerate() {
            // An edge and the corner at its end come to the same; the corner is named unless the edge is truly lower.
            if best.gap < self.best[deepest].gap - 1e-7 {
                deepest = part;
            }
        }
        let least = contact(deepest)?;
        let first_touch = match self.first {
            Some((from, to)) => Some(self.first_touch(from, to)?),
            None => (least.gap.mm() <= TOUCH).then_some(least),
        };
        Ok(RollOver { least, first_touch, by_point })
    }

    /// Finds where the least gap of all falls to nothing between two stops.
    fn first_touch(&self, from: f64, to: f64) -> Result<Contact, CalcError> {
        let (mut low, mut high) = (from, to);
        let mut touching = self.rolling.stand(high, 0, 0)?;
        for _ in 0..ROUNDS {
            if high - low < CLOSE {
                break;
            }
            let middle = self.rolling.stand(f64::midpoint(low, high), 0, 0)?;
            if self.rolling.least(&middle).0 <= TOUCH {
                high = middle.x;
                touching = middle;
            } else {
                low = middle.x;
            }
        }
        Ok(self.rolling.contact(self.rolling.least(&touching).1, &touching))
    }
}

/// Closes in on the least value between two places by the golden section.
fn golden(from: f64, to: f64, of: impl Fn(f64) -> Result<f64, CalcError>) -> Result<Best, CalcError> {
    const RATIO: f64 = 0.618_033_988_749_894_8;
    let (mut low, mut high) = (from, to);
    let (mut one, mut two) = (high - RATIO * (high - low), low + RATIO * (high - low));
    let (mut at_one, mut at_two) = (of(one)?, of(two)?);
    while high - low > CLOSE {
        if at_one <= at_two {
            (high, two, at_two) = (two, one, at_one);
            one = high - RATIO * (high - low);
            at_one = of(one)?;
        } else {
            (low, one, at_one) = (one, two, at_two);
            two = low + RATIO * (high - low);
            at_two = of(two)?;
        }
    }
    Ok(if at_one <= at_two { Best { gap: at_one, x: one } } else { Best { gap: at_two, x: two } })
}
