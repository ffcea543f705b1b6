//! The tongue jack bears the tongue load whenever the trailer stands alone.
//!
//! It is a link that holds while the vehicle is away, so a jack without a known rating goes to a person.

use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "jack-overloaded",
    title: "the tongue jack carries the tongue load",
    severity: Severity::Review,
    source: Source::new("the stamp on the jack", "", Seen::CommonPractice),
    needs: &["tongue_load", "trailer.jack_rating"],
    remedy: "Support the tongue on a rated stand, or fit a stronger jack.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    let Some(limit) = trailer.jack_rating else {
        return findings
            .no_limit(Unknown::missing("trailer.jack_rating"), "holding the tongue when the trailer stands alone");
    };
    let Ok(load) = case.figures.tongue else { return };
    if load > limit {
        findings.breach(
            "trailer.jack_rating",
            Against::new(load.kg(), limit.kg(), "kg"),
            format_args!("tongue load {} is over the jack's {} rating", Load(load.kg()), Rating(limit.kg())),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_small_jack_is_reviewed() {
        assert_eq!(
            message("jack-overloaded", |p| trailer(p).jack_rating = Some(kg(200.0))),
            "tongue load 210 kg is over the jack's 200 kg rating"
        );
        assert!(finding("jack-overloaded", |p| trailer(p).jack_rating = Some(kg(210.0))).is_none());
        assert_eq!(verdict(|p| trailer(p).jack_rating = None), Verdict::Review);
        assert_ne!(verdict(|p| p.tongue = None), Verdict::Clear);
    }
}
