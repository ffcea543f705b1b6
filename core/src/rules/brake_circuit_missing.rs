//! A trailer with electric brakes is wired for them: once circuits are named, one of them feeds the brakes.

use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    model::{trailer::TrailerBrakes, wiring::Function},
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "brake-circuit-missing",
    title: "electric trailer brakes have a circuit of their own",
    severity: Severity::Block,
    source: Source::new("electric brakes need a wire of their own", "", Seen::CommonPractice),
    needs: &["circuits[].function", "trailer.brakes"],
    remedy: "Plan a circuit for the electric brakes, from the controller to the socket.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    let needed = wiring.trailer.and_then(|trailer| trailer.brakes).is_some_and(TrailerBrakes::needs_controller);
    let planned = wiring.each().any(|(_, circuit)| circuit.function == Some(Function::ElectricBrake));
    if needed && !wiring.circuits.is_empty() && !planned {
        findings
            .add("circuits", format_args!("the trailer has electric brakes, and no circuit that is named feeds them"));
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        model::{trailer::TrailerBrakes, wiring::Function},
        rules::{Severity, run::fixture::*},
    };

    #[test]
    fn brakes_without_a_circuit_are_blocked() {
        let other = |p: &mut crate::model::upfit::Upfit| circuit(p).function = Some(Function::Permanent);
        let found = finding("brake-circuit-missing", other).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "circuits"));
        assert!(
            finding("brake-circuit-missing", |p| {
                other(p);
                trailer(p).brakes = Some(TrailerBrakes::Overrun);
            })
            .is_none()
        );
        assert!(finding("brake-circuit-missing", wired).is_none());
    }

    #[test]
    fn a_circuit_nobody_says_the_use_of_feeds_no_brakes() {
        assert!(finding("brake-circuit-missing", |p| circuit(p).function = None).is_some());
    }
}
