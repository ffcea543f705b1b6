//! A vehicle is not released before every bolt of every joint has a torque reading.

use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "torque-reading-missing",
    title: "every bolt has a torque reading before the vehicle is released",
    severity: Severity::Block,
    source: Source::new("what was not measured was not tightened", "", Seen::CommonPractice),
    needs: &["work.released", "work.readings", "joints", "receiver.joints[].bolt_count"],
    remedy: "Tighten and read every bolt of the joint, and write the readings down, before the vehicle leaves.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (place, reading) in work.readings.iter().enumerate() {
        if reading.torque.is_none() {
            findings.unknown_as_review(
                format!("work.readings[{place}].torque"),
                format_args!("a reading of joint {} says no torque", reading.joint),
            );
        }
    }
    match work.released {
        Some(false) => return,
        Some(true) => {}
        None => {
            findings.unknown_as_review(
                "work.released",
                format_args!("nobody says whether the vehicle is released; its record is judged by that"),
            );
            return;
        }
    }
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let read = work.of(&joint.id, false).filter(|(_, reading)| reading.torque.is_some()).count();
        let Some(bolts) = joint.bolt_count.and_then(|count| usize::try_from(count).ok()) else {
            if read == 0 {
                findings.add(subject(index, "id"), format_args!("joint {} has no torque reading", joint.id));
            } else {
                findings.unknown_as_review(
                    subject(index, "id"),
                    format_args!(
                        "joint {} has torque readings, {read} of them; how many bolts it has is not known",
                        joint.id
                    ),
                );
            }
            continue;
        };
        if read < bolts {
            let readings = if read == 1 { "reading" } else { "readings" };
            let of_bolts = if bolts == 1 { "bolt" } else { "bolts" };
            findings.add(
                subject(index, "id"),
                format_args!("joint {} has {bolts} {of_bolts} and {read} torque {readings}", joint.id),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_bolt_without_a_reading_is_not_released() {
        let found = finding("torque-reading-missing", |p| drop(work(p).readings.pop())).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "joints[0].id"));
        assert_eq!(found.message, "joint frame-side has 2 bolts and 1 torque reading");
        assert_eq!(verdict(|p| work(p).released = Some(false)), Verdict::Clear);
    }

    #[test]
    fn one_reading_a_bolt_is_enough_and_none_is_asked_for_before_there_is_work() {
        assert_eq!(
            verdict(|p| {
                work(p);
            }),
            Verdict::Clear
        );
        assert_eq!(verdict(|_| ()), Verdict::Clear);
    }

    #[test]
    fn what_is_not_said_is_asked() {
        assert_eq!(verdict(|p| work(p).released = None), Verdict::Review);
        assert_eq!(
            verdict(|p| {
                work(p);
                joint(p).bolt_count = None;
            }),
            Verdict::Review
        );
        assert_eq!(
            verdict(|p| {
                joint(p).bolt_count = None;
                work(p).readings.clear();
            }),
            Verdict::Blocked
        );
        assert!(finding("torque-reading-missing", |p| work(p).readings[1].torque = None).unwrap().unknown);
    }
}
