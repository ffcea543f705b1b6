//! Tongue load behind the rear axle lifts the front: steering and front brakes lose grip.
//!
//! Losing more than a tenth of the front load is a warning (common practice). Falling below the share that the handbook
//! prints is for a person to decide. No handbook share is not a fault: few print one.

use super::run::finding::Against;
use super::run::words::Percent;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "front-axle-light",
    title: "hitching does not lift the front axle too far",
    severity: Severity::Warn,
    source: Source::new("a tenth of the front load", "", Seen::CommonPractice),
    needs: &["vehicle.front_share_min_share", "vehicle.front.kerb_kg", "items", "tongue_load"],
    remedy: "Move load forward, lower the tongue load within its window, or plan spring bars where maker and \
        receiver allow them.",
    check,
};

/// The share of its load that the front axle may lose by hitching. Common practice, no source.
pub const LOSS_MAX: f64 = 0.10;

fn check(case: &Case<'_>, findings: &mut Findings) {
    let axles = match case.figures.axles {
        Ok(axles) => axles,
        Err(unknown) => return findings.unknown(unknown, "the front axle's grip"),
    };
    if let Some(least) = case.plan.vehicle.front_share_min {
        let share = axles.front_share();
        if share < least {
            findings.breach_as(
                Severity::Review,
                "vehicle.front_share_min_share",
                Against::new(share, least, "share"),
                format_args!(
                    "front axle carries {} of the vehicle; the handbook asks for {}",
                    Percent(share),
                    Percent(least)
                ),
            );
        }
    }
    let loss = axles.front_loss();
    let own = case.plan.policy.as_deref().and_then(|policy| policy.front_loss_max);
    let most = own.map_or(LOSS_MAX, |own| own.min(LOSS_MAX));
    if loss > most {
        findings.breach(
            "tongue_load",
            Against::new(loss, most, "share"),
            format_args!(
                "hitching takes {} off the front axle; more than {} is too light",
                Percent(loss),
                Percent(most)
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::TongueLoad;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_heavy_tongue_lifts_the_front() {
        // dF = T (1 - 4920/3640): 210 kg takes 73.8 of 1364 kg, 5.4 %; 400 kg takes 140.7 kg, 10.3 %.
        let found = finding("front-axle-light", |p| p.tongue = Some(TongueLoad::Load(kg(400.0)))).unwrap();
        assert_eq!(found.severity, Severity::Warn);
        assert_eq!(found.message, "hitching takes 10.3 % off the front axle; more than 10.0 % is too light");
    }

    #[test]
    fn the_handbook_share_calls_for_a_person() {
        let share = report(|_| ()).figures.axles.unwrap().front_share();
        assert!(finding("front-axle-light", |p| vehicle(p).front_share_min = Some(share)).is_none());
        let found = finding("front-axle-light", |p| vehicle(p).front_share_min = Some(0.45)).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(found.message, "front axle carries 42.1 % of the vehicle; the handbook asks for 45.0 %");
    }

    #[test]
    fn unknown_loads_are_not_clear() {
        assert_ne!(verdict(|p| vehicle(p).front.kerb = None), Verdict::Clear);
    }
}
