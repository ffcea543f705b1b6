//! A plate lamp that moves with the bumper or its bracket is wired again and tested.
//!
//! Asked for only when the work moves it: most receivers leave it where it is.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plate-lamp-untested",
    title: "a plate lamp that was moved is wired and tested",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht73-2.18 (hitch bumper and plate lamp)", "1973", Seen::Opened),
    needs: &["answers.plate_lamp_moved", "answers.plate_lamp_tested"],
    remedy: "Fit lamp and bracket so that they light the plate, wire them, test them at night light, and record it.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let answers = &case.plan.answers;
    match (answers.plate_lamp_moved, answers.plate_lamp_tested) {
        (Some(true), Some(false)) => findings
            .add("answers.plate_lamp_tested", format_args!("the plate lamp is moved and not wired again and tested")),
        (Some(true), None) => findings.unknown_as_review(
            "answers.plate_lamp_tested",
            format_args!("the plate lamp is moved; nobody says whether it was wired again and tested"),
        ),
        _ => (),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Severity, Verdict};

    fn lamp(moved: Option<bool>, tested: Option<bool>) -> Option<Finding> {
        finding("plate-lamp-untested", move |p| {
            p.answers.plate_lamp_moved = moved;
            p.answers.plate_lamp_tested = tested;
        })
    }

    #[test]
    fn a_moved_lamp_is_tested() {
        assert_eq!(lamp(Some(true), Some(false)).map(|found| found.severity), Some(Severity::Block));
        assert!(lamp(Some(true), Some(true)).is_none());
        assert!(lamp(Some(false), Some(false)).is_none() && lamp(None, None).is_none());
    }

    #[test]
    fn a_moved_lamp_of_which_nobody_speaks_is_not_clear() {
        assert_eq!(verdict(|p| p.answers.plate_lamp_moved = Some(true)), Verdict::Review);
    }
}
