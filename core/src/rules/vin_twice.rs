//! No vehicle stands twice in a batch with two specifications.
//!
//! Only a batch can know: it compares each plan with those before it. The later plan is told, with the number of the
//! earlier one. The same plan twice only warns.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "vin-twice",
    title: "no two plans of a batch share a vehicle identification number",
    severity: Severity::Block,
    source: Source::new("one vehicle has one plan", "", Seen::CommonPractice),
    needs: &["vin"],
    remedy: "Find out which of the two rows has the wrong number, or which of the two plans is meant.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (Some(twin), Some(vin)) = (case.plan.twin, case.plan.vin.as_deref()) else { return };
    let seq = twin.seq;
    if twin.same {
        findings.add_as(
            Severity::Warn,
            "vin",
            format_args!("{vin} stands in plan {seq} of this batch too, planned alike"),
        );
    } else {
        findings.add("vin", format_args!("{vin} stands in plan {seq} of this batch too, with another plan"));
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Twin;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn another_plan_for_the_same_vehicle_is_blocked_and_the_same_one_is_not() {
        let found = finding("vin-twice", |p| p.twin = Some(Twin { seq: 17, same: false })).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "vin"));
        assert_eq!(found.message, "ZZZBK3A05T1000123 stands in plan 17 of this batch too, with another plan");
        let same = |p: &mut crate::model::upfit::Upfit| p.twin = Some(Twin { seq: 17, same: true });
        assert_eq!(finding("vin-twice", same).unwrap().severity, Severity::Warn);
        assert_eq!(verdict(same), Verdict::Clear);
    }

    #[test]
    fn a_plan_by_itself_has_no_twin() {
        assert!(finding("vin-twice", |_| ()).is_none());
        assert_eq!(verdict(|p| p.vin = None), Verdict::Review);
    }
}
