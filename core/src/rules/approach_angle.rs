//! The front end keeps the least approach angle the shop asks for, unladen: load in the rear lifts the front.

use super::run::limits::check_angle;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "approach-angle",
    title: "the approach angle is large enough",
    severity: Severity::Review,
    source: Source::new("49 CFR 523.2, approach and departure angle, as quoted in an encyclopaedia", "", Seen::Opened),
    needs: &["limits.approach_min_deg", "vehicle.profile", "vehicle.front.tyres.loaded_radius_mm"],
    remedy: "Check what hangs at the front end, or agree on another limit.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let words = ["approach angle", "the approach angle"];
    let (limit, governed) = (case.plan.limits.approach_min, &case.figures.unladen.approach);
    check_angle(case, findings, "limits.approach_min_deg", limit, governed, words);
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Angle;

    #[test]
    fn too_small_an_angle_is_reviewed() {
        assert_eq!(
            message("approach-angle", |p| p.limits.approach_min = Some(Angle::from_deg(20.0))),
            "approach angle 18.8° is under the 20.0° asked for; front lip governs"
        );
    }

    #[test]
    fn exactly_the_limit_is_allowed() {
        let at = report(|_| ()).figures.unladen.approach.unwrap().angle;
        assert!(finding("approach-angle", |p| p.limits.approach_min = Some(at)).is_none());
        assert!(
            finding("approach-angle", |p| p.limits.approach_min = Some(Angle::from_deg(at.deg() + 1e-6))).is_some()
        );
    }

    #[test]
    fn an_unknown_shape_is_not_clear_and_no_limit_is_no_question() {
        assert_ne!(verdict(|p| vehicle(p).profile = None), Verdict::Clear);
        assert!(finding("approach-angle", |p| p.limits.approach_min = None).is_none());
    }
}
