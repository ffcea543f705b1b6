//! While it is turned, a bolt bears tension and torsion together; together they stay under its yield.
//!
//! Over it at the friction aimed by blocks; over it only at the worst of the friction band is a warning.

use super::Unknown;
use super::run::finding::Against;
use super::run::joints::{strength_source, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-into-yield",
    title: "tension and torsion together stay under the bolt's yield",
    severity: Severity::Block,
    source: Source::new("VDI 2230 part 1, combined stress while tightening", "", Seen::Opened),
    needs: &["joints.planned_torque", "joints.bolt", "joints.finish"],
    remedy: "Set less torque; discard bolt and nut that were tightened into yield, and suspect a captive nut.",
    check,
};

/// Up to this share of proof a bolt stays under yield while it is turned, whatever slides under its head: proof is at
/// most 0.94 of yield, and torsion raises the stress by at most 1.4 up to a thread friction of 0.26 (derived).
const ROOM_FOR_TORSION: f64 = 0.75;

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, (joint, figures)) in case.joints().enumerate() {
        let Ok(preload) = figures.preload else { continue };
        let Some(likely) = preload.nominal.yield_share else {
            if preload.max.proof_share.is_none_or(|share| share > ROOM_FOR_TORSION) {
                findings
                    .unknown(Unknown::missing_at("joints[].bolt.bearing_diameter_mm", index), "torsion in the bolt");
            }
            continue;
        };
        let worst = figures.worst_yield_share.unwrap_or(likely);
        let (severity, share, at) = if likely >= 1.0 {
            (Severity::Block, likely, "")
        } else if worst >= 1.0 {
            (Severity::Warn, worst, " at the worst friction")
        } else {
            continue;
        };
        findings.resting_on(strength_source(joint)).breach_as(
            severity,
            subject(index, "planned_torque"),
            Against::new(share, 1.0, "share"),
            format_args!("joint {} reaches {:.0} % of yield, torsion included{at}", joint.id, (share * 100.0).ceil()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Torque;

    #[test]
    fn into_yield_is_blocked() {
        let at =
            |torque: f64| finding("joint-into-yield", |p| joint(p).planned_torque = Some(Torque::from_n_m(torque)));
        assert_eq!(at(130.0).unwrap().severity, Severity::Block);
        assert!(at(88.0).is_none());
        let share = report(|_| ()).figures.joints[0].preload.unwrap().nominal.yield_share.unwrap();
        assert_eq!(at(88.0 / share * (1.0 + 1e-9)).unwrap().severity, Severity::Block);
        assert_eq!(at(88.0 / share * (1.0 - 1e-9)).unwrap().severity, Severity::Warn);
        assert_ne!(verdict(|p| joint(p).finish = None), Verdict::Clear);
    }
}
