//! The whole plan of a tightening: which bolt when, to how much, and how often a tool is put on.

use super::{
    ARMY_SOURCE, BOLT_COUNT, CIRCLE_SOURCE, PassPlan, Passes, Pattern, ROW_SOURCE, THREE_PASS_SOURCE,
    positions::{self, order_of, tool_operations},
    tightening_order,
};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::{Length, Torque},
};

/// Rounds at the full torque that should move nothing.
pub const CHECK_ROUNDS: Range = Range::new("check_round_count", "", 0.0, 4.0);
/// Where the two closing rounds of pipe flanges come from.
pub const ROUNDS_SOURCE: Source =
    Source::new("ASME PCC-1, appendix F, as described in a trade article", "", Seen::Opened);

/// How the bolts of a joint lie.
#[derive(Debug, Clone, PartialEq)]
pub enum Layout {
    /// In a pattern.
    Pattern(Pattern),
    /// Anywhere: to the right and upward.
    Spots(Vec<[Length; 2]>),
}

impl Layout {
    /// Returns the order within one pass, as position numbers from 1.
    ///
    /// # Errors
    ///
    /// As [`tightening_order`] and [`order_of`].
    pub fn order(&self) -> Result<Vec<usize>, CalcError> {
        match self {
            Self::Pattern(pattern) => tightening_order(*pattern),
            Self::Spots(spots) => order_of(spots),
        }
    }

    /// Returns what the order of so many bolts rests on.
    #[must_use]
    pub fn basis(&self, bolts: usize) -> Vec<Basis> {
        let count = [(BOLT_COUNT.field, bolts as f64)];
        let order = |text, source| Basis::new("tightening-order", text, source, &count);
        match self {
            Self::Pattern(Pattern::Circle { .. }) => vec![order("opposite, then a quarter on", CIRCLE_SOURCE)],
            Self::Pattern(Pattern::Row { .. }) => vec![order("from the middle to alternate sides", ROW_SOURCE)],
            Self::Pattern(Pattern::Grid { .. }) => vec![order("from the middle outward", positions::SOURCE)],
            Self::Spots(_) => vec![
                order("from the middle outward", positions::SOURCE),
                order("crosswise among bolts equally far out", positions::RING_SOURCE),
            ],
        }
    }
}

/// What [`plan`] needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanInput {
    /// How the bolts lie.
    pub layout: Layout,
    /// In how many steps.
    pub steps: PassPlan,
    /// The full torque at the fastener; `None` when the passes are wanted as shares.
    pub torque: Option<Torque>,
    /// How many check rounds follow; `None` for as many as the steps bring along.
    pub check_rounds: Option<u32>,
}

/// One round over all bolts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Its share of the full torque.
    pub share: f64,
    /// Its torque, when the full one is known.
    pub torque: Option<Torque>,
    /// Whether it only checks that nothing turns any more.
    pub check_only: bool,
}

/// A plan of a tightening.
#[derive(Debug, Clone, PartialEq)]
pub struct TighteningPlan {
    /// The bolts' numbers from 1, in the order in which they are tightened.
    pub order: Vec<usize>,
    /// Where each bolt lies, by number: to the right and upward; mm where they were given, else in steps between bolts.
    pub spots: Vec<[f64; 2]>,
    /// The rounds.
    pub rounds: Vec<Round>,
    /// How many times a tool is put on a bolt.
    pub operations: usize,
}

impl TighteningPlan {
    /// Returns the turn of each bolt within a pass, from 1, by the bolt's number.
    #[must_use]
    pub fn turns(&self) -> Vec<usize> {
        let mut turns = vec![0; self.order.len()];
        for (turn, bolt) in self.order.iter().enumerate() {
            if let Some(slot) = bolt.checked_sub(1).and_then(|at| turns.get_mut(at)) {
                *slot = turn + 1;
            }
        }
        turns
    }
}

/// Plans a tightening.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for no bolts or more than [`BOLT_COUNT`] allows, a position or a number of check rounds out of
/// range, or a torque out of range; [`CalcError::Conflict`] for two bolts in one place; [`CalcError::Missing`] when the
/// steps hang on a torque that is not given.
///
/// # Source
///
/// As [`tightening_order`], [`order_of`] and [`Passes::split`]; check rounds [`ROUNDS_SOURCE`].
pub fn plan(input: &PlanInput) -> Result<TighteningPlan, CalcError> {
    if let Some(torque) = input.torque {
        crate::calc::torque::TORQUE.check(torque.n_m())?;
    }
    if input.torque.is_none() && input.steps == PassPlan::SeventyHundred {
        return Err(CalcError::Missing { field: "torque", by: "steps that hang on the torque" });
    }
    let order = input.layout.order()?;
    let spots = match &input.layout {
        Layout::Pattern(pattern) => spots_of(*pattern),
        Layout::Spots(spots) => spots.iter().map(|[x, y]| [x.mm(), y.mm()]).collect(),
    };
    // Without a torque the shares of any torque will do: those that hang on it were refused above.
    let full = input.torque.unwrap_or(Torque::from_n_m(1.0));
    let passes = Passes::split(full, input.steps);
    let checks = match input.check_rounds {
        Some(rounds) => CHECK_ROUNDS.check(f64::from(rounds)).map(|_| rounds as usize)?,
        None => usize::from(passes.check_round),
    };
    let round = |share: f64, check_only| Round { share, torque: input.torque.map(|full| full * share), check_only };
    let mut rounds: Vec<Round> = passes.steps().iter().map(|step| round(*step / full, false)).collect();
    let operations = tool_operations(order.len(), rounds.len(), checks);
    rounds.extend(std::iter::repeat_n(round(1.0, true), checks));
    Ok(TighteningPlan { order, spots, rounds, operations })
}

/// Returns where the bolts of a pattern lie, in steps from bolt to bolt: a circle clockwise from the top, a row to the
/// right, a grid row by row from the top left.
fn spots_of(pattern: Pattern) -> Vec<[f64; 2]> {
    match pattern {
        Pattern::Circle { bolts } => {
            let step = std::f64::consts::TAU / bolts as f64;
            // Neighbours are one step apart: the chord of a step is 1.
            let radius = if bolts < 2 { 0.0 } else { 0.5 / (step / 2.0).sin() };
            let spot = |at: usize| {
                let (sin, cos) = (step * at as f64).sin_cos();
                [radius * sin, radius * cos]
            };
            (0..bolts).map(spot).collect()
        }
        Pattern::Row { bolts } => (0..bolts).map(|at| [at as f64, 0.0]).collect(),
        Pattern::Grid { rows, columns } => {
            (0..rows * columns).map(|at| [(at % columns) as f64, -((at / columns) as f64)]).collect()
        }
    }
}

/// Returns what a plan rests on.
#[must_use]
pub fn basis(input: &PlanInput, plan: &TighteningPlan) -> Vec<Basis> {
    let mut steps = input.layout.basis(plan.order.len());
    let source = match input.steps {
        PassPlan::ThirtySeventyHundred | PassPlan::FiftyEightyHundred => Some(THREE_PASS_SOURCE),
        PassPlan::SeventyHundred => Some(ARMY_SOURCE),
        PassPlan::Single => None,
    };
    let inputs: Vec<_> = input.torque.map(|torque| ("torque_n_m", torque.n_m())).into_iter().collect();
    let text = "shares of the full torque, all bolts before the next";
    steps.extend(source.map(|source| Basis::new("tightening-passes", text, source, &inputs)));
    if plan.rounds.iter().any(|round| round.check_only) {
        let text = "rounds at the full torque until no nut turns";
        steps.push(Basis::new("check-rounds", text, ROUNDS_SOURCE, &[("operations", plan.operations as f64)]));
    }
    steps
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn circle(bolts: usize) -> PlanInput {
        PlanInput {
            layout: Layout::Pattern(Pattern::Circle { bolts }),
            steps: PassPlan::ThirtySeventyHundred,
            torque: Some(Torque::from_n_m(100.0)),
            check_rounds: None,
        }
    }

    /// ASME PCC-1 as described in a trade article (opened): rising passes, then rounds until nothing turns. Derived: eight
    /// bolts, three passes and two rounds are 40 operations.
    #[test]
    fn a_flange_of_eight() {
        let plan = plan(&PlanInput { check_rounds: Some(2), ..circle(8) }).unwrap();
        assert_eq!(plan.operations, 40);
        assert_eq!(plan.order, [1, 5, 3, 7, 2, 6, 4, 8]);
        assert_eq!(plan.turns(), [1, 5, 3, 7, 2, 6, 4, 8]);
        let told: Vec<_> = plan.rounds.iter().map(|round| (round.torque.unwrap().n_m(), round.check_only)).collect();
        assert_eq!(told, [(30.0, false), (70.0, false), (100.0, false), (100.0, true), (100.0, true)]);
    }

    #[test]
    fn steps_by_share_need_no_torque_and_steps_that_hang_on_it_do() {
        let shares = |steps| {
            plan(&PlanInput { steps, torque: None, ..circle(4) })
                .map(|plan| plan.rounds.iter().map(|round| (round.share * 100.0).round()).collect::<Vec<_>>())
        };
        assert_eq!(shares(PassPlan::FiftyEightyHundred).unwrap(), [50.0, 80.0, 100.0, 100.0]);
        assert_eq!(shares(PassPlan::Single).unwrap(), [100.0]);
        assert_eq!(shares(PassPlan::SeventyHundred).unwrap_err().field(), "torque");
    }

    #[test]
    fn what_cannot_be_planned_is_refused() {
        assert_eq!(plan(&circle(0)).unwrap_err().field(), "bolt_count");
        assert_eq!(plan(&circle(65)).unwrap_err().field(), "bolt_count");
        let rounds = PlanInput { check_rounds: Some(5), ..circle(4) };
        assert_eq!(plan(&rounds).unwrap_err().field(), "check_round_count");
        let torque = PlanInput { torque: Some(Torque::from_n_m(f64::NAN)), ..circle(4) };
        assert_eq!(plan(&torque).unwrap_err().field(), "torque_n_m");
    }

    proptest! {
        #[test]
        fn a_pattern_and_its_positions_agree(bolts in 1_usize..=64) {
            // The order of a circle is found again from the positions it is drawn at.
            let pattern = plan(&circle(bolts)).unwrap();
            let spots = pattern.spots.iter().map(|[x, y]| [100.0 * x, -100.0 * y].map(Length::from_mm)).collect();
            let again = plan(&PlanInput { layout: Layout::Spots(spots), ..circle(bolts) }).unwrap();
            prop_assert_eq!(again.order, pattern.order);
        }

        #[test]
        fn turns_undo_the_order(rows in 1_usize..=8, columns in 1_usize..=8) {
            let layout = Layout::Pattern(Pattern::Grid { rows, columns });
            let plan = plan(&PlanInput { layout, ..circle(1) }).unwrap();
            for (bolt, turn) in plan.turns().into_iter().enumerate() {
                prop_assert_eq!(plan.order[turn - 1], bolt + 1);
            }
            prop_assert_eq!(plan.operations, rows * columns * 4);
        }
    }
}
