//! Before the first retail sale, mass added beyond the lesser of 1.5 % of the gross rating and 100 lb must be shown on
//! a label.
//!
//! Applies in North America. Every shop's additions count, less what was taken off for good; a ball mount is cargo.

use super::Unknown;
use super::run::finding::Against;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::upfit::SaleState;

/// The rule.
pub static RULE: Rule = Rule {
    id: "added-mass-label",
    title: "the label for added mass is planned when it is due",
    severity: Severity::Block,
    source: Source::new("FMVSS 110 and 120, final rule 72 FR 68442", "2007", Seen::Opened),
    needs: &[
        "sale_state",
        "vehicle.gvwr",
        "items",
        "receiver.mass_kg",
        "mass_added_before_kg",
        "mass_removed_kg",
        "answers.mass_label_planned",
    ],
    remedy: "Plan the label with the new capacity, and file it with the unit.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    if Region::of(plan) != Region::NorthAmerica {
        return;
    }
    match plan.sale {
        Some(SaleState::InUse) => return,
        Some(SaleState::BeforeFirstSale) => (),
        None => return findings.unknown(Unknown::missing("sale_state"), "whether a label for added mass is due"),
    }
    let limit = match case.figures.added_mass_limit {
        Ok(limit) => limit,
        Err(unknown) => return findings.no_limit(unknown, "the label for added mass"),
    };
    let added = match case.figures.added_mass {
        Ok(added) => added,
        Err(unknown) => return findings.unknown(unknown, "the label for added mass"),
    };
    let against = Against::new(added.kg(), limit.kg(), "kg");
    if added <= limit {
        return findings.keeps("answers.mass_label_planned", against);
    }
    match plan.answers.mass_label_planned {
        Some(true) => (),
        Some(false) => findings.breach(
            "answers.mass_label_planned",
            against,
            format_args!(
                "{:.1} kg are added before first sale; above {:.1} kg a label is due and none is planned",
                added.kg(),
                limit.kg(),
            ),
        ),
        None => findings.unknown(Unknown::missing("answers.mass_label_planned"), "a label that is due"),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::{SaleState, Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn new_vehicle(before: f64, planned: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            p.sale = Some(SaleState::BeforeFirstSale);
            p.mass_added_before = Some(kg(before));
            p.answers.mass_label_planned = planned;
        }
    }

    #[test]
    fn a_label_is_due_strictly_above_the_limit() {
        // GVWR 3200 kg: 1.5 % is 48 kg, so 100 lb govern: 45.359 237 kg; the receiver is 38 kg.
        let over = new_vehicle(20.5, Some(false));
        assert_eq!(
            message("added-mass-label", over),
            "58.5 kg are added before first sale; above 45.4 kg a label is due and none is planned"
        );
        assert!(finding("added-mass-label", new_vehicle(2.5, Some(false))).is_none());
        assert!(finding("added-mass-label", new_vehicle(7.359_236, Some(false))).is_none());
        assert!(finding("added-mass-label", new_vehicle(7.359_24, Some(false))).is_some());
        assert!(finding("added-mass-label", new_vehicle(20.5, Some(true))).is_none());
    }

    #[test]
    fn a_light_vehicle_has_a_lower_limit_and_removed_parts_count() {
        let light = |removed: f64| {
            finding("added-mass-label", |p| {
                new_vehicle(0.0, Some(false))(p);
                vehicle(p).gvwr = Some(kg(2500.0));
                p.mass_removed = Some(kg(removed));
            })
        };
        assert!(light(0.0).is_some_and(|f| f.limit == Some(37.5)));
        assert!(light(0.5).is_none());
    }

    #[test]
    fn unknown_sale_state_or_answer_is_not_clear() {
        assert_eq!(verdict(|p| p.sale = None), Verdict::Review);
        assert_eq!(verdict(new_vehicle(20.5, None)), Verdict::Review);
    }
}
