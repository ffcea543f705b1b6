//! A bulb gets at least 85 % of the voltage it is made for, engine running.
//!
//! It speaks where the circuit says what its bulbs are made for. The one law that was read is California's: elsewhere a
//! person decides.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::calc::wiring::{
    Sizing,
    drop::{BULB_SHARE, BULB_SOURCE},
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "lamp-voltage",
    title: "every bulb gets at least 85 % of its own voltage",
    severity: Severity::Block,
    source: BULB_SOURCE,
    needs: &["circuits[].lamp_v", "circuits[].supply_v", "circuits[].load_a", "jurisdiction"],
    remedy: "Take a thicker wire or a better return, and measure at the bulb with the engine running.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    for (index, circuit) in wiring.each() {
        let Some(lamp) = circuit.lamp else { continue };
        // What is missing for it is missing for the drop, which asks.
        let Some(drop) = Sizing::of(circuit).ok().and_then(|sizing| sizing.worst().ok()) else { continue };
        if drop.lights(lamp) {
            continue;
        }
        let severity = if wiring.jurisdiction == Some("US-CA") { Severity::Block } else { Severity::Review };
        let (gets, least) = (drop.at_load.v(), lamp.v() * BULB_SHARE);
        findings.breach_as(
            severity,
            wiring.path(index, "lamp_v"),
            Against::new(gets, least, "v"),
            format_args!(
                "its bulbs get {gets:.2} V; at least {least:.2} V are 85 % of the {} V they are made for",
                lamp.v()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        rules::{Severity, run::fixture::*},
        units::Volts,
    };

    #[test]
    fn a_starved_bulb_is_blocked_where_that_law_is_and_told_elsewhere() {
        // The regulation's own figure: a 12.8 V bulb gets at least 10.88 V. The circuit loses next to nothing.
        let starved = |supply: f64, place: &'static str| {
            move |p: &mut crate::model::upfit::Upfit| {
                lamps(p, supply);
                p.jurisdiction = Some(place.into());
            }
        };
        let severity = |supply, place| finding("lamp-voltage", starved(supply, place)).map(|found| found.severity);
        assert_eq!(severity(10.8, "US-CA"), Some(Severity::Block));
        assert_eq!(severity(10.8, "US-TX"), Some(Severity::Review));
        assert_eq!(severity(10.89, "US-CA"), None);
    }

    #[test]
    fn without_a_word_on_the_bulbs_it_is_silent_and_without_the_supply_the_drop_asks() {
        assert!(
            finding("lamp-voltage", |p| {
                lamps(p, 10.0);
                circuit(p).lamp = None;
            })
            .is_none()
        );
        let unknown = |p: &mut crate::model::upfit::Upfit| {
            lamps(p, 10.0);
            circuit(p).supply = None::<Volts>;
        };
        assert!(finding("lamp-voltage", unknown).is_none());
        assert!(finding("voltage-drop", unknown).unwrap().unknown);
    }
}
