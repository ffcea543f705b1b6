//! After 80 km the joints are checked again, and before 160 km are driven.
//!
//! From 80 km on the check is due, which warns; past 160 km it is overdue, which calls for a person.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// From here on the check is due: 50 miles.
const DUE_KM: f64 = 80.0;
/// By here it must be done: 100 miles.
const OVERDUE_KM: f64 = 160.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "recheck-due",
    title: "the joints are checked again between 80 km and 160 km",
    severity: Severity::Review,
    source: Source::new("re-check of bolted joints after 50 to 100 miles", "", Seen::CommonPractice),
    needs: &["work.released", "work.odometer_handover_km", "work.odometer_now_km", "work.readings[].recheck"],
    remedy: "Call the vehicle in and read every joint again, without loosening it first.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref().filter(|work| work.released == Some(true)) else { return };
    let again = |id: &str| work.of(id, true).any(|(_, reading)| reading.torque.is_some());
    let open = case.plan.joints.iter().filter(|joint| !again(&joint.id)).count();
    if open == 0 {
        return;
    }
    let joints = if open == 1 { "joint" } else { "joints" };
    let (then, now) = match (work.odometer_handover_km, work.odometer_now_km) {
        (Some(then), Some(now)) => (then, now),
        (then, _) => {
            let field = if then.is_none() { "odometer_handover_km" } else { "odometer_now_km" };
            findings.unknown_as_review(
                format!("work.{field}"),
                format_args!("{field} is not known; the re-check of {open} {joints} hangs on it"),
            );
            return;
        }
    };
    let driven = now - then;
    if driven <= DUE_KM {
        return;
    }
    let over = OVERDUE_KM < driven;
    let (severity, limit, word) =
        if over { (Severity::Review, OVERDUE_KM, "overdue") } else { (Severity::Warn, DUE_KM, "due") };
    findings.breach_as(
        severity,
        "work.odometer_now_km",
        Against::new(driven, limit, "km"),
        format_args!("{driven:.0} km since hand-over: the re-check of {open} {joints} is {word}"),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn driven(km: f64) -> Option<crate::rules::Finding> {
        finding("recheck-due", |p| work(p).odometer_now_km = Some(41_000.0 + km))
    }

    #[test]
    fn it_is_due_and_then_overdue() {
        assert!(driven(80.0).is_none());
        assert_eq!(driven(81.0).unwrap().severity, Severity::Warn);
        assert_eq!(driven(160.0).unwrap().severity, Severity::Warn);
        let late = driven(161.0).unwrap();
        assert_eq!(late.severity, Severity::Review);
        assert_eq!(late.message, "161 km since hand-over: the re-check of 1 joint is overdue");
    }

    #[test]
    fn a_reading_of_the_recheck_settles_it() {
        let done = |p: &mut crate::model::upfit::Upfit| {
            let mut again = work(p).readings[0].clone();
            again.recheck = true;
            again.at = crate::model::day::Moment::read("2026-11-28T09:00:00Z");
            work(p).readings.push(again);
            work(p).odometer_now_km = Some(41_500.0);
        };
        assert!(finding("recheck-due", done).is_none());
    }

    #[test]
    fn an_odometer_nobody_read_is_asked_for() {
        assert_eq!(verdict(|p| work(p).odometer_now_km = None), Verdict::Review);
        assert_eq!(verdict(|p| work(p).odometer_handover_km = None), Verdict::Review);
    }
}
