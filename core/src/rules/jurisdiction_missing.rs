//! Whose law applies must be known: brakes, chains and labels hang on it.
//!
//! Without a jurisdiction the plan is blocked, not guessed from the vehicle's market.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "jurisdiction-missing",
    title: "the order names the state or country whose law applies",
    severity: Severity::Block,
    source: Source::new("towing laws differ by place", "", Seen::CommonPractice),
    needs: &["jurisdiction"],
    remedy: "Ask where the train will be used and enter the state or country, such as US-TX.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.jurisdiction.as_deref().is_none_or(|place| place.trim().is_empty()) {
        findings
            .add("jurisdiction", format_args!("no state or country is named, so no brake or chain law can be chosen"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn an_order_without_a_place_is_blocked() {
        assert_eq!(verdict(|p| p.jurisdiction = None), Verdict::Blocked);
        assert!(finding("jurisdiction-missing", |p| p.jurisdiction = Some("  ".into())).is_some());
        assert!(finding("jurisdiction-missing", |p| p.jurisdiction = Some("US-TX".into())).is_none());
    }
}
