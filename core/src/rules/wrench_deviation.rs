//! A torque wrench is no worse than the standard of torque tools permits: 4 %, and 6 % up to 10 N·m.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::calc::adapter::{DEVIATION_SOURCE, permissible_deviation};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wrench-deviation",
    title: "the wrench deviates by no more than its standard permits",
    severity: Severity::Review,
    source: DEVIATION_SOURCE,
    needs: &["joints.wrench", "joints.planned_torque"],
    remedy: "Have the wrench adjusted, or take a better one.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        // Without a torque there is nothing to be off by; others ask for it.
        let (Some(wrench), Some(torque)) = (joint.wrench.as_deref(), joint.planned_torque) else { continue };
        let Some(share) = wrench.accuracy_share else {
            let unknown = Unknown::missing_at("joints[].wrench.accuracy_share", index);
            findings.unknown(unknown, "how far the torque may be off");
            continue;
        };
        let most = permissible_deviation(torque);
        if most < share {
            findings.breach(
                subject(index, "wrench"),
                Against::new(share, most, "share"),
                format_args!(
                    "joint {} is tightened with a wrench that may be off by {:.1} %; {:.0} % are permitted",
                    joint.id,
                    share * 100.0,
                    most * 100.0
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::rules::run::fixture::*;
    use crate::units::Torque;

    fn at(share: Option<f64>, torque: f64) -> Option<crate::rules::Finding> {
        finding("wrench-deviation", |p| {
            Arc::make_mut(joint(p).wrench.insert(click())).accuracy_share = share;
            joint(p).planned_torque = Some(Torque::from_n_m(torque));
        })
    }

    /// ISO 6789, from memory: 4 % above 10 N·m, 6 % up to it.
    #[test]
    fn four_in_a_hundred_and_six_for_small_torques() {
        assert!(
            at(Some(0.06), 88.0)
                .unwrap()
                .message
                .starts_with("joint frame-side is tightened with a wrench that may be off by 6.0 %; 4 % are permitted")
        );
        assert!(at(Some(0.04), 88.0).is_none() && at(Some(0.0401), 88.0).is_some());
        assert!(at(Some(0.06), 10.0).is_none() && at(Some(0.06), 10.1).is_some());
        assert!(at(None, 88.0).is_some_and(|finding| finding.unknown));
    }
}
