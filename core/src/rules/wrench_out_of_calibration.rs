//! A reading counts only when the wrench was in calibration on that day.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wrench-out-of-calibration",
    title: "every reading was taken with a wrench in calibration",
    severity: Severity::Block,
    source: Source::new("a reading out of calibration is no reading", "", Seen::CommonPractice),
    needs: &["work.readings[].wrench", "work.readings[].taken_at"],
    remedy: "Read the joint again with a wrench that is in calibration, and have the other one checked.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (place, reading) in work.readings.iter().enumerate() {
        let mut lacks = |field: &str, what: &str| {
            findings.unknown_as_review(
                format!("work.readings[{place}].{field}"),
                format_args!("{what} of the reading of joint {} is not known", reading.joint),
            );
        };
        let due = match reading.wrench.as_deref() {
            None => {
                lacks("wrench", "the wrench");
                continue;
            }
            Some(wrench) => wrench.calibration_due,
        };
        match (due, reading.at) {
            (None, _) => lacks("wrench.calibration_due", "the day the calibration runs out, for the wrench"),
            (_, None) => lacks("taken_at", "the time"),
            (Some(due), Some(at)) if due < at.day => {
                let late = due.until(at.day);
                findings.breach(
                    format!("work.readings[{place}].wrench"),
                    // Days are few enough for a float to hold each.
                    Against::new(late as f64, 0.0, "days"),
                    format_args!(
                        "joint {} was read on {} with a wrench whose calibration ran out on {due}",
                        reading.joint, at.day
                    ),
                );
            }
            (Some(_), Some(_)) => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_day_late_is_too_late_and_the_day_itself_is_not() {
        let due = |text: &'static str| {
            finding("wrench-out-of-calibration", move |p| wrench_used(p).calibration_due = day(text))
        };
        let found = due("2026-11-25").unwrap();
        assert_eq!((found.severity, found.value), (Severity::Block, Some(1.0)));
        assert_eq!(
            found.message,
            "joint frame-side was read on 2026-11-26 with a wrench whose calibration ran out on 2026-11-25"
        );
        assert!(due("2026-11-26").is_none());
    }

    #[test]
    fn what_is_not_written_down_is_asked() {
        assert_eq!(verdict(|p| wrench_used(p).calibration_due = None), Verdict::Review);
        assert_eq!(verdict(|p| work(p).readings[0].wrench = None), Verdict::Review);
        assert_eq!(verdict(|p| work(p).readings[0].at = None), Verdict::Review);
    }
}
