//! The sheet ahead of the hole does not tear out under the load across the bolt: 1.2 Lc t Fu, three quarters of it.

use super::hole_bearing::bears;
use super::{Case, Findings, Rule, Severity, run::finding::Against};
use crate::calc::joint::sheet::{self, PHI};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tear-out",
    title: "the sheet ahead of the hole does not tear out",
    severity: Severity::Review,
    source: sheet::AISC_SOURCE,
    needs: &["joints.stack.shear", "joints.stack.edge_distance_mm", "joints.stack.plate_tensile_mpa"],
    remedy: "Move the hole from the edge, or use more bolts or a thicker part.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        let Some(shear) = stacked.stack.shear else { continue };
        match bears(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the sheet tears out"),
            Ok(aisc) => {
                let most = aisc.tear_out * PHI;
                if most < shear {
                    findings.breach(
                        stacked.subject("shear"),
                        Against::new(shear.kn(), most.kn(), "kn"),
                        format_args!(
                            "joint {} pulls on the sheet with {:.1} kN; it tears out at {:.1} kN",
                            stacked.joint.id,
                            shear.kn(),
                            most.kn()
                        ),
                    );
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::hole_bearing::kn;
    use crate::rules::run::fixture::*;

    fn at(shear: f64) -> Option<crate::rules::Finding> {
        finding("tear-out", |p| stack(p).shear = kn(shear))
    }

    #[test]
    fn three_quarters_of_1_2_lc_t_fu() {
        // 0.75 · 1.2 · (25 − 13.5/2) mm · 5 mm · 470 MPa = 38.60 kN.
        let over = at(40.0).unwrap();
        assert!(over.message.starts_with("joint frame-side pulls on the sheet with 40.0 kN; it tears out at 38.6 kN"));
        assert!(at(38.598).is_none() && at(38.6).is_some());
    }

    #[test]
    fn a_hole_with_nothing_ahead_of_it_is_not_clear() {
        // The rule before this one has asked for the distance already, so one word on it stands.
        for edge in [Some(mm(6.0)), None] {
            let unclear = verdict(|p| stack(p).edge_distance = edge);
            assert_ne!(unclear, crate::rules::Verdict::Clear, "{edge:?}");
        }
    }
}
