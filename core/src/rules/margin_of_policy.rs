//! Of every rating in kg or kN the share that the shop's policy asks for stays unused.
//!
//! Reads what the rules before it noted, so it stands behind them.

use super::run::finding::{Against, Near};
use super::run::words::{Measured, Percent, spoken};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "margin-of-policy",
    title: "the margin that the shop's policy asks for is left on every rating",
    severity: Severity::Review,
    source: Source::new("a shop sets its own margin", "", Seen::CommonPractice),
    needs: &["policy"],
    remedy: "Load less, choose heavier-rated parts, or agree on another margin.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(margin) = case.plan.policy.as_deref().and_then(|policy| policy.rating_margin) else { return };
    for Near { subject, against } in findings.kept() {
        let Against { value, limit, unit } = against;
        let usable = limit * (1.0 - margin);
        // Only ratings: a load kept below them. Least values are limits of another kind.
        if !matches!(unit, "kg" | "kn") || limit < value || value <= usable {
            continue;
        }
        findings.breach(
            subject,
            Against::new(value, usable, unit),
            format_args!(
                "{subject}: {} {} leaves {} of the rating; the shop's policy asks for {}, so at most {} {}",
                Measured(value, unit),
                spoken(unit),
                Percent((limit - value) / limit),
                Percent(margin),
                Measured(usable, unit),
                spoken(unit),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{policy::Policy, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn margin(share: f64) -> impl Fn(&mut Upfit) {
        move |p| p.policy = Some(Arc::new(Policy { rating_margin: Some(share), ..Policy::default() }))
    }

    fn gvwr(share: f64) -> Option<crate::rules::Finding> {
        report(margin(share))
            .findings
            .into_iter()
            .find(|f| f.rule.id == "margin-of-policy" && f.subject == "vehicle.gvwr")
    }

    #[test]
    fn the_margin_is_asked_of_every_rating() {
        // The plan weighs 3067 of 3200 kg: 4.15625 % are left.
        assert!(gvwr(0.041_562_5).is_none());
        let found = gvwr(0.05).unwrap();
        assert_eq!(
            found.message,
            "vehicle.gvwr: 3,067.0 kg leaves 4.2 % of the rating; the shop's policy asks for 5.0 %, so at most \
             3,040.0 kg"
        );
        assert_eq!(verdict(margin(0.05)), Verdict::Review);
        assert!(finding("margin-of-policy", |_| ()).is_none());
    }
}
