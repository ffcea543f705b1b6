//! A washer leaves room for the fillet under the head: a hole that only just goes over the thread sits on it.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::compare_fasteners::LEAST_GAP_MM;

/// The rule.
pub static RULE: Rule = Rule {
    id: "washer-on-fillet",
    title: "the washer leaves room for the fillet under the head",
    severity: Severity::Review,
    source: Source::new("0.35 mm of room around the bolt", "", Seen::CommonPractice),
    needs: &["joints.washer", "joints.bolt"],
    remedy: "Use the washer made for this thread.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        // A hole that is not known, or does not go over the thread at all, is the business of washer-fit.
        let (Some(washer), Some(bolt)) = (joint.washer.as_deref(), joint.bolt.as_deref()) else { continue };
        let Some(hole) = washer.inner_diameter else { continue };
        let gap = (hole - bolt.thread.diameter).mm();
        if 0.0 < gap && gap + 1e-9 < LEAST_GAP_MM {
            findings.breach(
                subject(index, "washer"),
                Against::new(gap, LEAST_GAP_MM, "mm"),
                format_args!(
                    "joint {} has a washer with {gap:.2} mm of room around the bolt; {LEAST_GAP_MM} mm keep it off the \
                     fillet",
                    joint.id
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::rules::run::fixture::*;

    fn at(hole: Option<f64>) -> Option<crate::rules::Finding> {
        finding("washer-on-fillet", |p| {
            Arc::make_mut(joint(p).washer.as_mut().unwrap()).inner_diameter = hole.map(mm);
        })
    }

    #[test]
    fn a_third_of_a_millimetre_is_the_least() {
        assert_eq!(
            at(Some(12.32)).unwrap().message,
            "joint frame-side has a washer with 0.32 mm of room around the bolt; 0.35 mm keep it off the fillet"
        );
        assert!(at(Some(12.35)).is_none() && at(Some(12.349)).is_some());
        // What does not go over the bolt, or is not known, is told elsewhere.
        assert!(at(Some(12.0)).is_none() && at(None).is_none());
        assert_ne!(verdict_without_hole(), crate::rules::Verdict::Clear);
    }

    fn verdict_without_hole() -> crate::rules::Verdict {
        verdict(|p| Arc::make_mut(joint(p).washer.as_mut().unwrap()).inner_diameter = None)
    }
}
