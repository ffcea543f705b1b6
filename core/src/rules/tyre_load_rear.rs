//! The rear tyres together carry the rear axle's rating and its load.
//!
//! A passenger-car tyre on anything but a passenger car is judged by `car-tyre-on-truck`.

use super::car_tyre_on_truck;
use super::run::limits::check_tyres;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tyre-load-rear",
    title: "the rear tyres carry the rear axle",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.rear.tyres", "vehicle.rear.gawr", "items"],
    remedy: "Fit tyres of the load index that the certification label or placard names.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let capacity = match case.figures.tyres_rear {
        Ok(capacity) => capacity,
        Err(unknown) => return findings.no_limit(unknown, "what the rear tyres carry"),
    };
    let axle = &case.plan.vehicle.rear;
    if car_tyre_on_truck::applies(case.plan.vehicle.kind, axle.tyres.as_ref()) {
        return;
    }
    let load = case.figures.axles.ok().map(|axles| axles.rear_before.max(axles.rear));
    check_tyres(findings, "vehicle.rear.tyres", "rear", capacity, [load, axle.gawr]);
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn tyres_too_small_for_the_axle_are_blocked() {
        // Load index 89 is 580 kg a tyre: 1160 kg an axle.
        let found = finding("tyre-load-rear", |p| rear_tyres(p).load_index = Some(89)).unwrap();
        assert_eq!(found.severity, Severity::Block);
        assert_eq!(found.limit, Some(1160.0));
        assert!(found.message.ends_with("over the 1,160 kg its tyres carry together"), "{}", found.message);
    }

    #[test]
    fn exactly_what_they_carry_is_allowed() {
        // Load index 106 is 950 kg a tyre: the rear axle's rating to the kilogram.
        assert!(finding("tyre-load-rear", |p| rear_tyres(p).load_index = Some(106)).is_none());
        assert!(finding("tyre-load-rear", |p| rear_tyres(p).load_index = Some(105)).is_some());
    }

    #[test]
    fn an_unknown_load_index_blocks() {
        assert_eq!(
            verdict(|p| {
                rear_tyres(p).load_index = None;
                rear_tyres(p).designation.clear();
            }),
            Verdict::Blocked
        );
        assert_eq!(verdict(|p| vehicle(p).rear.tyres = None), Verdict::Blocked);
    }
}
