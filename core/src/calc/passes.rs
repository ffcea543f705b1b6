//! Tightening in several passes, and the order of the bolts within a pass.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::Torque,
};

/// Where 70 % then 100 % above 41 N·m (30 lbf ft) is printed.
pub const ARMY_SOURCE: Source =
    Source::new("US Army TM 5-3800-205-23-1 and TM 5-3805-248-23-1, torque limits", "", Seen::Opened);
/// Where 30 %, 70 %, 100 % and a check round come from.
pub const THREE_PASS_SOURCE: Source = Source::new("three passes and a check round", "", Seen::CommonPractice);
/// Where the crosswise order on a circle is printed.
pub const CIRCLE_SOURCE: Source = Source::new("ASME PCC-1, appendix F", "", Seen::FromMemory);
/// Where the order in a straight row is printed: from the middle, to alternate sides.
pub const ROW_SOURCE: Source = ARMY_SOURCE;

/// The torque above which the army manuals ask for two passes: 30 lbf ft.
pub const TWO_PASSES_ABOVE: Torque = Torque::from_n_m(41.0);
/// How many bolts an order is given for.
pub const BOLT_COUNT: Range = Range::new("bolt_count", "", 1.0, 64.0);

/// In how many steps a joint is brought to its torque.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassPlan {
    /// At once.
    Single,
    /// 30 %, 70 %, 100 %, then one more round at 100 % that should move nothing.
    ThirtySeventyHundred,
    /// 70 % then 100 % when the torque is over 41 N·m, else at once.
    SeventyHundred,
    /// 50 %, 80 %, 100 %, then one more round at 100 % that should move nothing.
    FiftyEightyHundred,
}

/// The torques of the passes, in order. All bolts of the joint get the first before any gets the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passes {
    torque: [Torque; 3],
    count: usize,
    /// Whether a last round at the full torque follows that should move nothing.
    pub check_round: bool,
}

impl Passes {
    /// Splits a torque into passes.
    ///
    /// # Source
    ///
    /// [`THREE_PASS_SOURCE`] and [`ARMY_SOURCE`].
    #[must_use]
    pub fn split(full: Torque, plan: PassPlan) -> Self {
        let (shares, count, check_round) = match plan {
            PassPlan::ThirtySeventyHundred => ([0.3, 0.7, 1.0], 3, true),
            PassPlan::FiftyEightyHundred => ([0.5, 0.8, 1.0], 3, true),
            PassPlan::SeventyHundred if TWO_PASSES_ABOVE < full => ([0.7, 1.0, 1.0], 2, false),
            PassPlan::SeventyHundred | PassPlan::Single => ([1.0; 3], 1, false),
        };
        Self { torque: shares.map(|share| full * share), count, check_round }
    }

    /// Returns the torque of each pass, the check round not counted.
    #[must_use]
    pub fn steps(&self) -> &[Torque] {
        self.torque.get(..self.count).unwrap_or(&self.torque)
    }

    /// Returns how many times a tool is put on a bolt, for so many bolts.
    #[must_use]
    pub const fn operations(&self, bolts: usize) -> usize {
        bolts * (self.count + self.check_round as usize)
    }
}

/// How the bolts of a joint lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// On a circle, numbered around it.
    Circle {
        /// How many.
        bolts: usize,
    },
    /// In a straight row, numbered along it.
    Row {
        /// How many.
        bolts: usize,
    },
    /// In rows and columns, numbered along the rows.
    Grid {
        /// How many rows.
        rows: usize,
        /// How many bolts in each.
        columns: usize,
    },
}

/// Returns the order in which to tighten the bolts within one pass, as position numbers from 1.
///
/// On a circle each bolt is followed by the one opposite, then by the pair a quarter turn on; the leading bolts of
/// these groups are spread the same way again. In a row and in a grid the innermost bolt comes first.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for no bolts or more than [`BOLT_COUNT`] allows.
///
/// # Source
///
/// [`CIRCLE_SOURCE`] for circles of 4, 8, 12 and 16, [`ROW_SOURCE`] for rows; other counts and grids by the same
/// idea (common practice, no source).
pub fn tightening_order(pattern: Pattern) -> Result<Vec<usize>, CalcError> {
    let count = match pattern {
        Pattern::Circle { bolts } | Pattern::Row { bolts } => bolts,
        Pattern::Grid { rows, columns } => rows.saturating_mul(columns),
    };
    BOLT_COUNT.check(count as f64)?;
    let mut order = match pattern {
        Pattern::Circle { bolts } => spread(bolts),
        Pattern::Row { bolts } => from_the_middle(1, bolts),
        Pattern::Grid { rows, columns } => from_the_middle(rows, columns),
    };
    for position in &mut order {
        *position += 1;
    }
    Ok(order)
}

/// Returns 0..n so that neighbours in time are far apart on the circle.
fn spread(n: usize) -> Vec<usize> {
    if n != 0 && n.is_multiple_of(4) {
        let (half, quarter) = (n / 2, n / 4);
        return spread(quarter).into_iter().flat_map(|k| [k, k + half, k + quarter, k + half + quarter]).collect();
    }
    if n != 0 && n.is_multiple_of(2) {
        return spread(n / 2).into_iter().flat_map(|k| [k, k + n / 2]).collect();
    }
    // Half of an odd count has no divisor in common with it, so this steps on every bolt once.
    let step = (n / 2).max(1);
    (0..n).map(|k| k * step % n).collect()
}

/// Returns the cells of a grid, the innermost first, equally far ones in reading order.
fn from_the_middle(rows: usize, columns: usize) -> Vec<usize> {
    // Distances are taken in half steps, so that they are whole numbers.
    let off = |at: usize, of: usize| (2 * at + 1).abs_diff(of);
    let mut cells: Vec<usize> = (0..rows * columns).collect();
    cells.sort_by_key(|cell| {
        let (row, column) = (cell / columns, cell % columns);
        (off(row, rows).pow(2) + off(column, columns).pow(2), *cell)
    });
    cells
}

#[cfg(test)]
mod handbook;
pub mod plan;
pub mod positions;

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn no_bolts_and_too_many_are_refused() {
        assert!(tightening_order(Pattern::Circle { bolts: 0 }).is_err());
        assert!(tightening_order(Pattern::Row { bolts: 65 }).is_err());
        assert!(tightening_order(Pattern::Grid { rows: usize::MAX, columns: 2 }).is_err());
        assert_eq!(tightening_order(Pattern::Grid { rows: 3, columns: 3 }).unwrap()[0], 5);
    }

    proptest! {
        #[test]
        fn every_bolt_is_tightened_once_a_pass(bolts in 1_usize..=64, rows in 1_usize..=8, columns in 1_usize..=8) {
            for pattern in [Pattern::Circle { bolts }, Pattern::Row { bolts }, Pattern::Grid { rows, columns }] {
                let mut order = tightening_order(pattern).unwrap();
                order.sort_unstable();
                prop_assert!(order.iter().copied().eq(1..=order.len()), "{pattern:?}");
            }
        }

        #[test]
        fn passes_rise_to_the_full_torque(torque in 1.0..2000.0) {
            let plans = [
                PassPlan::Single,
                PassPlan::ThirtySeventyHundred,
                PassPlan::SeventyHundred,
                PassPlan::FiftyEightyHundred,
            ];
            for plan in plans {
                let passes = Passes::split(Torque::from_n_m(torque), plan);
                prop_assert!(passes.steps().is_sorted());
                prop_assert_eq!(passes.steps().last().copied(), Some(Torque::from_n_m(torque)));
            }
        }
    }
}
