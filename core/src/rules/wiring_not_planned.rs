//! A trailer that takes current is wired: the plan names circuits, or somebody says that the wiring is there already or
//! another job's.

use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    model::trailer::TrailerBrakes,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wiring-not-planned",
    title: "a trailer with lamps or electric brakes is wired, or its wiring is another job",
    severity: Severity::Review,
    source: Source::new("every trailer on the road has lamps", "", Seen::CommonPractice),
    needs: &["circuits", "routing", "trailer.plug", "trailer.brakes", "answers.wired_elsewhere"],
    remedy: "Name the circuits of the job, or answer that the wiring is there already or somebody else's.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    let needs = trailer.plug.is_some() || trailer.brakes.is_some_and(TrailerBrakes::needs_controller);
    if !needs || Wiring::of(case.plan).is_planned() || case.plan.answers.wired_elsewhere == Some(true) {
        return;
    }
    if case.plan.answers.wired_elsewhere == Some(false) {
        findings.add("circuits", format_args!("the trailer must be wired, and no circuit is planned"));
    } else {
        findings.unknown_as_review(
            "answers.wired_elsewhere",
            format_args!("the trailer must be wired; no circuit is planned, and nobody says that it is wired already"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_trailer_that_nobody_wires_calls_for_a_person() {
        let found = finding("wiring-not-planned", |p| p.answers.wired_elsewhere = Some(false)).unwrap();
        assert_eq!((&*found.subject, found.unknown), ("circuits", false));
    }

    #[test]
    fn wired_elsewhere_or_here_is_enough() {
        assert!(finding("wiring-not-planned", |_| ()).is_none());
        let here = |p: &mut crate::model::upfit::Upfit| {
            wired(p);
            p.answers.wired_elsewhere = None;
        };
        assert_eq!(verdict(here), Verdict::Clear);
    }

    #[test]
    fn an_open_question_is_not_clear() {
        assert_eq!(verdict(|p| p.answers.wired_elsewhere = None), Verdict::Review);
        assert!(finding("wiring-not-planned", |p| p.answers.wired_elsewhere = None).unwrap().unknown);
    }
}
