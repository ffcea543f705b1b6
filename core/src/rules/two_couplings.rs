//! A trailer hangs on one coupling: a plan with a coupling in the bed names no ball mount, ball or extension beside it.
//!
//! They are not counted then: neither as links nor by their mass.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "two-couplings",
    title: "a plan names one coupling for its trailer",
    severity: Severity::Review,
    source: Source::new("a trailer hangs on one coupling", "", Seen::Derived),
    needs: &["bed_coupling", "ball_mount", "ball", "extension"],
    remedy: "Say which of the two the trailer hangs on; what else rides along is an item with its mass.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    if !plan.hangs_in_bed() {
        return;
    }
    let named = [
        ("ball_mount", "a ball mount", plan.ball_mount.is_some()),
        ("ball", "a ball", plan.ball.is_some()),
        ("extension", "an extension", plan.extension.is_some()),
    ];
    if let Some((subject, word, _)) = named.into_iter().find(|(_, _, named)| *named) {
        findings.add(
            subject,
            format_args!(
                "{word} is planned beside the coupling in the bed: it is not counted, the trailer hangs in the bed"
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_ball_mount_beside_the_coupling_in_the_bed_is_for_a_person() {
        let both = |p: &mut _| {
            in_bed(p);
            mount(p);
        };
        assert_eq!(finding("two-couplings", both).map(|found| found.subject.into_owned()), Some("ball_mount".into()));
        assert_eq!(verdict(both), Verdict::Review);
        let ball_only = |p: &mut _| {
            in_bed(p);
            ball(p);
        };
        assert!(finding("two-couplings", ball_only).is_some());
    }

    #[test]
    fn one_of_them_is_no_question() {
        assert!(finding("two-couplings", in_bed).is_none());
        assert!(finding("two-couplings", |_| ()).is_none());
    }

    #[test]
    fn neither_is_no_question_of_this_rule_but_not_clear() {
        assert!(finding("two-couplings", |p| p.ball_mount = None).is_none());
        assert_ne!(verdict(|p| p.ball_mount = None), Verdict::Clear);
    }
}
