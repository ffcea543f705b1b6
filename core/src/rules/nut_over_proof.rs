//! At the friction aimed by, the planned torque leaves the nut under its proof load: its threads do not strip.
//!
//! Over proof only at the lowest credible friction is a warning. A nut without a printed row is no business of this rule:
//! whether it belongs to its bolt at all is.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "nut-over-proof",
    title: "the planned preload stays under the nut's proof load",
    severity: Severity::Block,
    source: Source::new("ISO 898-2 and ISO 898-6, proof loads of nuts; SAE J995, proof stresses", "", Seen::Opened),
    needs: &["joints.planned_torque", "joints.nut", "joints.bolt", "joints.finish"],
    remedy: "Use a full-height nut of the bolt's class, or set less torque.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        // A preload nobody knows is the business of joint-over-proof.
        let (Some(nut), Ok(preload)) = (joint.nut.as_deref(), figures.preload) else { continue };
        let Some(Ok(proof)) = nut.class.map(|class| tables::nut_proof(class, &nut.thread)) else { continue };
        let [likely, greatest] = [preload.nominal.force, preload.max.force];
        let (severity, force, at) = if proof.load < likely {
            (Severity::Block, likely, "")
        } else if proof.load < greatest {
            (Severity::Warn, greatest, " at the lowest friction")
        } else {
            continue;
        };
        findings.breach_as(
            severity,
            subject(index, "nut"),
            Against::new(force.kn(), proof.load.kn(), "kn"),
            format_args!(
                "joint {} pulls its nut with {:.1} kN{at}; the nut is proved to {:.1} kN",
                joint.id,
                force.kn(),
                proof.load.kn()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::fastener::NutClass;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Torque;

    fn at(class: NutClass, torque: f64) -> Option<crate::rules::Finding> {
        finding("nut-over-proof", |p| {
            joint(p).nut = Some(nut(class));
            joint(p).planned_torque = Some(Torque::from_n_m(torque));
        })
    }

    #[test]
    fn the_nut_must_hold_what_the_torque_pulls() {
        // ISO 898-2 prints 59.0 kN for an M12 nut of class 6: at K 0.20 that is 141.6 N·m.
        assert_eq!(
            at(NutClass::Iso6, 150.0).unwrap().message,
            "joint frame-side pulls its nut with 62.5 kN; the nut is proved to 59.0 kN"
        );
        assert_eq!(at(NutClass::Iso6, 141.6).unwrap().severity, Severity::Warn);
        assert_eq!(at(NutClass::Iso6, 141.6001).unwrap().severity, Severity::Block);
        // At K 0.18 it is 127.44 N·m.
        assert!(at(NutClass::Iso6, 127.43).is_none() && at(NutClass::Iso6, 127.45).is_some());
        // Class 8 prints 74.2 kN.
        assert_eq!(at(NutClass::Iso8, 200.0).unwrap().limit, Some(74.2));
    }

    #[test]
    fn a_thin_nut_holds_as_little_as_its_class_says() {
        // Class 04: 380 MPa on 84.3 mm² is 32.0 kN.
        let thin = at(NutClass::Iso04, 88.0).unwrap();
        assert!(thin.limit.is_some_and(|limit| (limit - 32.0).abs() < 0.05), "{:?}", thin.limit);
        let unmarked = verdict(|p| {
            std::sync::Arc::make_mut(joint(p).nut.as_mut().unwrap()).class = None;
        });
        assert_ne!(unmarked, Verdict::Clear, "a nut without a mark is asked for elsewhere");
    }
}
