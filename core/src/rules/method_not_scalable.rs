//! A torque-and-angle or into-yield specification is never scaled: in another condition it has no calculated torque.

use super::run::joints::{same_condition, spec_field, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::joint::TighteningMethod;

/// The rule.
pub static RULE: Rule = Rule {
    id: "method-not-scalable",
    title: "a specification by angle or into yield keeps its own condition",
    severity: Severity::Block,
    source: Source::new("military and vehicle maintenance manuals, torque limits", "", Seen::Opened),
    needs: &["joints.finish", "joints.planned_torque", "receiver.joints"],
    remedy: "Follow the maker's procedure with the specified condition and new bolts.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        match joint.method {
            None => findings.unknown(spec_field(case.plan, joint, "receiver.joints[].method"), "reading its torque"),
            Some(TighteningMethod::Torque) => (),
            Some(TighteningMethod::TorqueAndAngle | TighteningMethod::TorqueToYield) => {
                // Without both conditions nobody can say that they are the same; that is asked for elsewhere.
                let (Some(meant), Some(real)) = (&joint.specified_finish, &joint.finish) else { continue };
                if !same_condition(meant, real) {
                    findings.add(
                        subject(index, "finish"),
                        format_args!(
                            "joint {} is specified by angle or into yield for {}; it is {}, and that is never scaled",
                            joint.id, meant.label, real.label
                        ),
                    );
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{finish::Finish, joint::TighteningMethod, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use std::sync::Arc;

    #[test]
    fn an_angle_in_another_condition_is_blocked() {
        let angle = |finish: Arc<Finish>| {
            move |p: &mut Upfit| {
                joint(p).method = Some(TighteningMethod::TorqueAndAngle);
                joint(p).finish = Some(finish);
            }
        };
        assert_eq!(verdict(angle(oiled())), Verdict::Blocked);
        assert_eq!(
            message("method-not-scalable", angle(oiled())),
            "joint frame-side is specified by angle or into yield for zinc, dry; it is zinc, oiled, and that is \
                never scaled"
        );
        assert!(finding("method-not-scalable", angle(dry())).is_none());
        assert!(finding("method-not-scalable", |p| joint(p).finish = Some(oiled())).is_none());
    }

    #[test]
    fn an_unknown_method_is_not_clear() {
        assert_ne!(verdict(|p| joint(p).method = None), Verdict::Clear);
    }
}
