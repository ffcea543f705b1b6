//! The trailer as loaded keeps its own gross rating.

use super::run::limits::Rated;
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
    let (limit, load) = (case.plan.trailer.as_deref().and_then(|trailer| trailer.gvwr), case.figures.trailer_mass);
    let rated = Rated { field: "trailer.gvwr", by: "the trailer's weight", limit, load };
    rated.check(findings, |f, load, over, rating| {
        write!(f, "trailer {load} is {over} over its own {rating} gross rating")
    });
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
