//! The fitted gear keeps the least departure angle the shop asks for, unladen.

use super::run::limits::check_angle;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "departure-angle-unladen",
    title: "the unladen departure angle is large enough",
    severity: Severity::Review,
    source: Source::new("49 CFR 523.2, approach and departure angle, as quoted in an encyclopaedia", "", Seen::Opened),
    needs: &[
        "limits.departure_min_deg",
        "vehicle.profile",
        "receiver.fits",
        "ball_mount",
        "vehicle.rear.tyres.loaded_radius_mm",
    ],
    remedy: "Choose a receiver that sits higher, or take the ball mount out when not towing.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let words = ["departure angle", "the departure angle"];
    let (limit, governed) = (case.plan.limits.departure_min, &case.figures.unladen.departure);
    check_angle(case, findings, "limits.departure_min_deg", limit, governed, words);
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Angle;

    #[test]
    fn too_small_an_angle_is_reviewed() {
        assert_eq!(
            message("departure-angle-unladen", |p| p.limits.departure_min = Some(Angle::from_deg(12.0))),
            "departure angle 11.5° is under the 12.0° asked for; receiver bottom governs"
        );
    }

    #[test]
    fn exactly_the_limit_is_allowed() {
        let at = report(|_| ()).figures.unladen.departure.unwrap().angle;
        assert!(finding("departure-angle-unladen", |p| p.limits.departure_min = Some(at)).is_none());
        assert!(
            finding("departure-angle-unladen", |p| p.limits.departure_min = Some(Angle::from_deg(at.deg() + 1e-6)))
                .is_some()
        );
    }

    #[test]
    fn an_unknown_shape_is_not_clear_and_no_limit_is_no_question() {
        assert_ne!(verdict(|p| fit(p).points.clear()), Verdict::Clear);
        assert!(finding("departure-angle-unladen", |p| p.limits.departure_min = None).is_none());
    }
}
