//! A bolt of the hardest class is fitted only where it is specified: hard bolts crack from hydrogen.

use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::fastener::{BoltClass, IsoClass};

/// The rule.
pub static RULE: Rule = Rule {
    id: "brittle-bolt",
    title: "a 12.9 bolt is fitted only where it is specified",
    severity: Severity::Review,
    source: Source::new("NASA RP-1228, embrittlement of plated fasteners", "", Seen::Opened),
    needs: &["joints.bolt", "receiver.joints"],
    remedy: "Use the specified class; 10.9 is strong enough to stand in for 8.8.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    const HARDEST: BoltClass = BoltClass::Iso(IsoClass::C12_9);
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let class = |bolt: Option<&crate::model::fastener::Bolt>| bolt.and_then(|bolt| bolt.class);
        // A bolt without a class, planned or specified, is the business of bolt-class-lower.
        let (planned, specified) = (class(joint.bolt.as_deref()), class(joint.specified_bolt.as_deref()));
        if planned == Some(HARDEST) && specified != Some(HARDEST) {
            findings.add(
                subject(index, "bolt"),
                format_args!(
                    "joint {} gets a 12.9 bolt that nobody specified: bolts so hard crack from hydrogen",
                    joint.id
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::fastener::IsoClass;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_12_9_bolt_has_to_be_asked_for() {
        let with = |planned, specified| {
            finding("brittle-bolt", |p| {
                joint(p).bolt = Some(bolt(planned));
                joint(p).specified_bolt = Some(bolt(specified));
            })
        };
        assert_eq!(
            with(IsoClass::C12_9, IsoClass::C8_8).unwrap().message,
            "joint frame-side gets a 12.9 bolt that nobody specified: bolts so hard crack from hydrogen"
        );
        assert!(with(IsoClass::C12_9, IsoClass::C12_9).is_none());
        assert!(with(IsoClass::C10_9, IsoClass::C8_8).is_none());
        let unsaid = verdict(|p| {
            joint(p).bolt = Some(bolt(IsoClass::C12_9));
            joint(p).specified_bolt = None;
        });
        assert_ne!(unsaid, Verdict::Clear);
    }
}
