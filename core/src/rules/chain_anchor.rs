//! Chains hang on the frame or the receiver, not on the ball mount they must survive, nor on a bumper skin.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "chain-anchor",
    title: "the chains hang on the frame or the receiver",
    severity: Severity::Block,
    source: Source::new("chains must outlive the ball mount", "", Seen::CommonPractice),
    needs: &["answers.chains_on_ball_mount"],
    remedy: "Plan chain points on the receiver or the frame, as far apart as it allows.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.chains_on_ball_mount == Some(true) {
        findings.add(
            "answers.chains_on_ball_mount",
            format_args!("the chains are to hang on the ball mount or the bumper skin"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn chains_on_the_ball_mount_are_blocked() {
        assert_eq!(verdict(|p| p.answers.chains_on_ball_mount = Some(true)), Verdict::Blocked);
        assert_eq!(verdict(|p| p.answers.chains_on_ball_mount = None), Verdict::Review);
        assert!(finding("chain-anchor", |_| ()).is_none());
    }
}
