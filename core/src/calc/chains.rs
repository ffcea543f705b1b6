//! Safety chains against the trailer's gross weight: each of them, or all together where the place counts them so.
//!
//! Chain rules are written in breaking force. A working load limit is a fraction of it and is never compared as if it were
//! the same: it says only that the chain holds at least so much.

use crate::{
    basis::{Basis, Seen, Source},
    model::{
        coupling::{ChainRatingKind, Chains},
        upfit::ChainRule,
    },
    units::{Force, Mass},
};

/// Where the two ways of counting are published.
pub const SOURCE: Source =
    Source::new("New Hampshire RSA 266:63 (each); FMCSA guidance to 49 CFR 393.70 (together)", "", Seen::Opened);

/// How chains stand to a trailer's weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainStanding {
    /// What is asked of each chain, or of all together.
    pub needed: Force,
    /// What one chain, or all together, are known to hold; `None` when the tag, or the count that matters, is unknown.
    pub held: Option<Force>,
    /// Whether they hold. `None` while unknown, or while only a working load limit that is too low is known.
    pub holds: Option<bool>,
    /// How they were counted.
    pub rule: ChainRule,
}

/// Returns how chains stand to a trailer's gross mass. No rule named means the strictest reading: each chain.
#[must_use]
pub fn standing(chains: &Chains, gross: Mass, rule: Option<ChainRule>) -> ChainStanding {
    let rule = rule.unwrap_or(ChainRule::Each);
    let needed = gross.weight();
    let none = chains.count.is_some_and(|count| count < 1);
    let held = match rule {
        ChainRule::Each => chains.count.and(chains.rating_each),
        ChainRule::Combined => chains.count.zip(chains.rating_each).map(|(count, each)| each * f64::from(count)),
    };
    let held = if none { Some(Force::ZERO) } else { held };
    let strong = held.map(|held| needed <= held);
    let holds = match (strong, chains.rating_kind) {
        (Some(false), _) if none => Some(false),
        (Some(false), Some(ChainRatingKind::Breaking)) => Some(false),
        (Some(true), _) => Some(true),
        _ => None,
    };
    ChainStanding { needed, held, holds, rule }
}

/// Returns the step behind [`standing`].
#[must_use]
pub fn basis(standing: &ChainStanding, gross: Mass) -> Vec<Basis> {
    let formula = match standing.rule {
        ChainRule::Each => "breaking force of each chain ≥ gross mass · g",
        ChainRule::Combined => "count · breaking force ≥ gross mass · g",
    };
    let mut inputs = vec![("trailer_gross_kg", gross.kg())];
    inputs.extend(standing.held.map(|held| ("held_n", held.n())));
    vec![Basis::new("chain-strength", formula, SOURCE, &inputs)]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn chains(count: Option<i32>, kn: Option<f64>, kind: Option<ChainRatingKind>) -> Chains {
        Chains { count, rating_each: kn.map(Force::from_kn), rating_kind: kind }
    }

    #[test]
    fn each_or_together_and_never_by_the_working_load() {
        const BREAKING: Option<ChainRatingKind> = Some(ChainRatingKind::Breaking);
        let gross = Mass::from_kg(2200.0);
        let holds = |chains: Chains, rule| standing(&chains, gross, rule).holds;
        // 2200 · 9.80665 = 21.57463 kN.
        assert_eq!(holds(chains(Some(2), Some(21.574_63), BREAKING), None), Some(true));
        assert_eq!(holds(chains(Some(2), Some(21.574_62), BREAKING), None), Some(false));
        assert_eq!(holds(chains(Some(2), Some(10.787_315), BREAKING), Some(ChainRule::Combined)), Some(true));
        assert_eq!(holds(chains(Some(2), Some(10.787_31), BREAKING), Some(ChainRule::Combined)), Some(false));
        // A working load limit that is enough is enough; one that is not says nothing.
        assert_eq!(holds(chains(Some(2), Some(22.0), Some(ChainRatingKind::WorkingLoad)), None), Some(true));
        assert_eq!(holds(chains(Some(2), Some(9.0), Some(ChainRatingKind::WorkingLoad)), None), None);
        for unknown in
            [chains(None, Some(30.0), BREAKING), chains(Some(2), None, BREAKING), chains(Some(2), Some(9.0), None)]
        {
            assert_eq!(holds(unknown, None), None, "{unknown:?}");
        }
        assert_eq!(holds(chains(Some(0), Some(90.0), BREAKING), None), Some(false));
    }

    proptest! {
        #[test]
        fn counting_together_is_never_stricter(count in 1..5_i32, kn in 1.0..60.0_f64, kg in 100.0..5000.0_f64) {
            let (one, gross) = (chains(Some(count), Some(kn), Some(ChainRatingKind::Breaking)), Mass::from_kg(kg));
            let (each, all) = (standing(&one, gross, None), standing(&one, gross, Some(ChainRule::Combined)));
            prop_assert!(each.holds != Some(true) || all.holds == Some(true));
        }
    }
}
