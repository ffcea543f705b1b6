//! A breakaway battery is charged from the vehicle: once circuits are named, one of them is a supply.

use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    model::wiring::Function,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "charge-circuit-missing",
    title: "the breakaway battery is charged from the vehicle",
    severity: Severity::Review,
    source: Source::new("charge line of a breakaway battery", "", Seen::CommonPractice),
    needs: &["circuits[].function", "trailer.breakaway"],
    remedy: "Plan a charge line behind an ignition or voltage relay, or say how else the breakaway battery is charged.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    let Some(trailer) = wiring.trailer else { return };
    if wiring.circuits.is_empty() || trailer.breakaway != Some(true) {
        return;
    }
    let supplies = [Some(Function::Permanent), Some(Function::Switched)];
    if !wiring.each().any(|(_, circuit)| supplies.contains(&circuit.function)) {
        findings.add(
            "circuits",
            format_args!("the trailer has a breakaway battery, and no circuit that is named charges it"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::{Severity, run::fixture::*};

    #[test]
    fn a_breakaway_battery_without_a_charge_line_is_told() {
        let found = finding("charge-circuit-missing", |p| {
            wired(p);
            p.circuits.truncate(1);
        })
        .unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Review, "circuits"));
        assert!(finding("charge-circuit-missing", wired).is_none());
        assert!(
            finding("charge-circuit-missing", |p| {
                wired(p);
                p.circuits.truncate(1);
                trailer(p).breakaway = Some(false);
            })
            .is_none()
        );
    }
}
