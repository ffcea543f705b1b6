//! Before the first sale every shop's additions count together, so what others added must be known.

use super::Unknown;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::upfit::SaleState;

/// The rule.
pub static RULE: Rule = Rule {
    id: "mass-history-unknown",
    title: "mass added by other shops is known before first sale",
    severity: Severity::Review,
    source: Source::new("denial of petitions on FMVSS 110, 75 FR 22532", "2010", Seen::Opened),
    needs: &["sale_state", "mass_added_before_kg"],
    remedy: "Ask the dealer what was added since the vehicle left its maker; enter zero when nothing was.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    let before_sale = plan.sale == Some(SaleState::BeforeFirstSale);
    if before_sale && Region::of(plan) == Region::NorthAmerica && plan.mass_added_before.is_none() {
        findings.unknown(Unknown::missing("mass_added_before_kg"), "the sum of all added mass");
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::SaleState;
    use crate::rules::Severity;
    use crate::rules::run::fixture::*;

    #[test]
    fn only_a_new_vehicle_needs_its_history() {
        let history = |sale: SaleState, before: Option<f64>| {
            finding("mass-history-unknown", |p| {
                p.sale = Some(sale);
                p.mass_added_before = before.map(kg);
            })
        };
        assert!(history(SaleState::BeforeFirstSale, None).is_some_and(|f| f.severity == Severity::Review));
        assert!(history(SaleState::BeforeFirstSale, Some(0.0)).is_none());
        assert!(history(SaleState::InUse, None).is_none());
    }
}
