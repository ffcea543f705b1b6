//! Heights are measured with the tyres at their placard pressure.
//!
//! Asked where the plan names a terrain: there millimetres decide. A plain no is told in any plan.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pressure-when-measured",
    title: "tyres were at placard pressure when heights were measured",
    severity: Severity::Review,
    source: Source::new("level floor, cold tyres at placard pressure, state recorded", "", Seen::CommonPractice),
    needs: &["answers.pressure_at_placard", "terrains"],
    remedy: "Set the pressures to the placard and measure the heights again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    match case.plan.answers.pressure_at_placard {
        Some(true) => {}
        Some(false) => findings.add(
            "answers.pressure_at_placard",
            format_args!("heights were measured with tyres more than 10 % off their placard pressure"),
        ),
        None if case.plan.terrains.is_empty() => {}
        None => findings.open_question(
            "answers.pressure_at_placard",
            format_args!("nobody says whether the tyres were at placard pressure when heights were measured"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("pressure-when-measured", |p| p.answers.pressure_at_placard = Some(false)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Review, "answers.pressure_at_placard"));
        assert!(finding("pressure-when-measured", |_| ()).is_none());
    }

    #[test]
    fn over_a_terrain_it_is_asked() {
        let open = |p: &mut crate::model::upfit::Upfit| {
            over_hump(p);
            p.limits.terrain_margin = Some(mm(0.0));
            p.answers.pressure_at_placard = None;
        };
        assert!(finding("pressure-when-measured", open).is_some_and(|found| found.unknown));
        assert_eq!(verdict(open), Verdict::Review);
    }
}
