//! The bolt bears tension and shear together, should the joint slip and the thread lie in the shear plane.

use super::{
    Case, Findings, Rule, Severity,
    run::{
        figures::{Known, Unknown},
        finding::Against,
        stack::Stacked,
    },
};
use crate::calc::joint::resistance::{self, CombinedRule, ShearPlane};
use crate::units::Force;

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-sheared",
    title: "the bolt bears tension and shear together",
    severity: Severity::Review,
    source: resistance::EC3_SOURCE,
    needs: &["joints.stack.shear", "joints.stack.tension", "joints.bolt"],
    remedy: "Use a larger or stronger bolt, or more of them.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks().filter(Stacked::is_loaded) {
        match sum(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the bolt shears"),
            // A sum that is exactly one holds; a hair of room for binary fractions.
            Ok(sum) if 1.0 + 1e-9 < sum => findings.breach(
                stacked.subject("shear"),
                Against::new(sum, 1.0, "share"),
                format_args!(
                    "joint {} uses {:.0} % of what its bolt bears in shear and tension together, should it slip",
                    stacked.joint.id,
                    (sum * 100.0).ceil()
                ),
            ),
            Ok(_) => {}
        }
    }
}

/// Returns the sum of the rule; a class whose resistance is not printed is for a person.
fn sum(stacked: &Stacked<'_>) -> Known<f64> {
    let bolt = stacked.bolt()?;
    let class = stacked.known(bolt.class, "joints[].bolt.property_class")?;
    let bears = resistance::ec3(class, &bolt.thread, ShearPlane::Thread, false).map_err(|_| Unknown {
        why: "has no printed resistance in shear",
        ..stacked.lacks("joints[].bolt.property_class")
    })?;
    let shear = stacked.known(stacked.stack.shear, "joints[].stack.shear")?;
    let tension = stacked.known(stacked.stack.tension, "joints[].stack.tension")?;
    let share = |load: Force, bears: Force| load / bears;
    let sum = CombinedRule::Ec3.sum(share(shear, bears.shear), share(tension, bears.tension));
    sum.map_err(|error| {
        let field = "joints[].stack.shear";
        Unknown { index: stacked.lacks(field).index, ..Unknown::from_calc(field, &error) }
    })
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Verdict};
    use crate::units::Force;

    fn at(shear: f64, tension: f64) -> Option<Finding> {
        finding("bolt-sheared", |p| {
            let stack = stack(p);
            stack.shear = Some(Force::from_kn(shear));
            stack.tension = Some(Force::from_kn(tension));
        })
    }

    #[test]
    fn shear_and_a_share_of_tension() {
        // EN 1993-1-8 (from memory): M12 of 8.8 bears 32.37 kN in shear and 48.56 kN in tension; 15 and 30 kN come to
        // 0.9047.
        assert!(at(15.0, 30.0).is_none());
        let over = at(20.0, 30.0).unwrap();
        assert!(over.message.starts_with("joint frame-side uses 106 % of what its bolt bears"), "{}", over.message);
        // Shear alone, to its last digit: 0.6 · 800 · 84.27 / 1.25.
        assert!(at(32.35, 0.0).is_none() && at(32.37, 0.0).is_some());
    }

    #[test]
    fn a_load_that_is_half_told_is_asked_for() {
        let half = verdict(|p| stack(p).tension = None);
        assert_ne!(half, Verdict::Clear);
    }
}
