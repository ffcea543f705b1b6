//! Springs and air bags level a vehicle; they do not raise its rating, and a shop may not raise it.
//!
//! Only matters when the order asks for it: an order that says nothing of it asks nothing.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "gvwr-raised",
    title: "nobody asks the shop to raise the gross rating",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter baker2 (who may set the gross rating)", "", Seen::Opened),
    needs: &["answers.raises_gvwr"],
    remedy: "Strike the request; only the vehicle maker, a final-stage maker or an alterer may assign a rating, \
        before first sale.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.raises_gvwr == Some(true) {
        findings.add(
            "answers.raises_gvwr",
            format_args!("the order asks to raise the gross rating; springs do not raise it"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_raised_rating_is_blocked_and_silence_asks_nothing() {
        assert_eq!(verdict(|p| p.answers.raises_gvwr = Some(true)), Verdict::Blocked);
        assert!(finding("gvwr-raised", |p| p.answers.raises_gvwr = None).is_none());
    }
}
