//! The trailer's tyres together carry its axles' load; passenger-car tyres count divided by 1.10.

use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "trailer-tyres",
    title: "the trailer's tyres carry its axles",
    severity: Severity::Block,
    source: Source::new(
        "NHTSA interpretation letter nht76-1.47 (passenger-car tyres, divide by 1.10)",
        "",
        Seen::Opened,
    ),
    needs: &["trailer.tyres", "trailer_mass", "tongue_load"],
    remedy: "Fit trailer-service tyres of the load index on the trailer's placard.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.trailer.is_none() {
        return;
    }
    let capacity = match case.figures.tyres_trailer {
        Ok(capacity) => capacity,
        Err(unknown) => return findings.no_limit(unknown, "what the trailer's tyres carry"),
    };
    let Ok(load) = case.figures.trailer_axles else { return };
    let against = Against::new(load.kg(), capacity.kg(), "kg");
    if load <= capacity {
        return findings.keeps("trailer.tyres", against);
    }
    findings.breach(
        "trailer.tyres",
        against,
        format_args!(
            "trailer's axles carry {}, {} over the {} its tyres carry together",
            Load(load.kg()),
            Over(load.kg(), capacity.kg()),
            Rating(capacity.kg()),
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::{tyre::TyreKind, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn small_trailer_tyres_are_blocked() {
        // Load index 75 is 387 kg: four carry 1548 kg.
        assert_eq!(
            message("trailer-tyres", |p| trailer_tyres(p).load_index = Some(75)),
            "trailer's axles carry 1,790 kg, 242 kg over the 1,548 kg its tyres carry together"
        );
    }

    #[test]
    fn car_tyres_count_divided() {
        // Load index 81 is 462 kg: four carry 1848 kg, or 1680 kg when they are passenger-car tyres.
        assert!(finding("trailer-tyres", |p| trailer_tyres(p).load_index = Some(81)).is_none());
        let car = |p: &mut Upfit| {
            trailer_tyres(p).load_index = Some(81);
            trailer_tyres(p).kind = Some(TyreKind::PassengerCar);
        };
        assert!(finding("trailer-tyres", car).is_some());
    }

    #[test]
    fn exactly_what_they_carry_is_allowed() {
        assert!(
            finding("trailer-tyres", |p| {
                trailer_tyres(p).load_index = Some(80);
                p.trailer_mass = Some(kg(2010.0));
            })
            .is_none()
        );
    }

    #[test]
    fn unknown_tyres_block() {
        assert_eq!(
            verdict(|p| {
                trailer_tyres(p).load_index = None;
                trailer_tyres(p).designation.clear();
            }),
            Verdict::Blocked
        );
        assert_eq!(verdict(|p| trailer(p).tyres = None), Verdict::Blocked);
    }
}
