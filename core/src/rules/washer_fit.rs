//! A washer goes over its bolt: its hole is wider than the thread.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "washer-fit",
    title: "the washer goes over the bolt",
    severity: Severity::Block,
    source: Source::new("hole against thread", "", Seen::Derived),
    needs: &["joints.washer", "joints.bolt"],
    remedy: "Use the washer made for this thread.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let (Some(washer), Some(bolt)) = (joint.washer.as_deref(), joint.bolt.as_deref()) else { continue };
        let Some(hole) = washer.inner_diameter else {
            findings
                .unknown(Unknown::missing_at("joints[].washer.inner_diameter", index), "whether it goes over the bolt");
            continue;
        };
        let thread = bolt.thread.diameter;
        if hole <= thread {
            findings.breach(
                subject(index, "washer"),
                Against::new(hole.mm(), thread.mm(), "mm"),
                format_args!(
                    "joint {} has a washer with a {:.2} mm hole on a {:.2} mm thread",
                    joint.id,
                    hole.mm(),
                    thread.mm()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use std::sync::Arc;

    #[test]
    fn a_hole_too_small_is_blocked() {
        let with = |hole: Option<f64>| {
            finding("washer-fit", |p| Arc::make_mut(joint(p).washer.as_mut().unwrap()).inner_diameter = hole.map(mm))
        };
        // A 7/16 washer, 15/32 in, on M12.
        assert_eq!(
            with(Some(11.906)).unwrap().message,
            "joint frame-side has a washer with a 11.91 mm hole on a 12.00 mm thread"
        );
        assert!(with(Some(12.0)).is_some());
        assert!(with(Some(12.001)).is_none());
        assert!(with(None).is_some_and(|f| f.unknown));
    }
}
