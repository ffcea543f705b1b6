//! Where type approval applies, the receiver carries an approval number; one without a plate must not be fitted.

use super::Unknown;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "approval-mark",
    title: "the receiver carries its approval number",
    severity: Severity::Block,
    source: Source::new("Directive 94/20/EC, Annex V", "", Seen::Opened),
    needs: &["receiver.approval_mark"],
    remedy: "Read the approval number on the plate and enter it, or choose an approved receiver.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if Region::of(case.plan) != Region::Europe {
        return;
    }
    if let Some(coupling) = case.plan.bed_coupling.as_deref()
        && coupling.approval_mark.as_deref().is_none_or(|mark| mark.trim().is_empty())
    {
        findings.no_limit(Unknown::missing("bed_coupling.approval_mark"), "fitting it where type approval applies");
    }
    let Some(receiver) = case.plan.receiver.as_deref() else { return };
    if receiver.approval_mark.as_deref().is_none_or(|mark| mark.trim().is_empty()) {
        findings.no_limit(Unknown::missing("receiver.approval_mark"), "fitting it where type approval applies");
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_receiver_without_a_number_is_blocked_in_europe_only() {
        let unmarked = |mark: Option<&'static str>| {
            move |p: &mut Upfit| {
                europe(p);
                receiver(p).approval_mark = mark.map(str::to_owned);
            }
        };
        assert_eq!(verdict(unmarked(None)), Verdict::Blocked);
        assert_eq!(verdict(unmarked(Some(" "))), Verdict::Blocked);
        assert!(finding("approval-mark", unmarked(Some("E99-000000"))).is_none());
        assert!(finding("approval-mark", |p| receiver(p).approval_mark = None).is_none());
    }
}
