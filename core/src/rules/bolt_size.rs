//! The bolt that goes in has the thread of the one specified, and is not shorter.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::{same_thread, spec_field, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-size",
    title: "the bolt has the specified thread and length",
    severity: Severity::Block,
    source: Source::new("the joint was made for one bolt", "", Seen::CommonPractice),
    needs: &["joints.bolt", "receiver.joints"],
    remedy: "Use the specified bolt.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(bolt) = joint.bolt.as_deref() else {
            findings.unknown(Unknown::missing_at("joints[].bolt", index), "what holds the joint");
            continue;
        };
        let Some(meant) = joint.specified_bolt.as_deref() else {
            findings.unknown(spec_field(case.plan, joint, "receiver.joints[].bolt"), "comparing the bolt");
            continue;
        };
        if !same_thread(&bolt.thread, &meant.thread) {
            findings.add(
                subject(index, "bolt"),
                format_args!("joint {} takes {}; {} is planned", joint.id, meant.thread, bolt.thread),
            );
        }
        if let (Some(length), Some(least)) = (bolt.length, meant.length)
            && length < least
        {
            findings.breach_as(
                Severity::Review,
                subject(index, "bolt.length"),
                Against::new(length.mm(), least.mm(), "mm"),
                format_args!(
                    "joint {} takes a bolt of {:.0} mm; {:.0} mm is planned",
                    joint.id,
                    least.mm(),
                    length.mm()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::fastener::Bolt;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use std::sync::Arc;

    #[test]
    fn another_thread_is_blocked_and_a_shorter_bolt_reviewed() {
        let with =
            |change: fn(&mut Bolt)| finding("bolt-size", |p| change(Arc::make_mut(joint(p).bolt.as_mut().unwrap())));
        assert_eq!(with(|bolt| bolt.thread = half_inch()).unwrap().severity, Severity::Block);
        let short = with(|bolt| bolt.length = Some(mm(35.0))).unwrap();
        assert_eq!(short.severity, Severity::Review);
        assert_eq!(short.message, "joint frame-side takes a bolt of 40 mm; 35 mm is planned");
        assert!(with(|bolt| bolt.length = Some(mm(45.0))).is_none());
        assert!(finding("bolt-size", |_| ()).is_none());
    }

    #[test]
    fn an_unknown_bolt_is_not_clear() {
        assert_eq!(verdict(|p| joint(p).bolt = None), Verdict::Review);
        assert_eq!(verdict(|p| joint(p).specified_bolt = None), Verdict::Review);
    }
}
