//! A bolt that was tightened before goes in again only when somebody looked at it and found it good.

use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::calc::compare_fasteners::reuse::may_be_used_again;

/// The rule.
pub static RULE: Rule = Rule {
    id: "reused-bolt-inspection",
    title: "a used bolt was inspected and found good",
    severity: Severity::Block,
    source: Source::new("US Army TB 43-0218, sections III to V", "", Seen::Opened),
    needs: &["joints.bolt_reused", "joints.bolt_inspection", "joints.bolt"],
    remedy: "Fit a new bolt, or inspect this one in full.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        // Whether a bolt is a used one at all is asked where it must not be.
        let (Some(true), Some(bolt)) = (joint.bolt_reused, joint.bolt.as_deref()) else { continue };
        let found = joint.bolt_inspection.unwrap_or_default();
        let reuse = may_be_used_again(&found, bolt);
        match reuse.may {
            Some(true) => {}
            Some(false) => {
                let worst = reuse.reasons.iter().max_by_key(|reason| reason.kind.weight());
                let why = worst.map_or("it was found bad", |reason| reason.kind.words());
                findings.add(
                    subject(index, "bolt_inspection"),
                    format_args!("joint {} uses a bolt again: {why}", joint.id),
                );
            }
            None => {
                let unknown = Unknown::missing_at("joints[].bolt_inspection", index);
                let unknown = match joint.bolt_inspection {
                    Some(_) => Unknown { why: "does not answer every question", ..unknown },
                    None => unknown,
                };
                findings.unknown(unknown, "whether the bolt may be used again");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::calc::compare_fasteners::reuse::Inspection;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn with(inspection: Option<Inspection>) -> Option<crate::rules::Finding> {
        finding("reused-bolt-inspection", |p| {
            joint(p).bolt_reused = Some(true);
            joint(p).bolt_inspection = inspection;
        })
    }

    #[test]
    fn what_is_damaged_pitted_rusted_or_stretched_is_discarded() {
        assert!(with(Some(good_used())).is_none());
        let bad = [
            Inspection { threads_damaged: Some(true), ..good_used() },
            Inspection { rust_stays: Some(true), ..good_used() },
            Inspection { pitted: Some(true), ..good_used() },
            Inspection { stretched: Some(true), ..good_used() },
            Inspection { locks: Some(true), ..good_used() },
        ];
        for inspection in bad {
            let found = with(Some(inspection)).unwrap();
            assert_eq!((found.severity, found.unknown), (Severity::Block, false), "{}", found.message);
            assert!(found.message.starts_with("joint frame-side uses a bolt again: "));
        }
    }

    #[test]
    fn nobody_having_looked_is_not_good() {
        assert!(with(None).is_some_and(|found| found.unknown));
        assert!(with(Some(Inspection { pitted: None, ..good_used() })).is_some_and(|found| found.unknown));
        assert_eq!(verdict(|p| joint(p).bolt_reused = Some(true)), Verdict::Review);
        assert!(finding("reused-bolt-inspection", |_| ()).is_none(), "a new bolt raises no question");
    }
}
