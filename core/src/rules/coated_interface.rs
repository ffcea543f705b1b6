//! Structural faces are clamped bare: paint, powder coat, primer and rubber settle and take the preload along.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "coated-interface",
    title: "no paint or rubber lies between the clamped parts",
    severity: Severity::Review,
    source: Source::new("bare interfaces in structural joints", "", Seen::CommonPractice),
    needs: &["joints.stack.coated"],
    remedy: "Clean the faces to bare metal, or ask the maker of the part; thin electro-coat is usual.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        match stacked.stack.coated {
            Some(false) => {}
            Some(true) => findings.add(
                stacked.subject("coated"),
                format_args!(
                    "joint {} clamps paint, powder coat, primer or rubber: over a third of the preload may go",
                    stacked.joint.id
                ),
            ),
            None => {
                let unknown = stacked.lacks("joints[].stack.coated");
                findings.unknown(unknown, "how much of the preload settles");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_coat_in_the_stack_is_reviewed() {
        let with = |coated| finding("coated-interface", |p| stack(p).coated = coated);
        assert!(with(Some(true)).unwrap().message.starts_with("joint frame-side clamps paint"));
        assert!(with(Some(false)).is_none());
        assert!(with(None).is_some_and(|finding| finding.unknown));
        assert_ne!(verdict(|p| stack(p).coated = None), Verdict::Clear);
    }
}
