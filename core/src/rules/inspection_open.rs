//! Somebody must have looked: each question of the inspection has an answer before the plan goes on.
//!
//! All open questions make one finding. Whether the order asks to raise a rating only matters when it does, and the
//! questions about labels only before the first sale; those are asked by their own rules.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use std::fmt;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inspection-open",
    title: "every question of the inspection is answered",
    severity: Severity::Review,
    source: Source::new("look before drilling", "", Seen::CommonPractice),
    needs: &[
        "answers.maker_points_used",
        "answers.near_fuel",
        "answers.guard_removed",
        "answers.lamp_hidden",
        "answers.rust_at_mounts",
        "answers.recall_open",
        "answers.captive_nut_loose",
        "answers.chains_on_ball_mount",
    ],
    remedy: "Look at the vehicle and answer the open questions.",
    check,
};

/// Lists the open questions without a heap.
struct Open<'a>(&'a [(Option<bool>, &'static str)]);

impl fmt::Display for Open<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut separator = "";
        for (answer, question) in self.0 {
            if answer.is_none() {
                write!(f, "{separator}{question}")?;
                separator = ", ";
            }
        }
        Ok(())
    }
}

fn check(case: &Case<'_>, findings: &mut Findings) {
    let answers = &case.plan.answers;
    let questions = [
        (answers.maker_points_used, "maker's mounting points"),
        (answers.near_fuel, "work near fuel"),
        (answers.guard_removed, "guards"),
        (answers.lamp_hidden, "lamps and plate"),
        (answers.rust_at_mounts, "rust at the mounts"),
        (answers.recall_open, "recalls"),
        (answers.captive_nut_loose, "captive nuts"),
        (answers.chains_on_ball_mount, "chain points"),
    ];
    if questions.iter().any(|(answer, _)| answer.is_none()) {
        findings.open_question("answers", format_args!("not yet answered: {}", Open(&questions)));
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Answers;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn open_questions_make_one_finding() {
        let report = report(|p| {
            p.answers.near_fuel = None;
            p.answers.recall_open = None;
        });
        let said: Vec<_> = report.findings.iter().map(|f| (f.rule.id, f.message.as_str(), f.unknown)).collect();
        assert_eq!(said, [("inspection-open", "not yet answered: work near fuel, recalls", true)]);
        assert_eq!(report.verdict, Verdict::Review);
    }

    #[test]
    fn all_answered_says_nothing_and_none_answered_is_still_one() {
        assert!(finding("inspection-open", |_| ()).is_none());
        assert_eq!(
            report(|p| p.answers = Answers { wired_elsewhere: Some(true), ..Answers::default() }).findings.len(),
            1
        );
    }
}
