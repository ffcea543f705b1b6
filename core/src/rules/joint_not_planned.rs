//! Every joint of the receiver is in the plan, so that its bolts, its condition and its torque can be checked.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-not-planned",
    title: "every joint of the receiver is planned",
    severity: Severity::Review,
    source: Source::new("a joint nobody planned is a joint nobody checked", "", Seen::CommonPractice),
    needs: &["joints", "receiver.joints"],
    remedy: "Enter the joint with its bolts, its condition and the torque you mean to set.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let planned = &case.plan.joints;
    let receiver =
        case.plan.receiver.as_deref().map(|receiver| (&receiver.joints, "receiver", "how the receiver is held"));
    let coupling = case.plan.bed_coupling.as_deref();
    let coupling =
        coupling.map(|coupling| (&coupling.joints, "coupling in the bed", "how the coupling in the bed is held"));
    for (joints, holder, how) in receiver.into_iter().chain(coupling) {
        if planned.is_empty() && joints.is_empty() {
            return findings.unknown(Unknown::missing("joints"), how);
        }
        for joint in joints {
            if !planned.iter().any(|plan| plan.id == joint.id) {
                findings.open_question("joints", format_args!("joint {} of the {holder} is not planned", joint.id));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::joint::JointSpec;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn spec(id: &str) -> JointSpec {
        let id = id.to_owned();
        JointSpec { id, count: Some(4), bolt: None, nut: None, washer: None, finish: None, torque: None, method: None }
    }

    #[test]
    fn a_forgotten_joint_is_reviewed() {
        let found = finding("joint-not-planned", |p| receiver(p).joints = vec![spec("frame-side"), spec("rear-cross")]);
        assert_eq!(found.unwrap().message, "joint rear-cross of the receiver is not planned");
        assert!(finding("joint-not-planned", |p| receiver(p).joints = vec![spec("frame-side")]).is_none());
        assert_eq!(verdict(|p| p.joints.clear()), Verdict::Review);
    }
}
