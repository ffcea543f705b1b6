//! A chain's tag prints a breaking force or a working load limit; the two are never mixed. The law asks for the first.

use super::Unknown;
use super::chain_strength;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::coupling::ChainRatingKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "chain-working-load",
    title: "the chains' breaking force is known, not only a working load",
    severity: Severity::Review,
    source: Source::new("chain laws are written in breaking force", "", Seen::CommonPractice),
    needs: &["trailer.chains.rating_kind"],
    remedy: "Read the tag or ask the chain's maker for its breaking force, and enter that.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if !chain_strength::needed(case) {
        return;
    }
    let Some(chains) = case.plan.trailer.as_deref().and_then(|trailer| trailer.chains) else { return };
    match (chains.rating_kind, chains.rating_each) {
        (Some(ChainRatingKind::Breaking), _) => (),
        (Some(ChainRatingKind::WorkingLoad), Some(each)) => findings.add(
            "trailer.chains.rating_kind",
            format_args!("{:.1} kN is a working load limit; the law asks for the breaking force", each.kn()),
        ),
        (Some(ChainRatingKind::WorkingLoad), None) => (),
        (None, _) => {
            findings.unknown(Unknown::missing("trailer.chains.rating_kind"), "reading the chains' rating");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::coupling::ChainRatingKind;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_working_load_is_reviewed_and_never_taken_for_a_breaking_force() {
        assert_eq!(
            message("chain-working-load", |p| chains(p).rating_kind = Some(ChainRatingKind::WorkingLoad)),
            "25.0 kN is a working load limit; the law asks for the breaking force"
        );
        assert_eq!(verdict(|p| chains(p).rating_kind = None), Verdict::Review);
        assert!(finding("chain-working-load", |_| ()).is_none());
    }
}
