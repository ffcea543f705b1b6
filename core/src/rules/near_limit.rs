//! A value within half a hundredth of its limit, or more where the shop's policy says so, is kept, but only just: the next passenger breaks it.
//!
//! Reads what the rules before it noted, so it stands last.

use super::run::finding::{Against, NEAR_SHARE, Near};
use super::run::words::{Measured, Percent, spoken};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "near-limit",
    title: "no value lies within 0.5 % of its limit",
    severity: Severity::Warn,
    source: Source::new("half a hundredth of the limit", "", Seen::CommonPractice),
    needs: &[],
    remedy: "Weigh again before the train goes out, and leave a margin.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let own = case.plan.policy.as_deref().and_then(|policy| policy.near_share);
    let share = own.map_or(NEAR_SHARE, |own| own.max(NEAR_SHARE));
    for Near { subject, against } in findings.take_near() {
        if !against.is_within(share) {
            continue;
        }
        let Against { value, limit, unit } = against;
        findings.breach(
            subject,
            against,
            format_args!(
                "{subject} is kept, but within {}: {} against {} {}",
                Percent(share),
                Measured(value, unit),
                Measured(limit, unit),
                spoken(unit)
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn near_is_half_a_hundredth_of_the_limit() {
        let near = |gvwr: f64| finding("near-limit", |p| vehicle(p).gvwr = Some(kg(gvwr)));
        assert_eq!(near(3067.0).unwrap().message, "vehicle.gvwr is kept, but within 0.5 %: 3,067.0 against 3,067.0 kg");
        // 3067 / 0.995 = 3082.41 kg.
        assert!(near(3082.4).is_some());
        assert!(near(3082.5).is_none());
        assert_eq!(verdict(|p| vehicle(p).gvwr = Some(kg(3067.0))), Verdict::Clear);
    }

    #[test]
    fn what_is_broken_is_not_called_near() {
        let report = report(|p| vehicle(p).gvwr = Some(kg(3066.0)));
        assert!(report.findings.iter().all(|f| f.rule.id != "near-limit" || f.subject != "vehicle.gvwr"));
    }
}
