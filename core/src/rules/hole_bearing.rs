//! The wall of the hole bears the load across the bolt, should the joint slip: 2.4 d t Fu, three quarters of it.

use super::{
    Case, Findings, Rule, Severity,
    run::{
        figures::{Known, Unknown},
        finding::Against,
        stack::Stacked,
    },
};
use crate::{
    calc::joint::sheet::{self, Ahead, Aisc, PHI, Seat},
    error::CalcError,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "hole-bearing",
    title: "the hole's wall bears the load across the bolt",
    severity: Severity::Review,
    source: sheet::AISC_SOURCE,
    needs: &["joints.stack.shear", "joints.stack.plate_thickness_mm", "joints.stack.plate_tensile_mpa"],
    remedy: "Use a larger bolt, more bolts, or a thicker part.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        let Some(shear) = stacked.stack.shear else { continue };
        match bears(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the hole bears the load"),
            Ok(aisc) => {
                let most = aisc.bearing * PHI;
                if most < shear {
                    findings.breach(
                        stacked.subject("shear"),
                        Against::new(shear.kn(), most.kn(), "kn"),
                        format_args!(
                            "joint {} loads its hole with {:.1} kN across the bolt; the wall bears {:.1} kN",
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

/// Returns what the thinnest part bears at its hole, bearing and tear-out.
///
/// # Errors
///
/// The field that lacks, or that the formula refuses.
pub(super) fn bears(stacked: &Stacked<'_>) -> Known<Aisc> {
    let bolt = stacked.bolt()?;
    let seat = Seat {
        diameter: bolt.thread.diameter,
        hole: stacked.known(stacked.stack.hole_diameter, "joints[].stack.hole_diameter_mm")?,
        thickness: stacked.known(stacked.stack.plate_thickness, "joints[].stack.plate_thickness_mm")?,
        tensile: stacked.known(stacked.stack.plate_tensile, "joints[].stack.plate_tensile_mpa")?,
    };
    let edge = stacked.known(stacked.stack.edge_distance, "joints[].stack.edge_distance_mm")?;
    sheet::aisc(&seat, Ahead::Edge(edge)).map_err(|error| {
        let field = match &error {
            CalcError::Conflict { field: "distance_mm", .. } => "joints[].stack.edge_distance_mm",
            _ => "joints[].stack.hole_diameter_mm",
        };
        Unknown { index: stacked.lacks(field).index, ..Unknown::from_calc(field, &error) }
    })
}

/// Returns a force that both rules over the hole are held against, for their tests.
#[cfg(test)]
pub(super) fn kn(value: f64) -> Option<crate::units::Force> {
    Some(crate::units::Force::from_kn(value))
}

#[cfg(test)]
mod tests {
    use super::kn;
    use crate::rules::run::fixture::*;

    fn at(shear: f64) -> Option<crate::rules::Finding> {
        finding("hole-bearing", |p| stack(p).shear = kn(shear))
    }

    #[test]
    fn three_quarters_of_2_4_d_t_fu() {
        // 0.75 · 2.4 · 12 mm · 5 mm · 470 MPa = 50.76 kN.
        let over = at(51.0).unwrap();
        assert!(
            over.message
                .starts_with("joint frame-side loads its hole with 51.0 kN across the bolt; the wall bears 50.8")
        );
        assert!(at(50.759).is_none() && at(50.761).is_some());
    }

    #[test]
    fn a_part_nobody_measured_is_asked_for_once_there_is_a_load() {
        let lacking = |shear| {
            finding("hole-bearing", |p| {
                stack(p).plate_thickness = None;
                joint(p).stack.as_mut().unwrap().shear = shear;
            })
        };
        assert!(lacking(kn(1.0)).is_some_and(|finding| finding.unknown));
        assert!(lacking(None).is_none());
    }
}
