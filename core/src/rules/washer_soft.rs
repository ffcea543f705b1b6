//! A washer is harder than the pressure under its bolt asks for: 200 HV under 8.8 and 9.8, 300 HV under 10.9 and 12.9.
//!
//! The limits are recalled, not read, and hold for metric bolts; weaker classes and inch grades are not judged.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::fastener::{BoltClass, IsoClass};

/// The rule.
pub static RULE: Rule = Rule {
    id: "washer-soft",
    title: "the washer is hard enough for its bolt",
    severity: Severity::Block,
    source: Source::new("ISO 7089 and ISO 7090, washer hardness", "", Seen::FromMemory),
    needs: &["joints.washer", "joints.bolt"],
    remedy: "Use a hardened washer of the class the bolt asks for.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(washer) = joint.washer.as_deref() else { continue };
        let least = match joint.bolt.as_deref().and_then(|bolt| bolt.class) {
            Some(BoltClass::Iso(IsoClass::C8_8 | IsoClass::C9_8)) => 200.0,
            Some(BoltClass::Iso(IsoClass::C10_9 | IsoClass::C12_9)) => 300.0,
            _ => continue,
        };
        let Some(hardness) = washer.hardness_hv else {
            findings.unknown(Unknown::missing_at("joints[].washer.hardness_hv", index), "the pressure under the bolt");
            continue;
        };
        if hardness < least {
            findings.breach(
                subject(index, "washer"),
                Against::new(hardness, least, "hv"),
                format_args!("joint {} has a washer of {hardness:.0} HV; its bolt asks for {least:.0} HV", joint.id),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::fastener::IsoClass;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_soft_washer_is_reviewed() {
        let with = |hardness: Option<f64>| finding("washer-soft", |p| joint(p).washer = Some(washer(hardness)));
        let soft = with(Some(140.0)).unwrap();
        assert_eq!(soft.severity, Severity::Review);
        assert!(
            soft.message
                .starts_with("joint frame-side has a washer of 140 HV; its bolt asks for 200 HV (limit from memory")
        );
        assert!(with(Some(200.0)).is_none());
        assert!(with(None).is_some_and(|f| f.unknown));
        assert_eq!(verdict(|p| joint(p).washer = Some(washer(None))), Verdict::Review);
    }

    #[test]
    fn a_stronger_bolt_asks_for_more() {
        assert!(
            finding("washer-soft", |p| joint(p).bolt = Some(bolt(IsoClass::C10_9)))
                .is_some_and(|f| f.limit == Some(300.0))
        );
    }
}
