//! A wheel has a rating of its own, and it carries its part of the axle's load.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wheel-rating",
    title: "each wheel carries its part of the axle",
    severity: Severity::Block,
    source: Source::new("the lower of tyre and wheel counts", "", Seen::CommonPractice),
    needs: &[
        "vehicle.front.tyres.wheel_rating",
        "vehicle.rear.tyres.wheel_rating",
        "vehicle.front.tyres.tyre_count",
        "items",
    ],
    remedy: "Read the rating stamped on the wheel, or enter that of the wheel the certification label names; \
        replace a wheel that is short.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    let loads = case.figures.axles.ok();
    let axles = [
        ("vehicle.front.tyres.wheel_rating", "front", &vehicle.front, loads.map(|l| l.front_before.max(l.front))),
        ("vehicle.rear.tyres.wheel_rating", "rear", &vehicle.rear, loads.map(|l| l.rear_before.max(l.rear))),
    ];
    for (subject, word, axle, load) in axles {
        let tyres = axle.tyres.as_ref();
        let Some(rating) = tyres.and_then(|tyres| tyres.wheel_rating) else {
            findings.no_limit(Unknown::missing(subject), "what a wheel carries");
            continue;
        };
        // Axle load and count are asked for by the rules before this one.
        let Some((load, count)) = load.zip(tyres.and_then(|tyres| tyres.count)) else { continue };
        let each = load / f64::from(count.max(1));
        let against = Against::new(each.kg(), rating.kg(), "kg");
        if each <= rating {
            findings.keeps(subject, against);
            continue;
        }
        findings.breach(
            subject,
            against,
            format_args!(
                "each {word} wheel carries {}, {} over its {} rating",
                Load(each.kg()),
                Over(each.kg(), rating.kg()),
                Rating(rating.kg()),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_weak_wheel_is_blocked() {
        // Half of 1776.9 kg.
        assert_eq!(
            message("wheel-rating", |p| rear_tyres(p).wheel_rating = Some(kg(800.0))),
            "each rear wheel carries 889 kg, 89 kg over its 800 kg rating"
        );
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        let half = report(|_| ()).figures.axles.unwrap().rear / 2.0;
        assert!(finding("wheel-rating", |p| rear_tyres(p).wheel_rating = Some(half)).is_none());
    }

    #[test]
    fn an_unknown_wheel_blocks() {
        assert_eq!(verdict(|p| front_tyres(p).wheel_rating = None), Verdict::Blocked);
    }
}
