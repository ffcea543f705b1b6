//! A trailer for a fifth wheel or a gooseneck does not hang on a ball behind the bumper.
//!
//! It hangs on a coupling in the bed, over the rear axle, which the plan then names.

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
    remedy: "Plan another trailer, or name the coupling in the bed that it is to hang on.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref().filter(|_| !case.plan.hangs_in_bed()) else { return };
    match trailer.drawbar {
        Some(DrawbarKind::FifthWheel) => findings.add(
            "trailer.drawbar",
            format_args!(
                "the trailer hangs on a fifth wheel or a gooseneck ball in the bed; the plan has a ball behind the bumper"
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
