//! A passenger-car tyre on a truck, bus, multipurpose vehicle or trailer carries its rating divided by 1.10.
//!
//! Blocks when the tyres do not carry the axle after that; when they do, it is only worth knowing. The trailer's own
//! tyres are judged by `trailer-tyres`.

use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::tyre::{TyreKind, Tyres};
use crate::model::vehicle::VehicleKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "car-tyre-on-truck",
    title: "a passenger-car tyre on a truck carries its axle after dividing by 1.10",
    severity: Severity::Block,
    source: Source::new(
        "NHTSA interpretation letter nht76-1.47 (passenger-car tyres, divide by 1.10)",
        "",
        Seen::Opened,
    ),
    needs: &["vehicle.kind", "vehicle.front.tyres", "vehicle.rear.tyres"],
    remedy: "Fit light-truck or commercial tyres of the load index on the certification label.",
    check,
};

/// Returns whether the divisor applies to these tyres on that kind of vehicle.
pub fn applies(kind: Option<VehicleKind>, tyres: Option<&Tyres>) -> bool {
    let car_tyre = tyres.is_some_and(|tyres| tyres.kind == Some(TyreKind::PassengerCar));
    car_tyre && kind.is_some_and(|kind| kind != VehicleKind::PassengerCar)
}

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    let loads = case.figures.axles.ok();
    let axles = [
        (
            "vehicle.front.tyres",
            "front",
            &vehicle.front,
            case.figures.tyres_front,
            loads.map(|l| l.front_before.max(l.front)),
        ),
        (
            "vehicle.rear.tyres",
            "rear",
            &vehicle.rear,
            case.figures.tyres_rear,
            loads.map(|l| l.rear_before.max(l.rear)),
        ),
    ];
    for (subject, word, axle, capacity, load) in axles {
        // Unknown capacity is the business of the tyre-load rules; the figures have the divisor in them.
        let Ok(capacity) = capacity else { continue };
        if !applies(vehicle.kind, axle.tyres.as_ref()) {
            continue;
        }
        let need = load.into_iter().chain(axle.gawr).reduce(|a, b| a.max(b));
        match need {
            Some(need) if need > capacity => findings.breach(
                subject,
                Against::new(need.kg(), capacity.kg(), "kg"),
                format_args!(
                    "{word} axle {} is {} over the {} that passenger-car tyres carry here, divided by 1.10",
                    Load(need.kg()),
                    Over(need.kg(), capacity.kg()),
                    Rating(capacity.kg()),
                ),
            ),
            _ => findings.add_as(
                Severity::Info,
                subject,
                format_args!(
                    "{word} axle has passenger-car tyres; divided by 1.10 they carry {}",
                    Rating(capacity.kg())
                ),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{tyre::TyreKind, upfit::Upfit, vehicle::VehicleKind};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn car_tyres(load_index: i32) -> impl Fn(&mut Upfit) {
        move |p| {
            rear_tyres(p).kind = Some(TyreKind::PassengerCar);
            rear_tyres(p).load_index = Some(load_index);
        }
    }

    #[test]
    fn the_divisor_counts() {
        // Load index 103 is 875 kg: 2 x 875 / 1.10 = 1590.9 kg, though 1750 kg looks nearly enough.
        assert_eq!(
            message("car-tyre-on-truck", car_tyres(103)),
            "rear axle 1,900 kg is 310 kg over the 1,590 kg that passenger-car tyres carry here, divided by 1.10"
        );
        // Load index 109 is 1030 kg: 1872.7 kg; 110 is 1060 kg: 1927.3 kg.
        assert!(finding("car-tyre-on-truck", car_tyres(109)).is_some_and(|f| f.severity == Severity::Block));
        assert!(finding("car-tyre-on-truck", car_tyres(110)).is_some_and(|f| f.severity == Severity::Info));
    }

    #[test]
    fn exactly_what_they_carry_is_allowed() {
        let found = finding("car-tyre-on-truck", |p| {
            car_tyres(110)(p);
            vehicle(p).rear.gawr = Some(kg(2.0 * 1060.0 / 1.10));
        });
        assert!(found.is_some_and(|f| f.severity == Severity::Info));
    }

    #[test]
    fn a_tyre_of_unknown_kind_is_not_clear() {
        assert_ne!(verdict(|p| rear_tyres(p).kind = None), Verdict::Clear);
        assert_ne!(
            verdict(|p| {
                car_tyres(110)(p);
                vehicle(p).kind = None;
            }),
            Verdict::Clear
        );
        assert!(finding("car-tyre-on-truck", |p| vehicle(p).kind = Some(VehicleKind::PassengerCar)).is_none());
    }
}
