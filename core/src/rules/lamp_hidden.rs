//! With the ball mount in, no lamp, plate, sensor or camera is hidden.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "lamp-hidden",
    title: "no lamp, plate, sensor or camera is hidden",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht73-2.18 (hitch bumpers and the plate lamp)", "", Seen::Opened),
    needs: &["answers.lamp_hidden"],
    remedy: "Relocate lamp and plate with their wiring and test them, or take the ball mount out when not towing.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.lamp_hidden == Some(true) {
        findings.add(
            "answers.lamp_hidden",
            format_args!("a lamp, the plate, a sensor or a camera is hidden with the ball mount in"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("lamp-hidden", |p| p.answers.lamp_hidden = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.lamp_hidden"));
        assert!(finding("lamp-hidden", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.lamp_hidden = None), Verdict::Review);
    }
}
