//! The trailer as loaded keeps the least rating of all parts between vehicle and trailer.
//!
//! The finding's subject is the part that governs. What the axles and the train leave room for has rules of its own.

use super::run::limits::check_weakest;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "weakest-link-trailer",
    title: "the trailer keeps the weakest link",
    severity: Severity::Block,
    source: Source::new("the least of all ratings counts", "", Seen::CommonPractice),
    needs: &[
        "trailer_mass",
        "vehicle.tow_braked",
        "receiver.carrying.trailer",
        "ball_mount.rating.trailer",
        "ball.rating.trailer",
        "coupler.rating.trailer",
    ],
    remedy: "Replace the part that governs by a stronger one if all others allow it, or load the trailer less.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    check_weakest(findings, case.figures.trailer_mass, case.links.trailer_parts(), "trailer");
}

#[cfg(test)]
mod tests {
    use crate::model::trailer::TrailerBrakes;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn the_part_that_governs_is_named() {
        let found = finding("weakest-link-trailer", |p| receiver(p).carrying.trailer = Some(kg(1900.0))).unwrap();
        assert_eq!(found.message, "trailer 2,000 kg is 100 kg over the weakest link: receiver, carrying, 1,900 kg");
        assert_eq!(found.subject, "receiver.carrying.trailer");
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        assert!(finding("weakest-link-trailer", |p| ball(p).rating.trailer = Some(kg(2000.0))).is_none());
        assert!(finding("weakest-link-trailer", |p| ball(p).rating.trailer = Some(kg(1999.999))).is_some());
    }

    #[test]
    fn an_unbraked_trailer_has_another_limit() {
        let found = finding("weakest-link-trailer", |p| trailer(p).brakes = Some(TrailerBrakes::None)).unwrap();
        assert_eq!(found.subject, "vehicle.tow_unbraked");
    }

    #[test]
    fn an_unknown_trailer_is_not_clear() {
        assert_eq!(verdict(|p| p.trailer_mass = None), Verdict::Review);
    }
}
