//! Above a mass that the law of the place sets, a trailer must have brakes.
//!
//! The heavier of gross rating and planned mass is compared. Where no threshold is known the question goes to a person.
//! A vehicle's own limit for unbraked trailers, often lower, is part of the weakest link.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::trailer::TrailerBrakes;
use crate::tables::brake_thresholds;

/// The rule.
pub static RULE: Rule = Rule {
    id: "brakes-required",
    title: "a trailer above the local threshold has brakes",
    severity: Severity::Block,
    source: Source::new("state and EU brake thresholds, each with its own source", "", Seen::Opened),
    needs: &["trailer.brakes", "trailer.gvwr", "trailer_mass", "jurisdiction"],
    remedy: "Use a trailer with working brakes, or confirm the local threshold and record it.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    match trailer.brakes {
        None => return findings.unknown(Unknown::missing("trailer.brakes"), "which limits apply"),
        Some(TrailerBrakes::None) => (),
        Some(_) => return,
    }
    let Some(mass) = trailer.gvwr.into_iter().chain(case.plan.trailer_mass).reduce(|a, b| a.max(b)) else { return };
    let Some(place) = case.plan.jurisdiction.as_deref() else { return };
    let Some(threshold) = brake_thresholds::find(place) else {
        return findings.unknown(
            Unknown::because("jurisdiction", "has no brake threshold in the table"),
            "a trailer without brakes",
        );
    };
    let own = case.plan.policy.as_deref().and_then(|policy| policy.brakes_above);
    let limit = own.map_or(threshold.unbraked_to, |own| own.min(threshold.unbraked_to));
    let against = Against::new(mass.kg(), limit.kg(), "kg");
    // A trailer built to the threshold is not near it by accident.
    if mass <= limit {
        return;
    }
    if limit < threshold.unbraked_to {
        return findings.breach(
            "trailer.brakes",
            against,
            format_args!(
                "trailer of {} has no brakes; the shop's policy asks for them above {}",
                Load(mass.kg()),
                Rating(limit.kg())
            ),
        );
    }
    findings.breach(
        "trailer.brakes",
        against,
        format_args!(
            "trailer of {} has no brakes; {place} asks for them above {} ({}, seen {})",
            Load(mass.kg()),
            Rating(limit.kg()),
            threshold.source,
            threshold.seen_on,
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::{trailer::TrailerBrakes, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn unbraked(gvwr: f64, place: Option<&'static str>) -> impl Fn(&mut Upfit) {
        move |p| {
            trailer(p).brakes = Some(TrailerBrakes::None);
            trailer(p).gvwr = Some(kg(gvwr));
            p.trailer_mass = Some(kg(600.0));
            p.jurisdiction = place.map(str::to_owned);
        }
    }

    #[test]
    fn an_unbraked_trailer_over_the_threshold_is_blocked() {
        // Texas Department of Public Safety: none needed to 4500 lb, 2041.17 kg.
        let found = finding("brakes-required", unbraked(2100.0, Some("US-TX"))).unwrap();
        assert!(
            found.message.starts_with("trailer of 2,100 kg has no brakes; US-TX asks for them above 2,041 kg ("),
            "{}",
            found.message
        );
        assert!(finding("brakes-required", unbraked(4500.0 * 0.453_592_37, Some("US-TX"))).is_none());
        assert!(finding("brakes-required", unbraked(751.0, Some("EU"))).is_some());
        assert!(finding("brakes-required", unbraked(750.0, Some("EU"))).is_none());
    }

    #[test]
    fn no_threshold_or_no_answer_is_not_clear() {
        assert!(finding("brakes-required", unbraked(700.0, Some("XX"))).is_some_and(|f| f.unknown));
        assert_ne!(verdict(|p| trailer(p).brakes = None), Verdict::Clear);
    }
}
