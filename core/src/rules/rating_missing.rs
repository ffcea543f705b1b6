//! Every link between vehicle and trailer has a rating, and each must be known: a link without one holds nothing.
//!
//! A ball and a coupler are commonly stamped for the trailer's mass alone; their tongue rating counts when they carry
//! one. With spring bars planned the receiver's second row of ratings is asked for, and an absent row means: not rated
//! for them.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::ratings::LinkLimit;

/// The rule.
pub static RULE: Rule = Rule {
    id: "rating-missing",
    title: "every link of the chain has a known rating",
    severity: Severity::Block,
    source: Source::new("a missing rating is unknown, never unlimited", "", Seen::CommonPractice),
    needs: &[
        "vehicle.tow_braked",
        "vehicle.tow_unbraked",
        "vehicle.tongue",
        "receiver.carrying",
        "ball_mount.rating",
        "ball.rating.trailer",
        "coupler.rating.trailer",
        "trailer.gvwr",
    ],
    remedy: "Read the rating on the part, the label or the handbook; replace a part whose stamp cannot be read.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (links, by) in [
        (case.links.trailer_parts(), "the heaviest trailer allowed"),
        (case.links.tongue_parts(), "the heaviest tongue load allowed"),
    ] {
        for link in links {
            if link.limit == LinkLimit::Unknown {
                findings.no_limit(Unknown::missing(link.path), by);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn each_link_without_a_rating_blocks() {
        let knocks: &[(&str, Change)] = &[
            ("vehicle.tow_braked", |p| vehicle(p).tow_braked = None),
            ("vehicle.tongue", |p| vehicle(p).tongue = None),
            ("receiver.carrying.trailer", |p| receiver(p).carrying.trailer = None),
            ("receiver.carrying.tongue", |p| receiver(p).carrying.tongue = None),
            ("ball_mount.rating.trailer", |p| mount(p).rating.trailer = None),
            ("ball_mount.rating.tongue", |p| mount(p).rating.tongue = None),
            ("ball.rating.trailer", |p| ball(p).rating.trailer = None),
            ("coupler.rating.trailer", |p| coupler(p).rating.trailer = None),
            ("trailer.gvwr", |p| trailer(p).gvwr = None),
        ];
        for (path, knock) in knocks {
            let report = report(knock);
            assert_eq!(report.verdict, Verdict::Blocked, "{path}");
            assert!(report.findings.iter().any(|f| f.unknown && f.subject == *path), "{path}: {:#?}", report.findings);
        }
    }

    #[test]
    fn missing_parts_are_links_without_ratings() {
        let knocks: &[Change] = &[
            |p| p.receiver = None,
            |p| p.ball_mount = None,
            |p| p.ball = None,
            |p| p.coupler = None,
            |p| p.trailer = None,
        ];
        for knock in knocks {
            assert_eq!(verdict(knock), Verdict::Blocked);
        }
    }

    #[test]
    fn the_second_row_of_the_label_is_asked_for_with_bars() {
        let found = finding("rating-missing", |p| {
            p.spring_bars = Some(true);
            receiver(p).spring_bars = None;
        });
        assert_eq!(found.unwrap().subject, "receiver.spring_bars.trailer");
    }

    #[test]
    fn a_ball_needs_no_tongue_rating_but_keeps_the_one_it_has() {
        assert!(finding("rating-missing", |p| ball(p).rating.tongue = None).is_none());
        assert!(finding("weakest-link-tongue", |p| ball(p).rating.tongue = Some(kg(200.0))).is_some());
    }
}
