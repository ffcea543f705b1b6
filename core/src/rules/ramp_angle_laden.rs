//! Laden and hitched, the belly keeps the least ramp angle the shop asks for.

use super::run::limits::check_angle;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ramp-angle-laden",
    title: "the laden ramp angle is large enough",
    severity: Severity::Review,
    source: Source::new("40 CFR 86.084-2, ramp breakover angle", "", Seen::Opened),
    needs: &["limits.ramp_min_deg", "vehicle.profile", "items", "tongue_load"],
    remedy: "Load the vehicle less, or agree on another limit.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let words = ["laden ramp angle", "the laden ramp angle"];
    let (limit, governed) = (case.plan.limits.ramp_min, &case.figures.laden.ramp);
    check_angle(case, findings, "limits.ramp_min_deg", limit, governed, words);
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Angle;

    #[test]
    fn too_small_an_angle_is_reviewed() {
        assert_eq!(
            message("ramp-angle-laden", |p| p.limits.ramp_min = Some(Angle::from_deg(10.0))),
            "laden ramp angle 9.3° is under the 10.0° asked for; belly governs"
        );
    }

    #[test]
    fn exactly_the_limit_is_allowed() {
        let at = report(|_| ()).figures.laden.ramp.unwrap().angle;
        assert!(finding("ramp-angle-laden", |p| p.limits.ramp_min = Some(at)).is_none());
        assert!(finding("ramp-angle-laden", |p| p.limits.ramp_min = Some(Angle::from_deg(at.deg() + 1e-6))).is_some());
    }

    #[test]
    fn an_unknown_shape_is_not_clear_and_no_limit_is_no_question() {
        assert_ne!(verdict(|p| vehicle(p).front.suspension_rate = None), Verdict::Clear);
        assert!(finding("ramp-angle-laden", |p| p.limits.ramp_min = None).is_none());
    }
}
