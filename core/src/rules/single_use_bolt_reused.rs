//! A bolt that its maker allows once is never tightened a second time.
//!
//! Only matters when the bolt is single-use or was used before: a new plain bolt raises no question.

use super::Unknown;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "single-use-bolt-reused",
    title: "no single-use bolt is used twice",
    severity: Severity::Block,
    source: Source::new("US Army TB 43-0218, section III", "", Seen::Opened),
    needs: &["joints.bolt", "joints.bolt_reused"],
    remedy: "Fit a new bolt.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(bolt) = joint.bolt.as_deref() else { continue };
        match (bolt.single_use, joint.bolt_reused) {
            (Some(true), Some(true)) => findings.add(
                subject(index, "bolt_reused"),
                format_args!("joint {} uses {} again, which its maker allows once", joint.id, bolt.label),
            ),
            (Some(true), None) => {
                findings.unknown(Unknown::missing_at("joints[].bolt_reused", index), "a single-use bolt");
            }
            (None, Some(true)) => {
                findings.unknown(Unknown::missing_at("joints[].bolt.single_use", index), "a bolt that is used again");
            }
            (Some(false), _) | (Some(true) | None, Some(false)) | (None, None) => (),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use std::sync::Arc;

    fn with(single_use: Option<bool>, reused: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            Arc::make_mut(joint(p).bolt.as_mut().unwrap()).single_use = single_use;
            joint(p).bolt_reused = reused;
        }
    }

    #[test]
    fn a_second_use_is_blocked() {
        assert_eq!(verdict(with(Some(true), Some(true))), Verdict::Blocked);
        assert_eq!(verdict(with(Some(true), None)), Verdict::Review);
        assert_eq!(verdict(with(None, Some(true))), Verdict::Review);
        for (single_use, reused) in
            [(Some(true), Some(false)), (Some(false), Some(true)), (Some(false), None), (None, None)]
        {
            assert!(finding("single-use-bolt-reused", with(single_use, reused)).is_none());
        }
    }
}
