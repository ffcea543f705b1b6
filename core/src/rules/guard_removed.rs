//! Rear guards, shields and tow eyes stay on: they are there to meet a standard.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "guard-removed",
    title: "no guard, shield or tow eye comes off",
    severity: Severity::Block,
    source: Source::new("63 FR 26759 (rear guards); NHTSA interpretation letter nht87-1.19", "", Seen::Opened),
    needs: &["answers.guard_removed"],
    remedy: "Choose gear that leaves it in place.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.guard_removed == Some(true) {
        findings.add("answers.guard_removed", format_args!("a rear guard, shield or tow eye is to come off"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("guard-removed", |p| p.answers.guard_removed = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.guard_removed"));
        assert!(finding("guard-removed", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.guard_removed = None), Verdict::Review);
    }
}
