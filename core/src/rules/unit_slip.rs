//! A mass entered in pounds where kilograms belong is about 2.2 times too large, and the other way round 0.45 times.
//!
//! Compares masses that belong together; a missing one is reported by the rule that needs it.

use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "unit-slip",
    title: "masses that belong together are in the same unit",
    severity: Severity::Review,
    source: Source::new("1 kg is 2.2046 lb", "", Seen::Derived),
    needs: &[
        "vehicle.gvwr",
        "vehicle.front.gawr",
        "vehicle.rear.gawr",
        "vehicle.front.kerb_kg",
        "vehicle.rear.kerb_kg",
        "trailer.gvwr",
        "trailer.gawr",
        "trailer_mass",
    ],
    remedy: "Read the label again and enter the number with its unit.",
    check,
};

/// One pound in kilograms, give or take: what a ratio of peers shows when one of them slipped.
const FACTOR_LOW: f64 = 2.1;
/// The upper end of the same.
const FACTOR_HIGH: f64 = 2.3;

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    let (front, rear) = (&vehicle.front, &vehicle.rear);
    let axles = front.gawr.zip(rear.gawr).map(|(front, rear)| front + rear);
    let trailer = case.plan.trailer.as_deref();
    let trailer_gvwr = trailer.and_then(|trailer| trailer.gvwr);
    let peers = [
        ("vehicle.gvwr", "gross rating", vehicle.gvwr, "both axle ratings together", axles),
        ("vehicle.front.kerb_kg", "front kerb load", front.kerb, "front axle rating", front.gawr),
        ("vehicle.rear.kerb_kg", "rear kerb load", rear.kerb, "rear axle rating", rear.gawr),
        ("trailer.gvwr", "trailer's gross rating", trailer_gvwr, "trailer's axle rating", trailer.and_then(|t| t.gawr)),
        ("trailer_mass", "trailer's mass", case.plan.trailer_mass, "trailer's gross rating", trailer_gvwr),
    ];
    for (subject, what, value, than, peer) in peers {
        let Some((value, peer)) = value.zip(peer) else { continue };
        let ratio = value / peer;
        // A load well below its rating is ordinary, so only the gross ratings are tested for the other direction.
        let both_ways = subject.ends_with("gvwr");
        if (FACTOR_LOW..=FACTOR_HIGH).contains(&ratio)
            || (both_ways && (FACTOR_LOW..=FACTOR_HIGH).contains(&(1.0 / ratio)))
        {
            findings.breach(
                subject,
                Against::new(value.kg(), peer.kg(), "kg"),
                format_args!(
                    "{what} {} is {ratio:.2} times the {than} of {}; that is how pounds look when read as kilograms",
                    Load(value.kg()),
                    Rating(peer.kg()),
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn pounds_among_kilograms_are_noticed() {
        // The axle ratings' own sum, 1550 + 1900 kg, written in pounds.
        let found = finding("unit-slip", |p| vehicle(p).gvwr = Some(kg(3450.0 * 2.2046))).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Review, "vehicle.gvwr"));
        assert!(finding("unit-slip", |p| vehicle(p).gvwr = Some(kg(3450.0 / 2.2046))).is_some());
        assert!(finding("unit-slip", |p| p.trailer_mass = Some(kg(2000.0 * 2.4))).is_some());
    }

    #[test]
    fn the_ends_of_the_window_belong_to_it() {
        let gvwr = |ratio: f64| finding("unit-slip", |p| vehicle(p).gvwr = Some(kg(3450.0 * ratio))).is_some();
        assert!(gvwr(2.1) && gvwr(2.299_999));
        assert!(!gvwr(2.099) && !gvwr(2.301));
    }

    #[test]
    fn a_missing_peer_is_not_clear() {
        assert_ne!(verdict(|p| vehicle(p).gvwr = None), Verdict::Clear);
    }
}
