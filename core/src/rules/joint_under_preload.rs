//! The planned torque is not below the one that gives the specified preload in the real condition, by more than the
//! usual tolerance.
//!
//! A slack joint slips, and slip loosens it.

use super::run::finding::Against;
use super::run::joints::{TOLERANCE, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-under-preload",
    title: "the planned torque is enough for the joint's real condition",
    severity: Severity::Review,
    source: Source::new("US Army TM 5-3800-205-23-1, torque limits work package", "", Seen::Opened),
    needs: &["joints.planned_torque", "joints.finish", "receiver.joints"],
    remedy: "Set the torque shown for this condition.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        // What is missing here is asked for by joint-torque-for-condition.
        let (Ok(wanted), Some(planned)) = (figures.torque_for_condition, joint.planned_torque) else { continue };
        let least = wanted * (1.0 - TOLERANCE);
        if planned < least {
            findings.breach(
                subject(index, "planned_torque"),
                Against::new(planned.n_m(), least.n_m(), "n_m"),
                format_args!(
                    "joint {} is set to {:.1} N·m; it takes {:.1} N·m, at least {:.1} N·m",
                    joint.id,
                    planned.n_m(),
                    wanted.n_m(),
                    least.n_m(),
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Torque;

    #[test]
    fn a_slack_joint_is_reviewed() {
        let at =
            |torque: f64| finding("joint-under-preload", |p| joint(p).planned_torque = Some(Torque::from_n_m(torque)));
        assert_eq!(
            at(66.0).unwrap().message,
            "joint frame-side is set to 66.0 N·m; it takes 88.0 N·m, at least 79.2 N·m"
        );
        assert!(at(79.201).is_none() && at(79.199).is_some());
        assert_ne!(verdict(|p| joint(p).planned_torque = None), Verdict::Clear);
    }
}
