//! The least clamp carries the load across the bolts by friction, 1.8 fold: a joint that slips works loose.

use super::run::{figures::Known, stack::Stacked};
use super::{Case, Findings, Rule, Severity};
use crate::{calc::joint::slip, rules::run::finding::Against, units::Force};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-slips",
    title: "the clamp holds the load across the bolts by friction",
    severity: Severity::Review,
    source: slip::VDI_SOURCE,
    needs: &["joints.stack.shear", "joints.stack.friction_share", "joints.planned_torque"],
    remedy: "Tighten more evenly, use more or larger bolts, or clean and roughen the faces.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks().filter(Stacked::is_loaded) {
        match forces(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the joint slips"),
            Ok([asked, allowed]) if allowed < asked => findings.breach(
                stacked.subject("shear"),
                Against::new(asked.kn(), allowed.kn(), "kn"),
                format_args!(
                    "joint {} needs {:.1} kN of clamp against slipping; {:.1} kN are sure",
                    stacked.joint.id,
                    asked.kn(),
                    allowed.kn()
                ),
            ),
            Ok(_) => {}
        }
    }
}

/// Returns the clamp that is needed, and the least there is.
fn forces(stacked: &Stacked<'_>) -> Known<[Force; 2]> {
    let shear = stacked.known(stacked.stack.shear, "joints[].stack.shear")?;
    let tension = stacked.tension()?;
    let friction = stacked.known(stacked.stack.friction, "joints[].stack.friction_share")?;
    let interfaces = stacked.known(stacked.stack.interfaces, "joints[].stack.interface_count")?;
    let [lost, least] = stacked.clamp(tension)?;
    // A hitch is pushed and pulled: the load changes its direction.
    let needed = slip::clamp_needed(shear, friction, interfaces, slip::SAFETY_ALTERNATING)
        .map_err(|_| stacked.lacks("joints[].stack.friction_share"))?;
    Ok([needed + lost, least])
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::{rules::Verdict, units::Force};

    fn at(shear: f64) -> Option<crate::rules::Finding> {
        finding("joint-slips", |p| stack(p).shear = Some(Force::from_kn(shear)))
    }

    #[test]
    fn a_joint_that_may_slip_is_reviewed() {
        // 88 N·m at K 0.22 is 33.33 kN; 4 kN take four fifths of themselves: 30.13 kN hold 30.13 · 0.15 / 1.8 = 2.511 kN.
        assert!(at(2.51).is_none() && at(2.512).is_some());
        let said = at(4.0).unwrap().message;
        assert!(
            said.starts_with("joint frame-side needs 51.2 kN of clamp against slipping; 33.3 kN are sure"),
            "{said}"
        );
    }

    #[test]
    fn unknown_friction_is_not_clear() {
        assert_ne!(verdict(|p| stack(p).friction = None), Verdict::Clear);
    }
}
