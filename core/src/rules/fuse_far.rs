//! The fuse sits near its source: the wire before it is protected by nothing.
//!
//! 180 mm are good; up to 450 mm are a warning, further calls for a person.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    tables::fuses::{DISTANCE_GOOD, DISTANCE_MAX},
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fuse-far",
    title: "the fuse sits near its source",
    severity: Severity::Review,
    source: Source::new("fuse within 450 mm of its source", "", Seen::CommonPractice),
    needs: &["circuits[].fuse_distance_mm"],
    remedy: "Move the fuse to within 180 mm of the source along the wire.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    for (index, circuit) in wiring.each() {
        let subject = wiring.path(index, "fuse_distance_mm");
        let Some(distance) = circuit.fuse_distance else {
            findings.open_question(subject, format_args!("nobody says how far the fuse sits from the source"));
            continue;
        };
        if distance <= DISTANCE_GOOD {
            continue;
        }
        let too_far = distance > DISTANCE_MAX;
        let (severity, most) = if too_far { (Severity::Review, DISTANCE_MAX) } else { (Severity::Warn, DISTANCE_GOOD) };
        findings.breach_as(
            severity,
            subject,
            Against::new(distance.mm(), most.mm(), "mm"),
            format_args!("the fuse sits {:.0} mm from the source; {:.0} mm are the most", distance.mm(), most.mm()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::{Severity, Verdict, run::fixture::*};

    #[test]
    fn far_is_a_warning_and_too_far_calls_for_a_person() {
        let severity =
            |at: f64| finding("fuse-far", move |p| circuit(p).fuse_distance = Some(mm(at))).map(|found| found.severity);
        // Common practice, no source: 180 mm, 450 mm the most.
        assert_eq!(
            [180.0, 180.5, 450.0, 450.5].map(severity),
            [None, Some(Severity::Warn), Some(Severity::Warn), Some(Severity::Review)]
        );
    }

    #[test]
    fn nobody_knowing_is_not_clear() {
        assert_eq!(verdict(|p| circuit(p).fuse_distance = None), Verdict::Review);
        assert!(finding("fuse-far", |p| circuit(p).fuse_distance = None).unwrap().unknown);
    }
}
