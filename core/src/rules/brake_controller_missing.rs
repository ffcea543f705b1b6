//! Electric trailer brakes work only with a controller in the vehicle and a brake circuit in the socket.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::trailer::TrailerBrakes;

/// The rule.
pub static RULE: Rule = Rule {
    id: "brake-controller-missing",
    title: "electric trailer brakes have a controller and a circuit",
    severity: Severity::Block,
    source: Source::new("electric brakes need a controller and a wire", "", Seen::CommonPractice),
    needs: &["trailer.brakes", "brake_controller", "socket"],
    remedy: "Plan a brake controller and a socket with a brake circuit.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    if !trailer.brakes.is_some_and(TrailerBrakes::needs_controller) {
        return;
    }
    match case.plan.brake_controller {
        Some(true) => (),
        Some(false) => findings
            .add("brake_controller", format_args!("the trailer has electric brakes and no controller is planned")),
        None => findings.unknown(Unknown::missing("brake_controller"), "electric trailer brakes"),
    }
    match case.plan.socket {
        Some(socket) if socket.has_brake_circuit() => (),
        Some(_) => {
            findings.add("socket", format_args!("the trailer has electric brakes and the socket has no brake circuit"))
        }
        None => findings.unknown(Unknown::missing("socket"), "electric trailer brakes"),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{trailer::TrailerBrakes, wiring::Socket};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn brakes_without_controller_or_wire_are_blocked() {
        assert_eq!(verdict(|p| p.brake_controller = Some(false)), Verdict::Blocked);
        assert_eq!(
            message("brake-controller-missing", |p| p.socket = Some(Socket::FourFlat)),
            "the trailer has electric brakes and the socket has no brake circuit"
        );
        assert!(finding("brake-controller-missing", |_| ()).is_none());
        assert!(
            finding("brake-controller-missing", |p| {
                trailer(p).brakes = Some(TrailerBrakes::Overrun);
                p.brake_controller = Some(false);
            })
            .is_none()
        );
    }

    #[test]
    fn nobody_knowing_is_not_clear() {
        assert_eq!(verdict(|p| p.brake_controller = None), Verdict::Review);
        assert_eq!(verdict(|p| p.socket = None), Verdict::Review);
    }
}
