//! Laden and hitched, the fitted gear keeps the least departure angle the shop asks for.

use super::run::finding::Against;
use super::run::words::Degrees;
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
    let Some(limit) = case.plan.limits.departure_laden_min else { return };
    match case.figures.laden.departure {
        Err(unknown) => findings.unknown(unknown, "the laden departure angle"),
        Ok(governed) => {
            let against = Against::new(governed.angle.deg(), limit.deg(), "deg");
            if governed.angle >= limit {
                return findings.keeps("limits.departure_laden_min_deg", against);
            }
            findings.breach(
                "limits.departure_laden_min_deg",
                against,
                format_args!(
                    "laden departure angle {} is under the {} asked for; {} governs",
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
