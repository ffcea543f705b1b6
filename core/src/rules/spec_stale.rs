//! The vehicle's entry is at least as new as the labels of this unit: makers change ratings from year to year.
//!
//! A vehicle given with the plan itself is as new as the plan. An entry without a day is
//! asked for it once the plan says when the labels were read.

use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "spec-stale",
    title: "the vehicle's entry is not older than its label or its model year",
    severity: Severity::Review,
    source: Source::new("the newer of two readings holds", "", Seen::CommonPractice),
    needs: &["label_seen_on", "model_year", "vehicle"],
    remedy: "Compare the entry with the labels of this unit, then put it anew with the day it was seen.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    let entry = plan.vehicle.seen_on;
    if plan.vehicle.name.is_empty() {
        return;
    }
    match (plan.label_seen_on, entry) {
        (Some(_), None) => {
            findings.unknown(
                Unknown::because("vehicle", "has no day on which its source was seen"),
                "which reading is newer",
            );
        }
        (Some(label), Some(entry)) if entry < label => findings.add(
            "vehicle",
            format_args!("the vehicle's entry was seen on {entry}, before the labels of this unit on {label}"),
        ),
        _ => (),
    }
    let year = entry.map(|day| i32::from(day.year()));
    if let (Some(ordered), Some(year)) = (plan.model_year, year)
        // Model years begin in the calendar year before.
        && year + 1 < ordered
    {
        findings.add(
            "vehicle",
            format_args!("the vehicle's entry was seen in {year}, the order's model year is {ordered}"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::day::Day;
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Severity};

    fn seen(entry: Option<&'static str>, label: Option<&'static str>, year: Option<i32>) -> Option<Finding> {
        finding("spec-stale", move |p| {
            vehicle(p).seen_on = entry.and_then(Day::read);
            p.label_seen_on = label.and_then(Day::read);
            p.model_year = year;
        })
    }

    #[test]
    fn an_entry_older_than_the_label_is_for_a_person() {
        let found = seen(Some("2026-03-01"), Some("2026-03-02"), None).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(
            found.message,
            "the vehicle's entry was seen on 2026-03-01, before the labels of this unit on 2026-03-02"
        );
        assert!(seen(Some("2026-03-02"), Some("2026-03-02"), None).is_none());
    }

    #[test]
    fn an_entry_older_than_the_model_year_is_for_a_person() {
        assert!(seen(Some("2024-12-31"), None, Some(2026)).is_some());
        assert!(seen(Some("2025-01-01"), None, Some(2026)).is_none());
    }

    #[test]
    fn an_entry_without_a_day_is_asked_for_it() {
        assert!(seen(None, Some("2026-03-02"), None).is_some_and(|found| found.unknown));
        assert!(seen(None, None, Some(2026)).is_none());
    }
}
