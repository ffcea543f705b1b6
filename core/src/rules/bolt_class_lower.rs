//! No bolt of a lower class or grade takes the place of the specified one; one without a readable mark counts as the
//! lowest.
//!
//! A stronger bolt keeps the original torque.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::{spec_field, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::tables::bolt_strength;

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-class-lower",
    title: "the bolt is not of a lower class than specified",
    severity: Severity::Block,
    source: Source::new("US Army TM 5-3895-367-14&P, Appendix H", "", Seen::Opened),
    needs: &["joints.bolt", "receiver.joints"],
    remedy: "Use a bolt of the specified class; refuse a head without a mark.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let (Some(bolt), Some(meant)) = (joint.bolt.as_deref(), joint.specified_bolt.as_deref()) else { continue };
        let Some(class) = bolt.class else {
            findings.no_limit(Unknown::missing_at("joints[].bolt.property_class", index), "how strong the bolt is");
            continue;
        };
        let Some(wanted) = meant.class else {
            findings.unknown(spec_field(case.plan, joint, "receiver.joints[].bolt"), "how strong the bolt must be");
            continue;
        };
        if class == wanted {
            continue;
        }
        let (Ok(has), Ok(needs)) = (bolt_strength(class, &bolt.thread), bolt_strength(wanted, &meant.thread)) else {
            findings.unknown(
                Unknown { why: "is not published for this thread", ..Unknown::missing_at("joints[].bolt", index) },
                "how strong the bolt is",
            );
            continue;
        };
        let recalled = [has.source, needs.source].into_iter().find(|source| source.seen == Seen::FromMemory);
        // Proof stresses are compared where both have one, else least yield.
        let (has, needs) = has.proof.zip(needs.proof).unwrap_or((has.yield_min, needs.yield_min));
        if has < needs {
            findings.resting_on(recalled).breach(
                subject(index, "bolt"),
                Against::new(has.mpa(), needs.mpa(), "mpa"),
                format_args!("joint {} takes class {wanted}; {class} is planned, and it is weaker", joint.id),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{
        fastener::{BoltClass, IsoClass, SaeGrade},
        upfit::Upfit,
    };
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use std::sync::Arc;

    fn with(class: Option<BoltClass>) -> impl Fn(&mut Upfit) {
        move |p| Arc::make_mut(joint(p).bolt.as_mut().unwrap()).class = class
    }

    #[test]
    fn a_weaker_bolt_is_blocked_and_a_stronger_one_is_not() {
        let iso = |class| with(Some(BoltClass::Iso(class)));
        assert_eq!(
            message("bolt-class-lower", iso(IsoClass::C5_8)),
            "joint frame-side takes class 8.8; 5.8 is planned, and it is weaker"
        );
        assert!(finding("bolt-class-lower", iso(IsoClass::C10_9)).is_none());
        assert!(finding("bolt-class-lower", iso(IsoClass::C8_8)).is_none());
    }

    #[test]
    fn a_strength_from_memory_calls_for_a_person_and_says_so() {
        // SAE J429 grades 2 and 5.2: the strength of the latter is from memory.
        let found = finding("bolt-class-lower", |p| {
            let joint = joint(p);
            for (bolt, grade) in [(&mut joint.bolt, SaeGrade::G2), (&mut joint.specified_bolt, SaeGrade::G5_2)] {
                let bolt = Arc::make_mut(bolt.as_mut().unwrap());
                bolt.thread = half_inch();
                bolt.class = Some(BoltClass::Sae(grade));
            }
        })
        .unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert!(found.message.ends_with("confirm)") && found.message.contains("from memory of"), "{}", found.message);
    }

    #[test]
    fn an_unmarked_head_is_refused() {
        assert_eq!(verdict(with(None)), Verdict::Blocked);
    }
}
