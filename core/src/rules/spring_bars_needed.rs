//! Some vehicles must have spring bars above a trailer mass that their handbook prints.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::vehicle::SpringBarRule;

/// The rule.
pub static RULE: Rule = Rule {
    id: "spring-bars-needed",
    title: "spring bars are planned where the vehicle maker requires them",
    severity: Severity::Block,
    source: Source::new("vehicle handbooks, weight-distributing hitch section", "", Seen::Opened),
    needs: &["vehicle.spring_bars", "trailer_mass", "spring_bars"],
    remedy: "Plan spring bars rated for this receiver and coupler, or tow a lighter trailer.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    // Bars go with a ball behind the bumper.
    if case.plan.hangs_in_bed() {
        return;
    }
    let limit = match case.plan.vehicle.spring_bars {
        Some(SpringBarRule::RequiredAbove(limit)) => limit,
        Some(SpringBarRule::Allowed | SpringBarRule::Forbidden) => return,
        None => return findings.no_limit(Unknown::missing("vehicle.spring_bars"), "whether spring bars are required"),
    };
    let Ok(load) = case.figures.trailer_mass else { return };
    if load <= limit {
        return findings.keeps("spring_bars", Against::new(load.kg(), limit.kg(), "kg"));
    }
    match case.plan.spring_bars {
        Some(true) => (),
        Some(false) => findings.breach(
            "spring_bars",
            Against::new(load.kg(), limit.kg(), "kg"),
            format_args!(
                "trailer {} needs spring bars: the vehicle requires them above {}",
                Load(load.kg()),
                Rating(limit.kg()),
            ),
        ),
        None => findings.unknown(Unknown::missing("spring_bars"), "a trailer that needs them"),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{upfit::Upfit, vehicle::SpringBarRule};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn above(limit: f64, planned: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            vehicle(p).spring_bars = Some(SpringBarRule::RequiredAbove(kg(limit)));
            p.spring_bars = planned;
        }
    }

    #[test]
    fn missing_bars_are_blocked() {
        assert_eq!(
            message("spring-bars-needed", above(1500.0, Some(false))),
            "trailer 2,000 kg needs spring bars: the vehicle requires them above 1,500 kg"
        );
        assert!(finding("spring-bars-needed", above(1500.0, Some(true))).is_none());
        assert!(finding("spring-bars-needed", above(2000.0, Some(false))).is_none());
    }

    #[test]
    fn unknown_rule_or_plan_is_not_clear() {
        assert_eq!(verdict(|p| vehicle(p).spring_bars = None), Verdict::Blocked);
        assert_eq!(verdict(above(1500.0, None)), Verdict::Review);
    }
}
