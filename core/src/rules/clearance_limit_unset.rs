//! Somebody must say how low the gear may hang: without a least laden departure angle or a least laden height nothing
//! is judged.
//!
//! One of the two is enough. Approach, unladen departure and ramp limits are the shop's choice; without them the angles
//! are computed and not judged.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "clearance-limit-unset",
    title: "a least laden departure angle or height is set",
    severity: Severity::Review,
    source: Source::new("a shop sets its own clearance", "", Seen::CommonPractice),
    needs: &["limits.departure_laden_min_deg", "limits.hitch_height_min_mm"],
    remedy: "Enter the least laden departure angle or the least height the shop or the customer asks for.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let limits = &case.plan.limits;
    if limits.departure_laden_min.is_none() && limits.hitch_height_min.is_none() {
        findings.no_limit(Unknown::missing("limits.departure_laden_min_deg"), "judging how low the gear hangs");
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Limits;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn one_of_the_two_is_enough() {
        assert!(finding("clearance-limit-unset", |p| p.limits.departure_laden_min = None).is_none());
        assert!(finding("clearance-limit-unset", |p| p.limits.hitch_height_min = None).is_none());
        assert_eq!(verdict(|p| p.limits = Limits::default()), Verdict::Review);
    }
}
