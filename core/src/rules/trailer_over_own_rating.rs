//! The trailer as loaded keeps its own gross rating.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "trailer-over-own-rating",
    title: "the trailer is not over its own gross rating",
    severity: Severity::Block,
    source: Source::new("the certification label of the trailer", "", Seen::CommonPractice),
    needs: &["trailer_mass", "trailer.gvwr"],
    remedy: "Unload the trailer, or use one with a higher gross rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(limit) = case.plan.trailer.as_deref().and_then(|trailer| trailer.gvwr) else {
        return findings.no_limit(Unknown::missing("trailer.gvwr"), "the trailer's weight");
    };
    let load = match case.figures.trailer_mass {
        Ok(load) => load,
        Err(unknown) => return findings.unknown(unknown, "the trailer's weight"),
    };
    let against = Against::new(load.kg(), limit.kg(), "kg");
    if load <= limit {
        return findings.keeps("trailer.gvwr", against);
    }
    findings.breach(
        "trailer.gvwr",
        against,
        format_args!(
            "trailer {} is {} over its own {} gross rating",
            Load(load.kg()),
            Over(load.kg(), limit.kg()),
            Rating(limit.kg()),
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn an_overloaded_trailer_is_blocked() {
        assert_eq!(
            message("trailer-over-own-rating", |p| trailer(p).gvwr = Some(kg(1900.0))),
            "trailer 2,000 kg is 100 kg over its own 1,900 kg gross rating"
        );
        assert!(finding("trailer-over-own-rating", |p| trailer(p).gvwr = Some(kg(2000.0))).is_none());
        assert_eq!(verdict(|p| trailer(p).gvwr = None), Verdict::Blocked);
    }
}
