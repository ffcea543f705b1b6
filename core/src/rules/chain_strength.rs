//! The safety chains hold the trailer's gross weight: each of them, unless the plan names a law that counts them
//! together.
//!
//! Chain rules are written in breaking force. Where the UN/EU rules apply a braked trailer has a breakaway cable
//! instead and needs no chains.

use super::Unknown;
use super::run::finding::Against;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::coupling::ChainRatingKind;
use crate::model::trailer::TrailerBrakes;
use crate::model::upfit::ChainRule;

/// The rule.
pub static RULE: Rule = Rule {
    id: "chain-strength",
    title: "the safety chains hold the trailer's gross weight",
    severity: Severity::Block,
    source: Source::new("New Hampshire RSA 266:63; FMCSA guidance to 49 CFR 393.70", "", Seen::Opened),
    needs: &["trailer.chains", "trailer.gvwr", "chain_rule", "jurisdiction"],
    remedy: "Fit chains whose tag shows a breaking force of at least the trailer's gross weight.",
    check,
};

/// Returns whether this plan needs chains at all. A king pin hangs in the jaws of its fifth wheel: 49 CFR 393.70(d) asks
/// chains of full trailers (read second-hand). The ball of a gooseneck needs them.
pub fn needed(case: &Case<'_>) -> bool {
    let Some(trailer) = case.plan.trailer.as_deref() else { return false };
    let braked = trailer.brakes.is_some_and(|brakes| brakes != TrailerBrakes::None);
    let cable = Region::of(case.plan) == Region::Europe && braked && trailer.breakaway == Some(true);
    !(cable || case.plan.hangs_by_king_pin())
}

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    if !needed(case) {
        return;
    }
    let Some(chains) = trailer.chains else {
        return findings.no_limit(Unknown::missing("trailer.chains"), "holding the trailer when the coupling fails");
    };
    let Some(gvwr) = trailer.gvwr else { return };
    let Some(each) = chains.rating_each else {
        return findings.no_limit(Unknown::missing("trailer.chains.rating_each"), "holding the trailer");
    };
    let Some(count) = chains.count else {
        return findings.no_limit(Unknown::missing("trailer.chains.chain_count"), "holding the trailer");
    };
    if count < 1 {
        return findings.add("trailer.chains.chain_count", format_args!("no safety chain is planned"));
    }
    if chains.rating_kind != Some(ChainRatingKind::Breaking) {
        // chain-working-load asks for the breaking force; a working load that holds the weight is strong enough anyway.
        return;
    }
    let (strength, words) = match case.plan.chain_rule {
        Some(ChainRule::Combined) => (each * f64::from(count), "the chains together break"),
        Some(ChainRule::Each) | None => (each, "each chain breaks"),
    };
    let weight = gvwr.weight();
    let against = Against::new(weight.n(), strength.n(), "n");
    // Two ratings side by side: a chain that is just strong enough is the one the classes call for, not a near thing.
    if weight <= strength {
        return;
    }
    findings.breach(
        "trailer.chains.rating_each",
        against,
        format_args!("{words} at {:.1} kN; the trailer's gross weight is {:.1} kN", strength.kn(), weight.kn()),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::{ChainRule, Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Force;

    #[test]
    fn a_weak_chain_is_blocked() {
        // 2200 kg x 9.80665 = 21.57 kN.
        assert_eq!(
            message("chain-strength", |p| chains(p).rating_each = Some(Force::from_kn(15.6))),
            "each chain breaks at 15.6 kN; the trailer's gross weight is 21.6 kN"
        );
    }

    #[test]
    fn exactly_the_weight_is_allowed_each_or_together() {
        assert!(finding("chain-strength", |p| chains(p).rating_each = Some(kg(2200.0).weight())).is_none());
        let half = |p: &mut Upfit| chains(p).rating_each = Some(kg(1100.0).weight());
        assert!(finding("chain-strength", half).is_some());
        assert!(
            finding("chain-strength", |p| {
                half(p);
                p.chain_rule = Some(ChainRule::Combined);
            })
            .is_none()
        );
    }

    #[test]
    fn chains_nobody_knows_block() {
        assert_eq!(verdict(|p| trailer(p).chains = None), Verdict::Blocked);
        assert_eq!(verdict(|p| chains(p).rating_each = None), Verdict::Blocked);
        assert_eq!(verdict(|p| chains(p).count = None), Verdict::Blocked);
        assert_eq!(verdict(|p| chains(p).count = Some(0)), Verdict::Blocked);
    }

    #[test]
    fn a_braked_trailer_in_europe_needs_none() {
        assert!(
            finding("chain-strength", |p| {
                europe(p);
                trailer(p).chains = None;
            })
            .is_none()
        );
    }
}
