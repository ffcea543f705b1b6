//! Stainless threads on stainless threads seize when they run dry.

use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::model::{
    fastener::{BoltClass, NutClass},
    finish::Lubricated,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "stainless-dry",
    title: "stainless on stainless is lubricated",
    severity: Severity::Review,
    source: Source::new("two articles on galling of stainless threads", "", Seen::Opened),
    needs: &["joints.bolt", "joints.nut", "joints.finish"],
    remedy: "Use anti-seize, run down slowly, and set the torque for that lubricant.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let bolt = joint.bolt.as_deref().and_then(|bolt| bolt.class);
        let nut = joint.nut.as_deref().and_then(|nut| nut.class);
        let stainless = matches!(bolt, Some(BoltClass::Stainless(_)))
            && matches!(nut, Some(NutClass::Stainless50 | NutClass::Stainless70 | NutClass::Stainless80));
        if !stainless {
            continue;
        }
        match joint.finish.as_deref().and_then(|finish| finish.lubricated) {
            Some(Lubricated::ThreadsOnly | Lubricated::Both) => {}
            Some(Lubricated::Dry | Lubricated::FaceOnly) => findings.add(
                subject(index, "finish"),
                format_args!(
                    "joint {} turns a stainless nut on a stainless bolt with dry threads: they seize",
                    joint.id
                ),
            ),
            None => {
                let unknown = Unknown::missing_at("joints[].finish.lubrication", index);
                findings.unknown(unknown, "whether stainless threads seize");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{
        fastener::{BoltClass, NutClass, StainlessClass},
        finish::Lubricated,
    };
    use crate::rules::run::fixture::*;

    fn with(nut_class: NutClass, lubricated: Option<Lubricated>) -> Option<crate::rules::Finding> {
        finding("stainless-dry", |p| {
            let joint = joint(p);
            Arc::make_mut(joint.bolt.as_mut().unwrap()).class = Some(BoltClass::Stainless(StainlessClass::C70));
            joint.nut = Some(nut(nut_class));
            Arc::make_mut(joint.finish.as_mut().unwrap()).lubricated = lubricated;
        })
    }

    #[test]
    fn dry_stainless_threads_seize() {
        let dry = with(NutClass::Stainless70, Some(Lubricated::Dry)).unwrap();
        assert_eq!(
            dry.message,
            "joint frame-side turns a stainless nut on a stainless bolt with dry threads: they seize"
        );
        assert!(with(NutClass::Stainless70, Some(Lubricated::FaceOnly)).is_some());
        assert!(with(NutClass::Stainless70, Some(Lubricated::ThreadsOnly)).is_none());
        assert!(with(NutClass::Iso8, Some(Lubricated::Dry)).is_none(), "a steel nut does not gall so");
        assert!(with(NutClass::Stainless70, None).is_some_and(|finding| finding.unknown));
    }
}
