//! An open recall that touches towing, brakes, tyres or frame is settled before the upfit.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "recall-open",
    title: "no recall that touches towing is open",
    severity: Severity::Review,
    source: Source::new("recalls first", "", Seen::CommonPractice),
    needs: &["answers.recall_open"],
    remedy: "Send the vehicle to its dealer for the recall first.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.recall_open == Some(true) {
        findings
            .add("answers.recall_open", format_args!("a recall that touches towing, brakes, tyres or frame is open"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("recall-open", |p| p.answers.recall_open = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Review, "answers.recall_open"));
        assert!(finding("recall-open", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.recall_open = None), Verdict::Review);
    }
}
