//! A planned torque lies where the wrench is good: on its scale, and not in its lowest fifth.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::{calc::adapter::LEAST_SHARE_OF_SCALE, calc::wrench_choice::SCALE_SOURCE};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wrench-range",
    title: "the torque lies between a fifth and the end of the wrench's scale",
    severity: Severity::Review,
    source: SCALE_SOURCE,
    needs: &["joints.wrench", "joints.planned_torque"],
    remedy: "Take a wrench whose scale holds the torque.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(wrench) = joint.wrench.as_deref() else { continue };
        let known = |value: Option<crate::units::Torque>, field| value.ok_or(Unknown::missing_at(field, index));
        let scale = known(joint.planned_torque, "joints[].planned_torque").and_then(|torque| {
            let least = known(wrench.scale_min, "joints[].wrench.scale_min")?;
            Ok((torque, least, known(wrench.scale_max, "joints[].wrench.scale_max")?))
        });
        let (torque, least, most) = match scale {
            Ok((torque, least, most)) => (torque, least.max(most * LEAST_SHARE_OF_SCALE), most),
            Err(unknown) => {
                findings.unknown(unknown, "whether the wrench is good for the torque");
                continue;
            }
        };
        let limit = if torque < least {
            least
        } else if most < torque {
            most
        } else {
            continue;
        };
        findings.breach(
            subject(index, "wrench"),
            Against::new(torque.n_m(), limit.n_m(), "n_m"),
            format_args!(
                "joint {} is set to {:.1} N·m on a wrench that is good from {:.1} to {:.1} N·m",
                joint.id,
                torque.n_m(),
                least.n_m(),
                most.n_m()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::rules::run::fixture::*;
    use crate::units::Torque;

    fn at(torque: f64, ends: [Option<f64>; 2]) -> Option<crate::rules::Finding> {
        finding("wrench-range", |p| {
            let wrench = Arc::make_mut(joint(p).wrench.insert(click()));
            [wrench.scale_min, wrench.scale_max] = ends.map(|end| end.map(Torque::from_n_m));
            joint(p).planned_torque = Some(Torque::from_n_m(torque));
        })
    }

    #[test]
    fn good_from_a_fifth_to_the_end() {
        let scale = [Some(20.0), Some(200.0)];
        assert_eq!(
            at(30.0, scale).unwrap().message,
            "joint frame-side is set to 30.0 N·m on a wrench that is good from 40.0 to 200.0 N·m"
        );
        assert!(at(39.999, scale).is_some() && at(200.001, scale).is_some());
        assert!(at(40.0, scale).is_none() && at(200.0, scale).is_none());
        // A scale that begins later is good from there.
        assert_eq!(at(59.9, [Some(60.0), Some(200.0)]).unwrap().limit, Some(60.0));
    }

    #[test]
    fn a_scale_nobody_knows_is_not_good() {
        assert!(at(88.0, [None, Some(200.0)]).is_some_and(|finding| finding.unknown));
        assert!(at(88.0, [Some(20.0), None]).is_some_and(|finding| finding.unknown));
        assert!(finding("wrench-range", |p| joint(p).wrench = None).is_none());
    }
}
