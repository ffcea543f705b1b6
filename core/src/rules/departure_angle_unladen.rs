//! The fitted gear keeps the least departure angle the shop asks for, unladen.

use super::run::finding::Against;
use super::run::words::Degrees;
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
    let Some(limit) = case.plan.limits.departure_min else { return };
    match case.figures.unladen.departure {
        Err(unknown) => findings.unknown(unknown, "the departure angle"),
        Ok(governed) => {
            let against = Against::new(governed.angle.deg(), limit.deg(), "deg");
            if governed.angle >= limit {
                return findings.keeps("limits.departure_min_deg", against);
            }
            findings.breach(
                "limits.departure_min_deg",
                against,
                format_args!(
                    "departure angle {} is under the {} asked for; {} governs",
                    Degrees(governed.angle.deg()),
                    Degrees(limit.deg()),
                    case.point_label(governed.index),
                ),
            );
        }
    }
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
