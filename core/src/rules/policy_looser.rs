//! A shop's policy may be tighter than what holds anyway, never looser. What is looser is not applied.
//!
//! Compared are the trade's tongue window where neither trailer nor vehicle prints one, the usual tolerance of the level,
//! the height window where the UN/EU coupling rules apply, the local brake threshold, and the usual losses of front load
//! and departure angle.

use super::run::finding::Against;
use super::run::region::Region;
use super::run::tongue_window::{self, usual_least, usual_most};
use super::run::words::{Measured, spoken};
use super::{Case, Findings, Rule, Severity};
use super::{
    ball_height, cab_clearance, departure_worse_than_before, front_axle_light, rail_clearance, terrain_touch,
    trailer_level,
};
use crate::basis::{Seen, Source};
use crate::model::policy::Policy;
use crate::tables::brake_thresholds;

/// The rule.
pub static RULE: Rule = Rule {
    id: "policy-looser",
    title: "the shop's policy is nowhere looser than the law or the custom of the trade",
    severity: Severity::Review,
    source: Source::new("a policy tightens limits and never loosens them", "", Seen::Derived),
    needs: &["policy", "jurisdiction"],
    remedy: "Correct the policy; the tighter limit was applied.",
    check,
};

/// One limit of a policy beside the one that holds anyway.
struct Pair {
    subject: &'static str,
    own: Option<f64>,
    holds: Option<f64>,
    unit: &'static str,
    /// Whether it is a least value, so that less of it is looser.
    least: bool,
}

fn pairs(case: &Case<'_>, policy: &Policy) -> [Pair; 11] {
    let plan = case.plan;
    let trailer = plan.trailer.as_deref();
    let printed_least = trailer.and_then(|t| t.tongue_share_min).or(tongue_window::handbook(case.plan).0);
    let printed_most = trailer.and_then(|t| t.tongue_share_max).or(tongue_window::handbook(case.plan).1);
    let single = trailer.is_some_and(|trailer| trailer.axle_count == Some(1));
    let level = if single { trailer_level::SINGLE_MM } else { trailer_level::SEVERAL_MM };
    let (low, high) = ball_height::WINDOW_MM;
    let european = Region::of(plan) == Region::Europe;
    let unbraked_to = plan.jurisdiction.as_deref().and_then(brake_thresholds::find).map(|row| row.unbraked_to.kg());
    let pair = |subject, own, holds, unit, least| Pair { subject, own, holds, unit, least };
    [
        pair(
            "policy.tongue_min_share",
            policy.limits.tongue_share_min,
            printed_least.is_none().then(|| usual_least(plan)),
            "share",
            true,
        ),
        pair(
            "policy.tongue_max_share",
            policy.limits.tongue_share_max,
            if printed_most.is_none() { usual_most(plan) } else { None },
            "share",
            false,
        ),
        pair("policy.level_tolerance_mm", policy.limits.level_tolerance.map(|x| x.mm()), Some(level), "mm", false),
        pair(
            "policy.terrain_margin_mm",
            policy.limits.terrain_margin.map(|x| x.mm()),
            Some(terrain_touch::USUAL_MARGIN_MM),
            "mm",
            true,
        ),
        pair(
            "policy.cab_gap_min_mm",
            policy.limits.cab_gap_min.map(|x| x.mm()),
            Some(cab_clearance::USUAL_MARGIN_MM),
            "mm",
            true,
        ),
        pair(
            "policy.rail_gap_min_mm",
            policy.limits.rail_gap_min.map(|x| x.mm()),
            Some(rail_clearance::USUAL_MARGIN_MM),
            "mm",
            true,
        ),
        pair("policy.ball_height_min_mm", policy.ball_height_min.map(|x| x.mm()), european.then_some(low), "mm", true),
        pair(
            "policy.ball_height_max_mm",
            policy.ball_height_max.map(|x| x.mm()),
            european.then_some(high),
            "mm",
            false,
        ),
        pair("policy.brakes_above_kg", policy.brakes_above.map(|x| x.kg()), unbraked_to, "kg", false),
        pair("policy.front_loss_max_share", policy.front_loss_max, Some(front_axle_light::LOSS_MAX), "share", false),
        pair(
            "policy.departure_loss_max_share",
            policy.departure_loss_max,
            Some(departure_worse_than_before::LOSS_MAX),
            "share",
            false,
        ),
    ]
}

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(policy) = case.plan.policy.as_deref() else { return };
    for Pair { subject, own, holds, unit, least } in pairs(case, policy) {
        let (Some(own), Some(holds)) = (own, holds) else { continue };
        if if least { holds <= own } else { own <= holds } {
            continue;
        }
        let word = if least { "least" } else { "greatest" };
        findings.breach(
            subject,
            Against::new(own, holds, unit),
            format_args!(
                "the policy's {word} of {} {unit} is looser than {} {}, which holds anyway; it is not applied",
                Measured(own, unit),
                Measured(holds, unit),
                spoken(unit),
                unit = spoken(unit),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::policy::Policy;
    use crate::model::upfit::{Limits, TongueLoad, Upfit};
    use crate::rules::run::fixture::*;
    use crate::rules::{Verdict, check};

    fn under(policy: Policy) -> Upfit {
        plan().under(Some(Arc::new(policy)))
    }

    fn shares(least: f64, most: f64) -> Policy {
        let limits = Limits { tongue_share_min: Some(least), tongue_share_max: Some(most), ..Limits::default() };
        Policy { limits, ..Policy::default() }
    }

    #[test]
    fn a_looser_limit_is_named_and_not_applied() {
        let mut loose = under(shares(0.05, 0.20));
        loose.tongue = Some(TongueLoad::Share(0.08));
        let report = check(&loose);
        let of = |rule: &str| report.findings.iter().filter(|f| f.rule.id == rule).count();
        assert_eq!((of("policy-looser"), of("tongue-share-low")), (2, 1));
        assert_eq!(
            report.findings.iter().find(|f| f.rule.id == "policy-looser").unwrap().message,
            "the policy's least of 0.050 of one is looser than 0.100 of one, which holds anyway; it is not applied"
        );
    }

    #[test]
    fn what_holds_anyway_may_be_repeated_and_tightened() {
        assert_eq!(check(&under(shares(0.10, 0.15))).verdict, Verdict::Clear);
        let tight = check(&under(shares(0.11, 0.15)));
        assert_eq!(tight.governing().map(|f| f.rule.id), Some("tongue-share-low"));
        assert!(finding("policy-looser", |_| ()).is_none());
        // Texas asks for brakes above 4500 lb: 2041.17 kg.
        let brakes = |kg: f64| Policy { brakes_above: Some(crate::units::Mass::from_kg(kg)), ..Policy::default() };
        assert!(check(&under(brakes(2100.0))).findings.iter().any(|f| f.rule.id == "policy-looser"));
        assert!(check(&under(brakes(2000.0))).findings.is_empty());
    }
}
