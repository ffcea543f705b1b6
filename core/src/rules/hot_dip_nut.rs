//! A hot-dip galvanised M8 or M10 has a nut that is tapped oversize and holds less than its class says.
//!
//! Whether it is galvanised is asked only where the greatest preload would be too much for such a nut.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::tables::{self, iso_10684};

/// The rule.
pub static RULE: Rule = Rule {
    id: "hot-dip-nut",
    title: "a galvanised M8 or M10 nut is held to its reduced proof load",
    severity: Severity::Block,
    source: iso_10684::SOURCE,
    needs: &["joints.bolt.hot_dip_galvanised", "joints.nut", "joints.planned_torque"],
    remedy: "Set less torque, or use fasteners with a thinner coat.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        let (Some(bolt), Some(nut), Ok(preload)) = (joint.bolt.as_deref(), joint.nut.as_deref(), figures.preload)
        else {
            continue;
        };
        if !iso_10684::is_weakened(&nut.thread) || bolt.hot_dip_galvanised == Some(false) {
            continue;
        }
        // A nut without a mark is the business of nut-class-low.
        let Some(class) = nut.class else { continue };
        let force = preload.max.force;
        let Ok(proof) = tables::nut_proof_galvanised(class, &nut.thread) else {
            let unknown = Unknown::because("joints[].nut.property_class", "has no printed load once it is galvanised");
            findings.unknown(Unknown { index: Some(index), ..unknown }, "what a galvanised nut holds");
            continue;
        };
        if force <= proof.load {
            continue;
        }
        if bolt.hot_dip_galvanised.is_none() {
            let unknown = Unknown::missing_at("joints[].bolt.hot_dip_galvanised", index);
            findings.unknown(unknown, "what its nut holds");
            continue;
        }
        findings.breach(
            subject(index, "nut"),
            Against::new(force.kn(), proof.load.kn(), "kn"),
            format_args!(
                "joint {} pulls its galvanised nut with up to {:.1} kN; such a nut is proved to {:.1} kN",
                joint.id,
                force.kn(),
                proof.load.kn()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{fastener::NutClass, thread::Thread, upfit::Upfit};
    use crate::rules::run::fixture::*;
    use crate::units::Torque;

    fn m10(torque: f64, galvanised: Option<bool>, class: NutClass) -> impl Fn(&mut Upfit) {
        move |p| {
            let joint = joint(p);
            let thread = Thread::read("M10").unwrap();
            for bolt in [&mut joint.bolt, &mut joint.specified_bolt] {
                Arc::make_mut(bolt.as_mut().unwrap()).thread = thread;
            }
            Arc::make_mut(joint.bolt.as_mut().unwrap()).hot_dip_galvanised = galvanised;
            joint.nut = Some(nut(class));
            Arc::make_mut(joint.nut.as_mut().unwrap()).thread = thread;
            joint.planned_torque = Some(Torque::from_n_m(torque));
        }
    }

    #[test]
    fn a_galvanised_m10_of_class_8_holds_42_2_kn() {
        // ISO 10684 prints 42.2 kN; at K 0.18 that is 75.96 N·m on an M10.
        let at = |torque: f64| finding("hot-dip-nut", m10(torque, Some(true), NutClass::Iso8));
        assert_eq!(
            at(80.0).unwrap().message,
            "joint frame-side pulls its galvanised nut with up to 44.4 kN; such a nut is proved to 42.2 kN"
        );
        assert!(at(75.959).is_none() && at(75.961).is_some());
        assert!(finding("hot-dip-nut", m10(80.0, Some(false), NutClass::Iso8)).is_none());
    }

    #[test]
    fn it_is_asked_only_where_it_matters() {
        let at = |torque: f64| finding("hot-dip-nut", m10(torque, None, NutClass::Iso8));
        assert!(at(80.0).is_some_and(|finding| finding.unknown));
        assert!(at(60.0).is_none());
        let unprinted = finding("hot-dip-nut", m10(20.0, Some(true), NutClass::Iso6));
        assert!(unprinted.is_some_and(|finding| finding.unknown));
        // M12 loses nothing that is printed.
        assert!(
            finding("hot-dip-nut", |p| {
                Arc::make_mut(joint(p).bolt.as_mut().unwrap()).hot_dip_galvanised = Some(true);
            })
            .is_none()
        );
    }
}
