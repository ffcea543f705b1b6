//! The least preload keeps the parts together under the load along the bolt.

use super::run::{
    figures::Known,
    finding::Against,
    stack::{Stacked, check_tension},
};
use super::{Case, Findings, Rule, Severity};
use crate::units::Force;

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
    check_tension(case, findings, "whether the parts separate", forces, |f, Against { value, limit, .. }| {
        write!(f, "loses {value:.1} kN of clamp under load; {limit:.1} kN are sure")
    });
}

/// Returns what the load takes off the clamp, and the least there is.
fn forces(stacked: &Stacked<'_>) -> Known<[Force; 2]> {
    stacked.clamp(stacked.tension()?)
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
