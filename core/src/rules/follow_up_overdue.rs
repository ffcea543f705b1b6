//! What was left to be done is done by its day.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "follow-up-overdue",
    title: "no follow-up is past its day",
    severity: Severity::Warn,
    source: Source::new("open items have a date and an owner", "", Seen::CommonPractice),
    needs: &["work.follow_ups", "work.today"],
    remedy: "Do what is open, or agree on a new day with whoever waits for it.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (place, item) in work.follow_ups.iter().enumerate().filter(|(_, item)| !item.done) {
        match (item.due, work.today) {
            (None, _) => findings.unknown_as_review(
                format!("work.follow_ups[{place}].due"),
                format_args!("{} is open and has no day", item.label),
            ),
            (Some(due), Some(today)) if due < today => findings.breach(
                format!("work.follow_ups[{place}].due"),
                // Days are few enough for a float to hold each.
                Against::new(due.until(today) as f64, 0.0, "days"),
                format_args!("{} was due on {due}, {} days ago", item.label, due.until(today)),
            ),
            (Some(_), Some(_)) => {}
            (Some(due), None) => {
                findings.unknown_as_review(
                    "work.today",
                    format_args!("{} is due on {due}; nobody says what day it is", item.label),
                );
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_day_itself_is_in_time() {
        let due = |text: &'static str| finding("follow-up-overdue", move |p| work(p).follow_ups[0].due = day(text));
        let found = due("2026-11-25").unwrap();
        assert_eq!(
            (found.severity, found.message.as_str()),
            (Severity::Warn, "re-check was due on 2026-11-25, 1 days ago")
        );
        assert!(due("2026-11-26").is_none());
        let done = |p: &mut crate::model::upfit::Upfit| {
            work(p).follow_ups[0].due = day("2026-01-01");
            work(p).follow_ups[0].done = true;
        };
        assert!(finding("follow-up-overdue", done).is_none());
    }

    #[test]
    fn a_missing_day_is_not_clear() {
        assert_eq!(verdict(|p| work(p).follow_ups[0].due = None), Verdict::Review);
        assert_eq!(verdict(|p| work(p).today = None), Verdict::Review);
    }
}
