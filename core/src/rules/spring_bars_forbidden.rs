//! Some vehicles and some couplers must not have spring bars.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::vehicle::SpringBarRule;

/// The rule.
pub static RULE: Rule = Rule {
    id: "spring-bars-forbidden",
    title: "no spring bars where vehicle or coupler forbids them",
    severity: Severity::Block,
    source: Source::new("vehicle handbooks, weight-distributing hitch section", "", Seen::Opened),
    needs: &["spring_bars", "vehicle.spring_bars", "coupler.forbids_spring_bars"],
    remedy: "Leave the bars out, and check the limits without them.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    match case.plan.spring_bars {
        Some(false) => return,
        // They go with a ball behind the bumper: in the bed nobody asks for them.
        None if case.plan.hangs_in_bed() => return,
        None => return findings.unknown(Unknown::missing("spring_bars"), "which ratings apply"),
        Some(true) => (),
    }
    if case.plan.hangs_in_bed() {
        return findings.add(
            "spring_bars",
            format_args!("spring bars go with a ball behind the bumper, not with a coupling in the bed"),
        );
    }
    if case.plan.vehicle.spring_bars == Some(SpringBarRule::Forbidden) {
        findings.add("spring_bars", format_args!("spring bars are planned and the vehicle's maker forbids them"));
    }
    match case.plan.coupler.as_deref().map(|coupler| coupler.forbids_spring_bars) {
        Some(Some(true)) => {
            findings.add("spring_bars", format_args!("spring bars are planned and the coupler's maker forbids them"));
        }
        Some(None) => findings.unknown(Unknown::missing("coupler.forbids_spring_bars"), "the spring bars"),
        Some(Some(false)) | None => (),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::vehicle::SpringBarRule;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn forbidden_bars_are_blocked() {
        assert_eq!(
            message("spring-bars-forbidden", |p| {
                p.spring_bars = Some(true);
                vehicle(p).spring_bars = Some(SpringBarRule::Forbidden);
            }),
            "spring bars are planned and the vehicle's maker forbids them"
        );
        assert!(
            finding("spring-bars-forbidden", |p| {
                p.spring_bars = Some(true);
                coupler(p).forbids_spring_bars = Some(true);
            })
            .is_some()
        );
        assert!(finding("spring-bars-forbidden", |p| p.spring_bars = Some(true)).is_none());
        assert!(
            finding("spring-bars-forbidden", |p| vehicle(p).spring_bars = Some(SpringBarRule::Forbidden)).is_none()
        );
    }

    #[test]
    fn nobody_knowing_is_not_clear() {
        assert_ne!(verdict(|p| p.spring_bars = None), Verdict::Clear);
        assert_ne!(
            verdict(|p| {
                p.spring_bars = Some(true);
                coupler(p).forbids_spring_bars = None;
            }),
            Verdict::Clear
        );
    }
}
