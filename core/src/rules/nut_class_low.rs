//! The nut belongs to the bolt the joint was made for, or is stronger; a thin nut never develops a bolt.
//!
//! A stronger bolt at the original torque still needs only the original nut, so the specified bolt counts where it is
//! known.

use super::Unknown;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::fastener::NutKind;
use crate::tables::{NutMatch, nut_matches};

/// The rule.
pub static RULE: Rule = Rule {
    id: "nut-class-low",
    title: "the nut is at least as strong as its bolt",
    severity: Severity::Block,
    source: Source::new("ISO 898-2 nut and bolt pairs; SAE J995 nut grades", "", Seen::Opened),
    needs: &["joints.nut", "joints.bolt", "receiver.joints"],
    remedy: "Use a full-height nut whose class is at least the first number of the bolt's.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(nut) = joint.nut.as_deref() else {
            if joint.specified_nut.is_some() {
                findings.unknown(Unknown::missing_at("joints[].nut", index), "what the bolt is screwed into");
            }
            continue;
        };
        if nut.kind == Some(NutKind::Thin) {
            findings.add(
                subject(index, "nut"),
                format_args!("joint {} has a thin nut, which never develops its bolt", joint.id),
            );
            continue;
        }
        let Some(class) = nut.class else {
            findings.no_limit(Unknown::missing_at("joints[].nut.property_class", index), "how strong the nut is");
            continue;
        };
        let bolt = joint.specified_bolt.as_deref().or(joint.bolt.as_deref()).and_then(|bolt| bolt.class);
        // A bolt without a class is the business of bolt-class-lower.
        let Some(bolt) = bolt else { continue };
        match nut_matches(bolt, class) {
            NutMatch::Same | NutMatch::Stronger => (),
            NutMatch::Weaker => findings.add(
                subject(index, "nut"),
                format_args!(
                    "joint {} has a class {class} nut for a {bolt} bolt; its threads may strip first",
                    joint.id
                ),
            ),
            NutMatch::OtherSystem => findings.add_as(
                Severity::Review,
                subject(index, "nut"),
                format_args!("joint {} pairs a class {class} nut with a {bolt} bolt: no common measure", joint.id),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{
        fastener::{NutClass, NutKind},
        upfit::Upfit,
    };
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use std::sync::Arc;

    fn with(class: Option<NutClass>, kind: NutKind) -> impl Fn(&mut Upfit) {
        move |p| {
            let nut = Arc::make_mut(joint(p).nut.as_mut().unwrap());
            nut.class = class;
            nut.kind = Some(kind);
        }
    }

    #[test]
    fn a_weak_or_thin_nut_is_blocked() {
        assert_eq!(
            message("nut-class-low", with(Some(NutClass::Iso6), NutKind::Regular)),
            "joint frame-side has a class 6 nut for a 8.8 bolt; its threads may strip first"
        );
        assert!(finding("nut-class-low", with(Some(NutClass::Iso8), NutKind::Thin)).is_some());
        assert!(finding("nut-class-low", with(Some(NutClass::Iso8), NutKind::Flange)).is_none());
        assert!(finding("nut-class-low", with(Some(NutClass::Iso10), NutKind::Regular)).is_none());
        assert!(
            finding("nut-class-low", with(Some(NutClass::Sae8), NutKind::Regular))
                .is_some_and(|f| f.severity == Severity::Review)
        );
    }

    #[test]
    fn an_unmarked_or_forgotten_nut_is_not_clear_and_a_tapped_hole_has_none() {
        assert_eq!(verdict(with(None, NutKind::Regular)), Verdict::Blocked);
        assert_eq!(verdict(|p| joint(p).nut = None), Verdict::Review);
        assert!(
            finding("nut-class-low", |p| {
                joint(p).nut = None;
                joint(p).specified_nut = None;
            })
            .is_none()
        );
    }
}
