//! Somebody looked along the wire's way: every question of the checklist is answered, and answered well.
//!
//! A wrong answer to a question that a law speaks of blocks; one that the trade alone asks calls for a person. The open
//! questions make one finding.

use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    calc::wiring::routing::routing,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "wire-routing",
    title: "the wire is routed clear of every hazard of the checklist",
    severity: Severity::Block,
    source: Source::new("California Code of Regulations title 13, section 1249, and 49 CFR 393.28", "", Seen::Opened),
    needs: &["routing", "circuits"],
    remedy: "Put right what was found along the way, look at what is still open, and answer again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges the answers.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    if !wiring.is_planned() {
        return;
    }
    // Answers come from the list itself: any other is refused where the plan is read.
    let Ok(found) = routing(wiring.routing) else { return };
    for hazard in &found.wrong {
        let severity = if hazard.legal { Severity::Block } else { Severity::Review };
        findings.add_as(severity, "routing", format_args!("answered with no: {} ({})", hazard.question, hazard.id));
    }
    if !found.unknown.is_empty() {
        let open: Vec<&str> = found.unknown.iter().map(|hazard| hazard.id).collect();
        findings.unknown_as_review("routing", format_args!("not yet answered: {}", open.join(", ")));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::{Severity, Verdict, run::fixture::*};

    #[test]
    fn a_bare_hole_is_blocked_and_a_missing_clip_is_told() {
        let wrong = |id: &'static str| {
            move |p: &mut crate::model::upfit::Upfit| {
                wired(p);
                p.routing.iter_mut().filter(|answer| answer.0 == id).for_each(|answer| answer.1 = false);
            }
        };
        let found = finding("wire-routing", wrong("grommets")).unwrap();
        assert_eq!(found.severity, Severity::Block);
        assert_eq!(
            found.message,
            "answered with no: Is every hole through sheet metal grommeted or rolled? (grommets)"
        );
        assert_eq!(finding("wire-routing", wrong("clips-450-mm")).unwrap().severity, Severity::Review);
        assert!(finding("wire-routing", wired).is_none());
    }

    #[test]
    fn open_questions_make_one_finding_and_are_not_clear() {
        let open = |p: &mut crate::model::upfit::Upfit| {
            wired(p);
            p.routing.truncate(18);
        };
        let found = finding("wire-routing", open).unwrap();
        assert!(found.unknown, "{found:?}");
        assert_eq!(found.message, "not yet answered: safety-looms-untouched, made-dead");
        assert_eq!(verdict(open), Verdict::Review);
        assert_eq!(
            report(|p| {
                wired(p);
                p.routing.clear();
            })
            .findings
            .len(),
            1
        );
    }
}
