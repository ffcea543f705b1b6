//! At the friction aimed by, the planned torque leaves the bolt under its proof load.
//!
//! Over proof only at the lowest credible friction is a warning.

use super::run::finding::Against;
use super::run::joints::{strength_source, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-over-proof",
    title: "the planned preload stays under the bolt's proof load",
    severity: Severity::Block,
    source: Source::new("ISO 898-1, proof loads; SAE J429, proof loads", "", Seen::Opened),
    needs: &["joints.planned_torque", "joints.bolt", "joints.finish"],
    remedy: "Set less torque; replace a bolt that was already tightened over proof.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        let preload = match figures.preload {
            Ok(preload) => preload,
            Err(unknown) => {
                findings.unknown(unknown, "the joint's preload");
                continue;
            }
        };
        // No proof stress is published for stainless bolts; joint-into-yield judges those.
        let (Some(likely), Some(greatest)) = (preload.nominal.proof_share, preload.max.proof_share) else { continue };
        let (severity, share, at) = if likely > 1.0 {
            (Severity::Block, likely, "")
        } else if greatest > 1.0 {
            (Severity::Warn, greatest, " at the lowest friction")
        } else {
            continue;
        };
        findings.resting_on(strength_source(joint)).breach_as(
            severity,
            subject(index, "planned_torque"),
            Against::new(share, 1.0, "share"),
            format_args!("joint {} is stretched to {:.0} % of proof load{at}", joint.id, (share * 100.0).ceil()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Torque;

    #[test]
    fn over_proof_is_blocked_and_perhaps_over_is_warned_of() {
        // M12 8.8: proof 48.9 kN by the printed table; 130 N m at K 0.20 is 54.2 kN, 111 %.
        let at =
            |torque: f64| finding("joint-over-proof", |p| joint(p).planned_torque = Some(Torque::from_n_m(torque)));
        let over = at(130.0).unwrap();
        assert_eq!(over.severity, Severity::Block);
        assert_eq!(over.message, "joint frame-side is stretched to 111 % of proof load");
        // 110 N m: 45.8 kN likely, 50.9 kN at K 0.18.
        assert_eq!(at(110.0).unwrap().severity, Severity::Warn);
        assert!(at(88.0).is_none());
    }

    #[test]
    fn exactly_proof_is_allowed() {
        let share = report(|_| ()).figures.joints[0].preload.unwrap().nominal.proof_share.unwrap();
        let at = |factor: f64| {
            finding("joint-over-proof", |p| {
                joint(p).planned_torque = Some(Torque::from_n_m(88.0 / share * factor));
            })
        };
        assert_eq!(at(1.0 - 1e-9).unwrap().severity, Severity::Warn);
        assert_eq!(at(1.0 + 1e-9).unwrap().severity, Severity::Block);
    }

    #[test]
    fn an_unknown_bolt_is_not_clear() {
        assert_ne!(verdict(|p| joint(p).bolt = None), Verdict::Clear);
    }
}
