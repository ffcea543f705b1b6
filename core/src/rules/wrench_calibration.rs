//! On the day of the work the wrench's calibration still holds.

use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::calc::wrench_choice::CALIBRATION_SOURCE;

/// The rule.
pub static RULE: Rule = Rule {
    id: "wrench-calibration",
    title: "the wrench's calibration holds on the day of the work",
    severity: Severity::Review,
    source: CALIBRATION_SOURCE,
    needs: &["joints.wrench", "work_day"],
    remedy: "Have the wrench calibrated, or take one that is.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(wrench) = joint.wrench.as_deref() else { continue };
        match (wrench.calibration_due, case.plan.work_day) {
            (None, _) => {
                let unknown = Unknown::missing_at("joints[].wrench.calibration_due", index);
                findings.unknown(unknown, "whether the wrench tells the torque");
            }
            (Some(_), None) => {
                findings.unknown(Unknown::missing("work_day"), "whether the wrench is calibrated on that day");
            }
            (Some(due), Some(day)) if due < day => findings.add(
                subject(index, "wrench"),
                format_args!(
                    "joint {} is tightened on {day} with a wrench whose calibration held until {due}",
                    joint.id
                ),
            ),
            (Some(_), Some(_)) => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::day::Day;
    use crate::rules::run::fixture::*;

    fn due(text: &str) -> Option<crate::rules::Finding> {
        finding("wrench-calibration", |p| {
            Arc::make_mut(joint(p).wrench.insert(click())).calibration_due = Day::read(text);
        })
    }

    #[test]
    fn it_holds_to_its_last_day() {
        assert_eq!(
            due("2026-11-25").unwrap().message,
            "joint frame-side is tightened on 2026-11-26 with a wrench whose calibration held until 2026-11-25"
        );
        assert!(due("2026-11-26").is_none());
    }

    #[test]
    fn a_day_nobody_knows_is_not_good() {
        assert!(due("").is_some_and(|finding| finding.unknown));
        let undated = finding("wrench-calibration", |p| {
            joint(p).wrench = Some(click());
            p.work_day = None;
        });
        assert!(undated.is_some_and(|finding| finding.unknown && finding.subject == "work_day"));
    }
}
