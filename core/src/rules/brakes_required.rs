//! Above a mass that the law of the place sets, a trailer must have brakes.
//!
//! The heavier of gross rating and planned mass is compared: with the built-in table and with the row that the shop keeps
//! in its book. Where neither speaks of the place, or the two disagree about this trailer, the question goes to a person.
//! A vehicle's own limit for unbraked trailers, often lower, is part of the weakest link.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::brake_need::{Need, thresholds};
use crate::model::trailer::TrailerBrakes;

/// The rule.
pub static RULE: Rule = Rule {
    id: "brakes-required",
    title: "a trailer above the local threshold has brakes",
    severity: Severity::Block,
    source: Source::new("state, EU and own brake thresholds, each with its own source", "", Seen::Opened),
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
    let Some(known) = thresholds(place, case.plan.brake_law.as_deref()) else {
        return findings.unknown(
            Unknown::because("jurisdiction", "has no brake threshold in the table or the book"),
            "a trailer without brakes",
        );
    };
    let own = case.plan.policy.as_deref().and_then(|policy| policy.brakes_above);
    let strict = known.strict;
    let against = Against::new(mass.kg(), strict.unbraked_to.kg(), "kg");
    // A trailer built to the threshold is not near it by accident.
    match known.need(mass) {
        Need::May => {}
        Need::Disputed => findings.breach_as(
            Severity::Review,
            "trailer.brakes",
            against,
            format_args!(
                "trailer of {} has no brakes; one text for {place} asks for them above {} ({}, seen {}), another does not \
                 yet: find out which holds",
                Load(mass.kg()),
                Rating(strict.unbraked_to.kg()),
                strict.source,
                strict.seen_on,
            ),
        ),
        Need::Must => findings.breach(
            "trailer.brakes",
            against,
            format_args!(
                "trailer of {} has no brakes; {place} asks for them above {} ({}, seen {})",
                Load(mass.kg()),
                Rating(strict.unbraked_to.kg()),
                strict.source,
                strict.seen_on,
            ),
        ),
    }
    let own = own.filter(|own| *own < mass && known.need(mass) != Need::Must);
    if let Some(own) = own {
        findings.breach(
            "trailer.brakes",
            Against::new(mass.kg(), own.kg(), "kg"),
            format_args!(
                "trailer of {} has no brakes; the shop's policy asks for them above {}",
                Load(mass.kg()),
                Rating(own.kg())
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{brake_law::BrakeLaw, trailer::TrailerBrakes, upfit::Upfit};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Mass;

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

    fn own_row(kg: f64, place: &'static str) -> Option<std::sync::Arc<BrakeLaw>> {
        Some(std::sync::Arc::new(BrakeLaw {
            name: format!("brakelaws/{}", place.to_lowercase()),
            label: place.into(),
            place: place.into(),
            unbraked_to: Mass::from_kg(kg),
            source: "the shop's reading".into(),
            seen_on: "2026-10-01".into(),
        }))
    }

    #[test]
    fn the_row_of_the_book_stands_beside_the_table() {
        let with = |gvwr: f64, place: &'static str, own: f64| {
            finding("brakes-required", move |p: &mut Upfit| {
                unbraked(gvwr, Some(place))(p);
                p.brake_law = own_row(own, place);
            })
        };
        // A place of which the table knows nothing.
        assert!(with(900.0, "XA", 1000.0).is_none() && with(1000.0, "XA", 1000.0).is_none());
        let over = with(1001.0, "XA", 1000.0).unwrap();
        assert_eq!(over.severity, Severity::Block);
        assert!(over.message.ends_with("above 1,000 kg (the shop's reading, seen 2026-10-01)"), "{}", over.message);
        // Texas by the table: 2,041 kg. A row that differs sends what lies between to a person, whichever is milder.
        assert_eq!(with(2100.0, "US-TX", 3000.0).unwrap().severity, Severity::Review);
        assert_eq!(with(1600.0, "US-TX", 1500.0).unwrap().severity, Severity::Review);
        assert_eq!(with(3001.0, "US-TX", 3000.0).unwrap().severity, Severity::Block);
        assert!(with(1500.0, "US-TX", 1500.0).is_none());
    }

    #[test]
    fn no_threshold_or_no_answer_is_not_clear() {
        assert!(finding("brakes-required", unbraked(700.0, Some("XX"))).is_some_and(|f| f.unknown));
        assert_ne!(verdict(|p| trailer(p).brakes = None), Verdict::Clear);
    }
}
