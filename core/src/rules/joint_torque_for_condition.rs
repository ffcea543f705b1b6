//! The planned torque is not above the one that gives the specified preload in the condition the joint is really in.
//!
//! A lubricated joint set to the dry torque is stretched by as much as friction fell. Ten per cent is the usual torque
//! tolerance; more than that over blocks. Below, `joint-under-preload` speaks. For a joint that is specified by angle
//! see `method-not-scalable`.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::{TOLERANCE, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-torque-for-condition",
    title: "the planned torque suits the joint's real condition",
    severity: Severity::Block,
    source: Source::new("US Army TM 5-3800-205-23-1, torque limits work package", "", Seen::Opened),
    needs: &["joints.planned_torque", "joints.finish", "receiver.joints"],
    remedy: "Set the torque shown for this condition, or clean the joint to the specified condition.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        let wanted = match figures.torque_for_condition {
            Ok(wanted) => wanted,
            Err(unknown) => {
                findings.unknown(unknown, "the torque for the joint's condition");
                continue;
            }
        };
        let Some(planned) = joint.planned_torque else {
            findings.unknown(Unknown::missing_at("joints[].planned_torque", index), "the joint's preload");
            continue;
        };
        let most = wanted * (1.0 + TOLERANCE);
        if planned > most {
            findings.breach(
                subject(index, "planned_torque"),
                Against::new(planned.n_m(), most.n_m(), "n_m"),
                format_args!(
                    "joint {} is set to {:.1} N·m; in its condition ({}) it takes {:.1} N·m, at most {:.1} N·m",
                    joint.id,
                    planned.n_m(),
                    joint.finish.as_deref().map_or("not named", |finish| finish.label.as_str()),
                    wanted.n_m(),
                    most.n_m(),
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
    fn a_lubricated_joint_set_to_the_dry_torque_is_blocked() {
        // 88 N m x 0.15 / 0.20 = 66 N m.
        assert_eq!(
            message("joint-torque-for-condition", |p| joint(p).finish = Some(oiled())),
            "joint frame-side is set to 88.0 N·m; in its condition (zinc, oiled) it takes 66.0 N·m, at most 72.6 N·m"
        );
        assert_eq!(verdict(|p| joint(p).finish = Some(oiled())), Verdict::Blocked);
    }

    #[test]
    fn the_converted_torque_and_its_tolerance_are_allowed() {
        let oiled_at = |torque: f64| {
            report(|p| {
                joint(p).finish = Some(oiled());
                joint(p).planned_torque = Some(Torque::from_n_m(torque));
            })
        };
        assert_eq!(oiled_at(66.0).verdict, Verdict::Clear);
        let blocked = |torque: f64| oiled_at(torque).findings.iter().any(|f| f.rule.id == "joint-torque-for-condition");
        assert!(!blocked(72.599) && blocked(72.601));
    }

    #[test]
    fn nobody_knowing_is_not_clear() {
        assert_ne!(verdict(|p| joint(p).finish = None), Verdict::Clear);
        assert_ne!(verdict(|p| joint(p).specified_finish = None), Verdict::Clear);
        assert_ne!(verdict(|p| joint(p).planned_torque = None), Verdict::Clear);
        assert_ne!(verdict(|p| joint(p).specified_torque = None), Verdict::Clear);
        assert_ne!(verdict(|p| joint(p).bolt = None), Verdict::Clear);
    }
}
