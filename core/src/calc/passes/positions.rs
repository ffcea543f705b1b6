//! The order of bolts that lie anywhere, and how often a tool is put on.

use super::BOLT_COUNT;
use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::Length,
};

/// From the stiffest part, the middle, to the free edges.
pub const SOURCE: Source = Source::new("RCSC specification as explained by AISC; Iowa DOT IM 453.06", "", Seen::Opened);
/// Crosswise among bolts that lie equally far out.
pub const RING_SOURCE: Source = Source::new("crosswise among bolts equally far out", "", Seen::CommonPractice);

/// A coordinate.
pub const POSITION: Range = Range::new("position_mm", "mm", -20_000.0, 20_000.0);
/// Bolts whose distances from the middle differ by less than this share of the greatest count as equally far out.
const SAME_RING: f64 = 0.05;
/// Two bolts closer than this are one, mm.
const SAME_PLACE: f64 = 1.0;

/// Returns the order in which to tighten bolts that lie anywhere, as position numbers from 1.
///
/// Ring by ring from the middle outward; within a ring crosswise, as on a circle. A circle alone and a straight row get
/// the orders they have by themselves.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for no bolts, more than [`BOLT_COUNT`] allows or a position outside [`POSITION`];
/// [`CalcError::Conflict`] for two bolts in one place.
///
/// # Source
///
/// [`SOURCE`] and [`RING_SOURCE`].
pub fn order_of(positions: &[[Length; 2]]) -> Result<Vec<usize>, CalcError> {
    BOLT_COUNT.check(positions.len() as f64)?;
    let mut spots = Vec::with_capacity(positions.len());
    for [x, y] in positions {
        spots.push([POSITION.check(x.mm())?, POSITION.check(y.mm())?]);
    }
    let count = spots.len() as f64;
    for (at, [x, y]) in spots.iter().enumerate() {
        if spots.iter().skip(at + 1).any(|[u, v]| (x - u).hypot(y - v) < SAME_PLACE) {
            return Err(CalcError::Conflict {
                field: POSITION.field,
                other: POSITION.field,
                why: "two bolts lie in one place",
            });
        }
    }
    let [sx, sy] = spots.iter().fold([0.0; 2], |[a, b], [x, y]| [a + x, b + y]);
    // Number from 0, distance from the middle, angle about it.
    let mut polar: Vec<(usize, f64, f64)> = spots
        .iter()
        .enumerate()
        .map(|(at, [x, y])| {
            let (x, y) = (x - sx / count, y - sy / count);
            (at, x.hypot(y), y.atan2(x))
        })
        .collect();
    polar.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let farthest = polar.last().map_or(0.0, |bolt| bolt.1);
    let mut order = Vec::with_capacity(polar.len());
    let mut rest = polar.as_slice();
    while let Some(&(_, first, _)) = rest.first() {
        let size = rest.iter().take_while(|bolt| bolt.1 - first <= SAME_RING * farthest).count();
        let (ring, further) = rest.split_at(size);
        order.extend(crosswise(ring));
        rest = further;
    }
    Ok(order)
}

/// Returns the numbers of a ring's bolts from 1: around it from the one numbered lowest, spread as on a circle.
fn crosswise(ring: &[(usize, f64, f64)]) -> Vec<usize> {
    let Some(&(_, _, start)) = ring.iter().min_by_key(|bolt| bolt.0) else { return Vec::new() };
    // A hair back, so that the first bolt itself does not wrap to the end.
    let turn = |angle: f64| (angle - start + 1e-9).rem_euclid(std::f64::consts::TAU);
    let mut around = ring.to_vec();
    around.sort_by(|a, b| turn(a.2).total_cmp(&turn(b.2)));
    super::spread(around.len()).into_iter().filter_map(|at| around.get(at)).map(|bolt| bolt.0 + 1).collect()
}

/// Returns how many times a tool is put on a bolt: every bolt in every pass and in every check round.
#[must_use]
pub const fn tool_operations(bolts: usize, passes: usize, check_rounds: usize) -> usize {
    bolts * (passes + check_rounds)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::{
        super::{Pattern, tightening_order},
        *,
    };

    fn mm(x: f64, y: f64) -> [Length; 2] {
        [Length::from_mm(x), Length::from_mm(y)]
    }

    fn circle(bolts: usize) -> Vec<[Length; 2]> {
        let step = std::f64::consts::TAU / bolts as f64;
        (0..bolts)
            .map(|at| (at as f64 * step).sin_cos())
            .map(|(sin, cos)| mm(1000.0 * cos + 7.0, 1000.0 * sin))
            .collect()
    }

    #[test]
    fn circles_and_rows_get_their_own_orders() {
        for bolts in 1..=64 {
            let as_circle = tightening_order(Pattern::Circle { bolts }).unwrap();
            assert_eq!(order_of(&circle(bolts)).unwrap(), as_circle, "{bolts}");
        }
        for bolts in 1..=39 {
            let row: Vec<_> = (0..bolts).map(|at| mm(50.0 * at as f64, 12.0)).collect();
            assert_eq!(order_of(&row).unwrap(), tightening_order(Pattern::Row { bolts }).unwrap(), "{bolts}");
        }
    }

    #[test]
    fn corners_go_crosswise() {
        let corners = [mm(0.0, 0.0), mm(160.0, 0.0), mm(160.0, 60.0), mm(0.0, 60.0)];
        assert_eq!(order_of(&corners).unwrap(), [1, 3, 2, 4]);
        let five = [corners[0], corners[1], corners[2], corners[3], mm(80.0, 30.0)];
        assert_eq!(order_of(&five).unwrap(), [5, 1, 3, 2, 4]);
    }

    #[test]
    fn what_is_no_pattern_is_refused() {
        assert_eq!(order_of(&[]).unwrap_err().field(), "bolt_count");
        assert_eq!(order_of(&[mm(0.0, 0.0), mm(0.5, 0.0)]).unwrap_err().field(), "position_mm");
        assert_eq!(order_of(&[mm(f64::NAN, 0.0)]).unwrap_err().field(), "position_mm");
        assert_eq!(order_of(&circle(65)).unwrap_err().field(), "bolt_count");
        assert_eq!(order_of(&[mm(3.0, 4.0)]).unwrap(), [1]);
    }

    /// Derived from ASME PCC-1: eight bolts, three passes and two rounds of checking.
    #[test]
    fn tool_operations_of_a_flange() {
        assert_eq!(tool_operations(8, 3, 2), 40);
    }

    proptest! {
        #[test]
        fn every_bolt_once_from_the_middle_outward(
            spots in prop::collection::vec((-500.0..500.0_f64, -500.0..500.0_f64), 1..=64),
        ) {
            let positions: Vec<_> = spots.iter().map(|&(x, y)| mm(x, y)).collect();
            let Ok(order) = order_of(&positions) else { return Ok(()) };
            let mut sorted = order.clone();
            sorted.sort_unstable();
            prop_assert!(sorted.iter().copied().eq(1..=spots.len()));
            let n = spots.len() as f64;
            let (cx, cy) = spots.iter().fold((0.0, 0.0), |(a, b), (x, y)| (a + x / n, b + y / n));
            let out: Vec<f64> = order.iter().map(|at| (spots[at - 1].0 - cx).hypot(spots[at - 1].1 - cy)).collect();
            let farthest = out.iter().copied().fold(0.0, f64::max);
            for pair in out.windows(2) {
                prop_assert!(pair[0] - SAME_RING * farthest - 1e-9 <= pair[1]);
            }
        }

        #[test]
        fn moving_the_bracket_changes_nothing(
            spots in prop::collection::vec((-500.0..500.0_f64, -500.0..500.0_f64), 1..=20), dx in -900.0..900.0_f64,
        ) {
            let here: Vec<_> = spots.iter().map(|&(x, y)| mm(x, y)).collect();
            let there: Vec<_> = spots.iter().map(|&(x, y)| mm(x + dx, y - dx)).collect();
            if let Ok(order) = order_of(&here) {
                prop_assert_eq!(order_of(&there).unwrap(), order);
            }
        }
    }
}
