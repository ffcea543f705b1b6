//! A bolt goes through its nut: by two threads, and never ends inside.

use super::{Case, Findings, Rule, Severity};
use crate::rules::run::finding::Against;

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-too-short",
    title: "the bolt stands out of its nut",
    severity: Severity::Block,
    source: crate::calc::joint::grip::TWO_THREADS_SOURCE,
    needs: &["joints.stack.grip_mm", "joints.bolt.length", "joints.nut.height_mm"],
    remedy: "Use the next longer bolt.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        let [out, pitch] = match stacked.out() {
            Ok(Some(out)) => out,
            Ok(None) => continue,
            Err(unknown) => {
                findings.unknown(unknown, "whether the bolt is long enough");
                continue;
            }
        };
        let wanted = pitch * 2.0;
        // A hair of room for binary fractions.
        if out.mm() + 1e-9 < wanted.mm() {
            let severity = if out.mm() < -1e-9 { Severity::Block } else { Severity::Warn };
            findings.breach_as(
                severity,
                stacked.subject("grip_mm"),
                Against::new(out.mm(), wanted.mm(), "mm"),
                format_args!(
                    "joint {} stands out of its nut by {:.1} mm; two threads are {:.1} mm",
                    stacked.joint.id,
                    out.mm(),
                    wanted.mm()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn at(grip: f64) -> Option<crate::rules::Finding> {
        finding("bolt-too-short", |p| stack(p).grip = Some(mm(grip)))
    }

    #[test]
    fn a_bolt_that_ends_in_its_nut_is_blocked() {
        // 40 mm less a nut of 10.8 and a washer of 2.5: 26.7 mm are left for the grip.
        let inside = at(27.0).unwrap();
        assert_eq!(inside.severity, Severity::Block);
        assert_eq!(inside.message, "joint frame-side stands out of its nut by -0.3 mm; two threads are 3.5 mm");
        assert_eq!(at(26.0).unwrap().severity, Severity::Warn);
    }

    #[test]
    fn exactly_two_threads_are_enough() {
        assert!(at(23.2).is_none() && at(23.201).is_some());
    }

    #[test]
    fn an_unknown_grip_is_not_clear() {
        assert_ne!(verdict(|p| stack(p).grip = None), Verdict::Clear);
    }
}
