//! Whoever changes a certified vehicle before its first sale by more than readily attachable parts puts a label of
//! their own beside the old one.

use super::Unknown;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::upfit::SaleState;

/// The rule.
pub static RULE: Rule = Rule {
    id: "alterer-label",
    title: "altering work before first sale has its alterer's label",
    severity: Severity::Block,
    source: Source::new("49 CFR 567.7; NHTSA interpretation letter nht87-1.19 (trailer hitches)", "", Seen::Opened),
    needs: &["sale_state", "answers.beyond_readily_attachable", "answers.alterer_label_planned"],
    remedy: "Plan the alterer's label with name, month, year and changed ratings, or wait until after the first sale.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    if plan.sale != Some(SaleState::BeforeFirstSale) || Region::of(plan) != Region::NorthAmerica {
        return;
    }
    match (plan.answers.beyond_readily_attachable, plan.answers.alterer_label_planned) {
        (Some(false), _) | (Some(true), Some(true)) => (),
        (Some(true), Some(false)) => findings.add(
            "answers.alterer_label_planned",
            format_args!(
                "the work goes beyond readily attachable parts before first sale and no alterer's label is planned"
            ),
        ),
        (Some(true), None) => {
            findings.unknown(Unknown::missing("answers.alterer_label_planned"), "altering work before first sale");
        }
        (None, _) => {
            findings.unknown(Unknown::missing("answers.beyond_readily_attachable"), "who answers for the vehicle");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::{SaleState, Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn altered(beyond: Option<bool>, label: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            p.sale = Some(SaleState::BeforeFirstSale);
            p.answers.beyond_readily_attachable = beyond;
            p.answers.alterer_label_planned = label;
        }
    }

    #[test]
    fn altering_work_needs_its_label() {
        assert_eq!(verdict(altered(Some(true), Some(false))), Verdict::Blocked);
        assert_eq!(verdict(altered(Some(true), None)), Verdict::Review);
        assert_eq!(verdict(altered(None, Some(false))), Verdict::Review);
        assert!(finding("alterer-label", altered(Some(true), Some(true))).is_none());
        assert!(finding("alterer-label", altered(Some(false), None)).is_none());
        assert!(finding("alterer-label", |p| p.answers.beyond_readily_attachable = None).is_none());
    }
}
