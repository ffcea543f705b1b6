//! What the rules over wiring read: the circuits of a plan, or one by itself, and what was answered about routing.
//!
//! A plan that names no circuit and answers no question of routing leaves the wiring to another job; as soon as it names
//! one, whatever is unknown of it is told.

use std::{borrow::Cow, sync::Arc};

use super::finding::{Finding, Findings};
use crate::{
    model::{
        trailer::Trailer,
        upfit::Upfit,
        wiring::{Circuit, Socket},
    },
    rules::{self, Rule},
};

/// Circuits and answers.
#[derive(Debug, Clone, Copy)]
pub struct Wiring<'a> {
    /// The circuits.
    pub circuits: &'a [Arc<Circuit>],
    /// The answers to the checklist of routing, by the names of its questions.
    pub routing: &'a [(&'static str, bool)],
    /// The trailer that is wired to, when one is known.
    pub trailer: Option<&'a Trailer>,
    /// The socket on the vehicle.
    pub socket: Option<Socket>,
    /// Whether somebody found the earths of a thirteen-pin plug joined on the trailer.
    pub earths_joined: Option<bool>,
    /// Whose law applies.
    pub jurisdiction: Option<&'a str>,
    /// Whether it is one circuit by itself.
    lone: bool,
}

impl<'a> Wiring<'a> {
    /// Takes the wiring of a plan.
    #[must_use]
    pub fn of(plan: &'a Upfit) -> Self {
        Self {
            circuits: &plan.circuits,
            routing: &plan.routing,
            trailer: plan.trailer.as_deref(),
            socket: plan.socket,
            earths_joined: plan.answers.earths_joined,
            jurisdiction: plan.jurisdiction.as_deref(),
            lone: false,
        }
    }

    /// Takes one circuit, or none, with its answers and its socket.
    #[must_use]
    pub const fn lone(
        circuits: &'a [Arc<Circuit>],
        routing: &'a [(&'static str, bool)],
        socket: Option<Socket>,
    ) -> Self {
        Self { circuits, routing, trailer: None, socket, earths_joined: None, jurisdiction: None, lone: true }
    }

    /// Returns whether wiring is part of the job.
    #[must_use]
    pub const fn is_planned(&self) -> bool {
        !self.circuits.is_empty() || !self.routing.is_empty()
    }

    /// Returns the path of a circuit's field.
    #[must_use]
    pub fn path(&self, index: usize, field: &str) -> Cow<'static, str> {
        Cow::Owned(if self.lone { format!("circuit.{field}") } else { format!("circuits[{index}].{field}") })
    }

    /// Returns each circuit with its index.
    pub fn each(&self) -> impl Iterator<Item = (usize, &'a Circuit)> + use<'a> {
        self.circuits.iter().map(|circuit| &**circuit).enumerate()
    }
}

/// A rule over wiring and how it judges.
type Judge = (&'static Rule, fn(&Wiring<'_>, &mut Findings));

/// Judges one circuit and its routing by the rules that need no plan.
#[must_use]
pub fn check_wiring(wiring: &Wiring<'_>) -> Vec<Finding> {
    let judges: [Judge; 7] = [
        (&rules::voltage_drop::RULE, rules::voltage_drop::judge),
        (&rules::lamp_voltage::RULE, rules::lamp_voltage::judge),
        (&rules::fuse_over_wire::RULE, rules::fuse_over_wire::judge),
        (&rules::fuse_under_load::RULE, rules::fuse_under_load::judge),
        (&rules::fuse_far::RULE, rules::fuse_far::judge),
        (&rules::pin_conductor_thin::RULE, rules::pin_conductor_thin::judge),
        (&rules::wire_routing::RULE, rules::wire_routing::judge),
    ];
    let mut findings = Findings::default();
    for (rule, judge) in judges {
        findings.begin(rule);
        judge(wiring, &mut findings);
    }
    findings.into_list()
}

#[cfg(test)]
mod tests {
    use crate::{
        model::wiring::Circuit,
        rules::{Verdict, run::fixture::*},
    };

    #[test]
    fn whatever_is_unknown_of_a_named_circuit_is_not_clear() {
        assert_eq!(verdict(wired), Verdict::Clear);
        let knocks: [fn(&mut Circuit); 8] = [
            |c| c.wire = None,
            |c| c.length = None,
            |c| c.celsius = None,
            |c| c.supply = None,
            |c| c.back = None,
            |c| c.load = None,
            |c| c.fuse = None,
            |c| c.fuse_distance = None,
        ];
        for (index, knock) in knocks.into_iter().enumerate() {
            assert_ne!(verdict(|p| knock(circuit(p))), Verdict::Clear, "{index}");
        }
    }

    #[test]
    fn a_plan_without_wiring_is_not_asked_for_it() {
        assert_eq!(verdict(|_| ()), Verdict::Clear);
    }
}
