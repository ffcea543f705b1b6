//! A washer reaches at least as far out as the face that turns on it: a smaller one carries the pressure on less.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::model::fastener::{HeadKind, NutKind};
use crate::tables;
use crate::units::Length;

/// The rule.
pub static RULE: Rule = Rule {
    id: "washer-covers-face",
    title: "the washer is as wide as the face on it",
    severity: Severity::Review,
    source: Source::new("bearing area of washer and face", "", Seen::Derived),
    needs: &["joints.washer", "joints.bolt", "joints.nut"],
    remedy: "Use the washer made for this bolt.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let (Some(washer), Some(bolt)) = (joint.washer.as_deref(), joint.bolt.as_deref()) else { continue };
        let hexagon = tables::bearing_diameter(&bolt.thread);
        // The widest face that may come to lie on it; a face nobody knows is asked for where the pressure is judged.
        let head = bolt.bearing_diameter.or(hexagon.filter(|_| bolt.head == Some(HeadKind::Hex)));
        let nut = joint.nut.as_deref().and_then(|nut| {
            let plain = matches!(nut.kind, Some(NutKind::Regular | NutKind::Thin));
            nut.bearing_diameter.or(hexagon.filter(|_| plain))
        });
        let Some(face) = head.into_iter().chain(nut).reduce(Length::max) else { continue };
        let Some(outer) = washer.outer_diameter else {
            findings.unknown(Unknown::missing_at("joints[].washer.outer_diameter", index), "what the washer covers");
            continue;
        };
        if outer < face {
            findings.breach(
                subject(index, "washer"),
                Against::new(outer.mm(), face.mm(), "mm"),
                format_args!(
                    "joint {} has a washer {:.1} mm wide under a face of {:.1} mm",
                    joint.id,
                    outer.mm(),
                    face.mm()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::rules::run::fixture::*;

    fn at(outer: Option<f64>) -> Option<crate::rules::Finding> {
        finding("washer-covers-face", |p| {
            Arc::make_mut(joint(p).washer.as_mut().unwrap()).outer_diameter = outer.map(mm);
        })
    }

    #[test]
    fn as_wide_as_the_hexagons_face() {
        // ISO 4014, from memory: the face of an M12 hexagon is 16.63 mm wide.
        assert_eq!(
            at(Some(16.0)).unwrap().message,
            "joint frame-side has a washer 16.0 mm wide under a face of 16.6 mm"
        );
        assert!(at(Some(16.63)).is_none() && at(Some(16.629)).is_some());
        assert!(at(None).is_some_and(|finding| finding.unknown));
        // A flange that was measured is wider.
        let flange = finding("washer-covers-face", |p| {
            Arc::make_mut(joint(p).bolt.as_mut().unwrap()).bearing_diameter = Some(mm(26.0));
        });
        assert_eq!(flange.unwrap().limit, Some(26.0));
    }
}
