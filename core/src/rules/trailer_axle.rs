//! The trailer's axles carry its mass less the tongue load, within their rating.

use super::run::limits::Rated;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "trailer-axle",
    title: "the trailer's axles keep their rating",
    severity: Severity::Block,
    source: Source::new("the axles carry what the tongue does not", "", Seen::Derived),
    needs: &["trailer_mass", "tongue_load", "trailer.gawr"],
    remedy: "Unload the trailer, move load within the tongue window, or use one with a higher axle rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (limit, load) = (case.plan.trailer.as_deref().and_then(|trailer| trailer.gawr), case.figures.trailer_axles);
    let rated = Rated { field: "trailer.gawr", by: "the load on the trailer's axles", limit, load };
    rated.check(findings, |f, load, over, rating| {
        write!(f, "trailer's axles carry {load}, {over} over their {rating} rating")
    });
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn overloaded_trailer_axles_are_blocked() {
        // 2000 - 210 = 1790 kg.
        assert_eq!(
            message("trailer-axle", |p| trailer(p).gawr = Some(kg(1700.0))),
            "trailer's axles carry 1,790 kg, 90 kg over their 1,700 kg rating"
        );
        assert!(finding("trailer-axle", |p| trailer(p).gawr = Some(kg(1790.0))).is_none());
        assert_eq!(verdict(|p| trailer(p).gawr = None), Verdict::Blocked);
    }
}
