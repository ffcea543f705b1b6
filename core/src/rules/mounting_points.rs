//! The receiver is fixed at the points the vehicle maker names, and nowhere else.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "mounting-points",
    title: "the maker's mounting points are used",
    severity: Severity::Block,
    source: Source::new("Directive 94/20/EC, Annex V and VI", "", Seen::Opened),
    needs: &["answers.maker_points_used"],
    remedy: "Use the maker's points, or ask the maker in writing for others.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.maker_points_used == Some(false) {
        findings.add("answers.maker_points_used", format_args!("the maker's mounting points are not the ones used"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("mounting-points", |p| p.answers.maker_points_used = Some(false)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.maker_points_used"));
        assert!(finding("mounting-points", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.maker_points_used = None), Verdict::Review);
    }
}
