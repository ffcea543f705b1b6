//! A captive nut that turns in the frame clamps nothing.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "captive-nut-loose",
    title: "every captive nut in the frame holds",
    severity: Severity::Block,
    source: Source::new("49 CFR 393.201 (frames: bolts and brackets not loose, broken or missing)", "", Seen::Opened),
    needs: &["answers.captive_nut_loose"],
    remedy: "Repair it by the vehicle maker's procedure: through-bolt, nut plate or reinstated nut; no weld or \
        hole unless the maker says.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.captive_nut_loose == Some(true) {
        findings.add("answers.captive_nut_loose", format_args!("a captive nut broke loose in the frame"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("captive-nut-loose", |p| p.answers.captive_nut_loose = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.captive_nut_loose"));
        assert!(finding("captive-nut-loose", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.captive_nut_loose = None), Verdict::Review);
    }
}
