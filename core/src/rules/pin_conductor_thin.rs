//! A circuit's wire is no thinner than the connector's own standard gives its pin.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    model::wiring::Wire,
    tables::connectors::{Conductor, pin},
    units::Area,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pin-conductor-thin",
    title: "the wire is as thick as its pin asks for",
    severity: Severity::Review,
    source: Source::new(
        "least conductors of ISO 1724, ISO 11446, SAE J2863 and SAE J560, as reprinted",
        "",
        Seen::Opened,
    ),
    needs: &["circuits[].function", "circuits[].awg_code", "circuits[].cable_mm2", "socket"],
    remedy: "Take the conductor that the connector's standard names for this pin, or a thicker one.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// How far an area may fall short and still be a printed one: four figures are printed of it.
const PRINTED: f64 = 1e-4;

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    let Some(socket) = wiring.socket else { return };
    for (index, circuit) in wiring.each() {
        let Some(function) = circuit.function else {
            findings.open_question(
                wiring.path(index, "function"),
                format_args!("nobody says what the circuit feeds; it is needed for the pin and its least conductor"),
            );
            continue;
        };
        let least = pin(socket, function).and_then(|pin| pin.conductor).and_then(|conductor| match conductor {
            Conductor::Awg(gauge) => Wire::Awg(gauge).area().ok(),
            Conductor::Mm2(area) => Some(Area::from_mm2(area)),
        });
        // A wire nobody names is asked for by the drop.
        let (Some(least), Some(wire)) = (least, circuit.wire) else { continue };
        let Ok(area) = wire.area() else { continue };
        if area.mm2() >= least.mm2() * (1.0 - PRINTED) {
            continue;
        }
        findings.breach(
            wiring.path(index, "awg_code"),
            Against::new(area.mm2(), least.mm2(), "mm2"),
            format_args!("{wire} has {:.2} mm²; its pin asks for {:.2} mm²", area.mm2(), least.mm2()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        model::wiring::{Socket, Wire},
        rules::{Verdict, run::fixture::*},
        units::Area,
    };

    #[test]
    fn a_wire_thinner_than_its_pin_asks_for_is_told() {
        // SAE J2863, conductor sizes as reprinted: one 12 AWG, for the brakes.
        let wired = |wire: Wire| move |p: &mut crate::model::upfit::Upfit| circuit(p).wire = Some(wire);
        assert_eq!(
            message("pin-conductor-thin", wired(Wire::Awg(14))),
            "14 AWG has 2.08 mm²; its pin asks for 3.31 mm²"
        );
        assert!(finding("pin-conductor-thin", wired(Wire::Awg(12))).is_none());
        assert!(finding("pin-conductor-thin", wired(Wire::Geometric(Area::from_mm2(3.3088)))).is_none());
        assert!(finding("pin-conductor-thin", wired(Wire::Metric(Area::from_mm2(3.0)))).is_some());
    }

    #[test]
    fn what_it_feeds_has_to_be_known_and_a_pin_without_a_size_asks_for_nothing() {
        assert_eq!(verdict(|p| circuit(p).function = None), Verdict::Blocked);
        assert!(finding("pin-conductor-thin", |p| circuit(p).function = None).unwrap().unknown);
        assert!(
            finding("pin-conductor-thin", |p| {
                circuit(p);
                p.socket = Some(Socket::FourFlat);
            })
            .is_none()
        );
    }
}
