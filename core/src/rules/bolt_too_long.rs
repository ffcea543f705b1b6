//! A bolt of up to 100 mm stands out by 16 mm at most: what hangs out catches and rusts.

use super::{Case, Findings, Rule, Severity};
use crate::rules::run::finding::Against;

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-too-long",
    title: "the bolt does not stand out too far",
    severity: Severity::Warn,
    source: crate::calc::joint::grip::TRUCK_SOURCE,
    needs: &["joints.stack.grip_mm", "joints.bolt.length", "joints.nut.height_mm"],
    remedy: "Use a shorter bolt.",
    check,
};

/// The most that a bolt stands out, mm.
const OUT_MAX_MM: f64 = 16.0;
/// The longest bolt that the rule is about, mm.
const LENGTH_MAX_MM: f64 = 100.0;

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        // What is missing here is asked for by bolt-too-short.
        let (Ok(Some([out, _])), Ok(bolt)) = (stacked.out(), stacked.bolt()) else { continue };
        let short = bolt.length.is_some_and(|length| length.mm() <= LENGTH_MAX_MM);
        if short && OUT_MAX_MM + 1e-9 < out.mm() {
            findings.breach(
                stacked.subject("grip_mm"),
                Against::new(out.mm(), OUT_MAX_MM, "mm"),
                format_args!("joint {} stands out of its nut by {:.1} mm, over 16 mm", stacked.joint.id, out.mm()),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn at(grip: f64) -> Option<crate::rules::Finding> {
        finding("bolt-too-long", |p| stack(p).grip = Some(mm(grip)))
    }

    #[test]
    fn sixteen_millimetres_out_are_the_most() {
        assert_eq!(at(8.0).unwrap().message, "joint frame-side stands out of its nut by 18.7 mm, over 16 mm");
        assert!(at(10.7).is_none() && at(10.699).is_some());
        assert_ne!(verdict(|p| stack(p).grip = None), Verdict::Clear);
    }
}
