//! A trailer for a fifth wheel or a gooseneck does not hang on a ball behind the bumper.
//!
//! A plan names a receiver, a ball mount and a ball; it has no fifth wheel. Its values D and U and its window of 15 to 25 %
//! are worked out by the calculators. A plan goes no further, because no text at hand prints what it would be held
//! against: the ratings of the fifth wheel, of its rails and of the king pin, the vehicle's own rating for a load in its
//! bed, and the room between cab and trailer in a turn. What is not known blocks.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::trailer::DrawbarKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fifth-wheel-on-ball",
    title: "a trailer for a fifth wheel is not planned behind a ball",
    severity: Severity::Block,
    source: Source::new("a king pin and a ball coupler do not go together", "", Seen::Derived),
    needs: &["trailer.drawbar"],
    remedy: "Plan another trailer, or work out D, U and the share on the pin by themselves and have the makers of vehicle and \
             fifth wheel say the rest.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    match trailer.drawbar {
        Some(DrawbarKind::FifthWheel) => findings.add(
            "trailer.drawbar",
            format_args!(
                "the trailer hangs on a fifth wheel; a plan has a ball behind the rear axle, and no ratings of a fifth \
                 wheel, a king pin or a load over the axle"
            ),
        ),
        // Few entries of light trailers say how they hang, and the coupler that they name says it too.
        None if trailer.coupler.is_none() && case.plan.coupler.is_none() => findings.unknown_as_review(
            "trailer.drawbar",
            format_args!("nobody says how the trailer hangs on, and no coupler is named"),
        ),
        Some(DrawbarKind::Free | DrawbarKind::CentreAxle) | None => (),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::trailer::DrawbarKind;
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Severity};

    fn hung(kind: Option<DrawbarKind>) -> Option<Finding> {
        finding("fifth-wheel-on-ball", move |p| trailer(p).drawbar = kind)
    }

    #[test]
    fn a_king_pin_does_not_go_on_a_ball() {
        assert_eq!(hung(Some(DrawbarKind::FifthWheel)).map(|found| found.severity), Some(Severity::Block));
        assert!(hung(Some(DrawbarKind::Free)).is_none() && hung(Some(DrawbarKind::CentreAxle)).is_none());
    }

    #[test]
    fn a_trailer_of_which_neither_coupler_nor_drawbar_is_known_is_for_a_person() {
        let unknown = finding("fifth-wheel-on-ball", |p| {
            trailer(p).drawbar = None;
            trailer(p).coupler = None;
            p.coupler = None;
        });
        assert!(unknown.is_some_and(|found| found.unknown));
        assert!(hung(None).is_none(), "a coupler is named");
    }
}
