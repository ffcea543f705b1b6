//! The front tyres together carry the front axle's rating and its load.
//!
//! A passenger-car tyre on anything but a passenger car is judged by `car-tyre-on-truck`.

use super::car_tyre_on_truck;
use super::run::limits::check_tyres;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tyre-load-front",
    title: "the front tyres carry the front axle",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.front.tyres", "vehicle.front.gawr", "items"],
    remedy: "Fit tyres of the load index that the certification label or placard names.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let capacity = match case.figures.tyres_front {
        Ok(capacity) => capacity,
        Err(unknown) => return findings.no_limit(unknown, "what the front tyres carry"),
    };
    let axle = &case.plan.vehicle.front;
    if car_tyre_on_truck::applies(case.plan.vehicle.kind, axle.tyres.as_ref()) {
        return;
    }
    let load = case.figures.axles.ok().map(|axles| axles.front_before.max(axles.front));
    check_tyres(findings, "vehicle.front.tyres", "front", capacity, [load, axle.gawr]);
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn tyres_too_small_for_the_axle_are_blocked() {
        // Load index 89 is 580 kg a tyre: 1160 kg an axle.
        let found = finding("tyre-load-front", |p| front_tyres(p).load_index = Some(89)).unwrap();
        assert_eq!(found.severity, Severity::Block);
        assert_eq!(found.limit, Some(1160.0));
        assert!(found.message.ends_with("over the 1,160 kg its tyres carry together"), "{}", found.message);
    }

    #[test]
    fn exactly_what_they_carry_is_allowed() {
        // Load index 99 is 775 kg a tyre: the front axle's rating to the kilogram.
        assert!(finding("tyre-load-front", |p| front_tyres(p).load_index = Some(99)).is_none());
        assert!(finding("tyre-load-front", |p| front_tyres(p).load_index = Some(98)).is_some());
    }

    #[test]
    fn an_unknown_load_index_blocks() {
        assert_eq!(
            verdict(|p| {
                front_tyres(p).load_index = None;
                front_tyres(p).designation.clear();
            }),
            Verdict::Blocked
        );
        assert_eq!(verdict(|p| vehicle(p).front.tyres = None), Verdict::Blocked);
    }
}
