//! Structural rust at the mounts holds no receiver.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rust-at-mounts",
    title: "the frame is sound where the receiver mounts",
    severity: Severity::Block,
    source: Source::new("rust eats the section the bolts rely on", "", Seen::CommonPractice),
    needs: &["answers.rust_at_mounts"],
    remedy: "Have the frame repaired by the vehicle maker's procedure, or decline the job.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.rust_at_mounts == Some(true) {
        findings.add("answers.rust_at_mounts", format_args!("structural rust was found at the mounts"));
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("rust-at-mounts", |p| p.answers.rust_at_mounts = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.rust_at_mounts"));
        assert!(finding("rust-at-mounts", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.rust_at_mounts = None), Verdict::Review);
    }
}
