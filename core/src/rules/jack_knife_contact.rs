//! Up to the articulation that the shop asks for, trailer and vehicle do not touch.

use super::run::finding::Against;
use super::run::words::Degrees;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::swing::Meets;

/// The rule.
pub static RULE: Rule = Rule {
    id: "jack-knife-contact",
    title: "vehicle and trailer do not touch in a tight turn",
    severity: Severity::Review,
    source: Source::new("geometry in plan: trailer nose and vehicle tail about the ball", "", Seen::Derived),
    needs: &["limits.articulation_min_deg", "vehicle.tail", "trailer.nose", "ball_mount.length_mm", "receiver.fits"],
    remedy: "Take a longer ball mount within its rating, or tell the driver the angle at which it touches.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (Some(limit), Some(contact)) = (case.plan.limits.articulation_min, &case.figures.turning.contact) else {
        return;
    };
    let contact = match contact {
        Ok(contact) => contact,
        Err(unknown) => return findings.unknown(*unknown, "the articulation at which they touch"),
    };
    let Some((angle, meets)) = contact.first else { return };
    let against = Against::new(angle.deg(), limit.deg(), "deg");
    if angle >= limit {
        return findings.keeps("limits.articulation_min_deg", against);
    }
    let what = match meets {
        Meets::CornerOnFace if case.plan.hangs_in_bed() => "the trailer's corner meets the cab",
        Meets::CornerOnFace => "the trailer's corner meets the vehicle's rear",
        Meets::VehicleCornerOnFront => "the vehicle's corner meets the trailer's front",
        Meets::CornerOnSide => "the trailer's corner meets the vehicle's side",
        Meets::VehicleCornerOnSide => "the vehicle's corner meets the trailer's side",
        Meets::Point(index) => {
            let nose = case.plan.trailer.as_deref().and_then(|trailer| trailer.nose.as_ref());
            nose.and_then(|nose| nose.points.get(index)).map_or("a point of the nose meets the vehicle", |it| &it.label)
        }
    };
    findings.breach(
        "limits.articulation_min_deg",
        against,
        format_args!(
            "they touch at {}, {what}; {} without contact is asked for",
            Degrees(angle.deg()),
            Degrees(limit.deg())
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;
    use crate::units::Angle;

    fn asked(limit: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            seen_from_above(p);
            // The tail is wide enough for the nose's corner to meet its face.
            vehicle(p).tail.as_mut().unwrap().half_width = Some(mm(2000.0));
            trailer(p).nose.as_mut().unwrap().behind = Some(mm(1100.0));
            p.limits.articulation_min = Some(Angle::from_deg(limit));
        }
    }

    /// Worked contact, derived: corner 1100 behind the ball and 1000 aside, face 250 ahead of it, 57.4076°.
    #[test]
    fn an_early_contact_is_reviewed_and_exactly_the_limit_is_not() {
        let at = report(asked(60.0)).figures.turning.contact.unwrap().unwrap().first.unwrap().0;
        assert!((at.deg() - 57.4076).abs() < 0.5e-4, "{}", at.deg());
        assert_eq!(
            message("jack-knife-contact", asked(60.0)),
            "they touch at 57.4°, the trailer's corner meets the vehicle's rear; 60.0° without contact is asked for"
        );
        assert!(
            finding("jack-knife-contact", |p| {
                asked(60.0)(p);
                p.limits.articulation_min = Some(at);
            })
            .is_none()
        );
        assert!(finding("jack-knife-contact", asked(57.5)).is_some());
    }

    #[test]
    fn an_unknown_nose_is_asked_for_and_no_limit_is_no_question() {
        let found = finding("jack-knife-contact", |p| {
            asked(60.0)(p);
            trailer(p).nose = None;
        });
        assert!(found.is_some_and(|found| found.unknown && found.subject == "trailer.nose"));
        assert!(finding("jack-knife-contact", seen_from_above).is_none());
    }
}
