//! Bolt and nut have one thread: an inch nut starts on a metric bolt of nearly its size, and then jams or strips.

use super::run::joints::{same_thread, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::thread::Thread;

/// The rule.
pub static RULE: Rule = Rule {
    id: "thread-clash",
    title: "bolt and nut have the same thread",
    severity: Severity::Block,
    source: Source::new("diameter and pitch of both threads", "", Seen::Derived),
    needs: &["joints.bolt", "joints.nut"],
    remedy: "Match bolt and nut; measure the pitch with a gauge when in doubt.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let (Some(bolt), Some(nut)) = (joint.bolt.as_deref(), joint.nut.as_deref()) else { continue };
        if same_thread(&bolt.thread, &nut.thread) {
            continue;
        }
        let tail = if nearly(&bolt.thread, &nut.thread) { "; they start together and then jam or strip" } else { "" };
        findings.add(
            subject(index, "nut"),
            format_args!("joint {} puts a {} nut on a {} bolt{tail}", joint.id, nut.thread, bolt.thread),
        );
    }
}

/// Returns whether two different threads are near enough to be mistaken: under 0.8 mm in diameter and 0.35 mm in pitch
/// (common practice, no source).
fn nearly(one: &Thread, other: &Thread) -> bool {
    (one.diameter - other.diameter).abs().mm() < 0.8 && (one.pitch - other.pitch).abs().mm() < 0.35
}

#[cfg(test)]
mod tests {
    use crate::model::thread::Thread;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use std::sync::Arc;

    #[test]
    fn an_inch_nut_on_a_metric_bolt_is_blocked() {
        let found = message("thread-clash", |p| Arc::make_mut(joint(p).nut.as_mut().unwrap()).thread = half_inch());
        assert!(found.ends_with("they start together and then jam or strip"), "{found}");
        assert!(finding("thread-clash", |_| ()).is_none());
        assert_eq!(verdict(|p| joint(p).nut = None), Verdict::Review);
    }

    #[test]
    fn a_fine_nut_on_a_coarse_bolt_is_blocked_too() {
        let found = finding("thread-clash", |p| {
            Arc::make_mut(joint(p).nut.as_mut().unwrap()).thread = Thread::metric(12.0, 1.25).unwrap();
        });
        assert!(found.is_some_and(|f| f.severity == Severity::Block));
    }
}
