//! The least preload keeps the parts together under the load along the bolt.

use super::run::{figures::Known, stack::Stacked};
use super::{Case, Findings, Rule, Severity};
use crate::{rules::run::finding::Against, units::Force};

/// The rule.
pub static RULE: Rule = Rule {
    id: "joint-separates",
    title: "the parts stay together under load",
    severity: Severity::Review,
    source: crate::calc::joint::load_share::SOURCE,
    needs: &["joints.stack.tension", "joints.planned_torque"],
    remedy: "Use more or larger bolts, or find out the load share.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks().filter(Stacked::is_loaded) {
        match forces(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the parts separate"),
            Ok([asked, allowed]) if allowed < asked => findings.breach(
                stacked.subject("tension"),
                Against::new(asked.kn(), allowed.kn(), "kn"),
                format_args!(
                    "joint {} loses {:.1} kN of clamp under load; {:.1} kN are sure",
                    stacked.joint.id,
                    asked.kn(),
                    allowed.kn()
                ),
            ),
            Ok(_) => {}
        }
    }
}

/// Returns what the load takes off the clamp, and the least there is.
fn forces(stacked: &Stacked<'_>) -> Known<[Force; 2]> {
    let tension = stacked.known(stacked.stack.tension, "joints[].stack.tension")?;
    let [least, _] = stacked.preload()?;
    let [_, lost] = stacked.shares();
    Ok([tension * lost, least])
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::{rules::Verdict, units::Force};

    fn at(tension: f64, share: Option<f64>) -> Option<crate::rules::Finding> {
        finding("joint-separates", |p| {
            let stack = stack(p);
            (stack.tension, stack.bolt_share) = (Some(Force::from_kn(tension)), share);
        })
    }

    #[test]
    fn parts_that_separate_are_reviewed() {
        // 88 N·m at K 0.22 is 33.333 kN; with a fifth in the bolt it parts at 41.667 kN.
        assert!(at(41.66, Some(0.2)).is_none() && at(41.67, Some(0.2)).is_some());
        // Without a share the clamp is counted as losing everything.
        assert!(at(33.33, None).is_none() && at(33.34, None).is_some());
    }

    #[test]
    fn an_unknown_load_is_not_clear() {
        assert_ne!(verdict(|p| stack(p).tension = None), Verdict::Clear);
    }
}
