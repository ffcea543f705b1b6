//! Laden and hitched, the fitted gear keeps the least departure angle the shop asks for.

use super::run::limits::check_angle;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "departure-angle-laden",
    title: "the laden departure angle is large enough",
    severity: Severity::Review,
    source: Source::new("49 CFR 523.2, approach and departure angle, as quoted in an encyclopaedia", "", Seen::Opened),
    needs: &[
        "limits.departure_laden_min_deg",
        "vehicle.profile",
        "receiver.fits",
        "ball_mount",
        "items",
        "tongue_load",
    ],
    remedy: "Choose a receiver that sits higher, move load forward, or lower the tongue load within its window.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let words = ["laden departure angle", "the laden departure angle"];
    let (limit, governed) = (case.plan.limits.departure_laden_min, &case.figures.laden.departure);
    check_angle(case, findings, "limits.departure_laden_min_deg", limit, governed, words);
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Angle;

    #[test]
    fn too_small_an_angle_is_reviewed() {
        assert_eq!(
            message("departure-angle-laden", |p| p.limits.departure_laden_min = Some(Angle::from_deg(7.0))),
            "laden departure angle 5.6° is under the 7.0° asked for; receiver bottom governs"
        );
    }

    #[test]
    fn exactly_the_limit_is_allowed() {
        let at = report(|_| ()).figures.laden.departure.unwrap().angle;
        assert!(finding("departure-angle-laden", |p| p.limits.departure_laden_min = Some(at)).is_none());
        assert!(
            finding("departure-angle-laden", |p| p.limits.departure_laden_min = Some(Angle::from_deg(at.deg() + 1e-6)))
                .is_some()
        );
    }

    #[test]
    fn an_unknown_shape_is_not_clear_and_no_limit_is_no_question() {
        assert_ne!(verdict(|p| vehicle(p).rear.suspension_rate = None), Verdict::Clear);
        assert!(finding("departure-angle-laden", |p| p.limits.departure_laden_min = None).is_none());
    }
}
