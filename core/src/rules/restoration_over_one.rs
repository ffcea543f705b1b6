//! Spring bars must not give back more than hitching took: above that they overload the front axle and the receiver.
//!
//! How much they are to give back is the handbook's to say, all of it or half; bars of which nobody says it are for a person
//! to decide.

use super::run::finding::Against;
use super::run::words::{Load, Over, Percent, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "restoration-over-one",
    title: "spring bars give back no more than the front axle lost",
    severity: Severity::Block,
    source: Source::new("vehicle handbooks, front axle restoration with weight-distributing hitches", "", Seen::Opened),
    needs: &["spring_bars", "restoration_share", "vehicle.front.gawr", "tongue_load"],
    remedy: "Slacken the bars to what the vehicle's handbook asks for; weigh the front axle before, hitched and with bars.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    if plan.spring_bars != Some(true) {
        return;
    }
    let Some(share) = plan.restoration else {
        return findings.unknown_as_review(
            "restoration_share",
            format_args!("nobody says how much of the front load the bars give back"),
        );
    };
    if share > 1.0 {
        findings.breach(
            "restoration_share",
            Against::new(share, 1.0, "share"),
            format_args!(
                "the bars give back {} of what hitching took off the front axle; {} is all of it",
                Percent(share),
                Percent(1.0)
            ),
        );
    }
    let (Ok(axles), Some(gawr)) = (case.figures.axles, plan.vehicle.front.gawr) else { return };
    let with = axles.front + (axles.front_before - axles.front) * share;
    if with.exceeds(gawr) && !axles.front.exceeds(gawr) {
        findings.breach(
            "vehicle.front.gawr",
            Against::new(with.kg(), gawr.kg(), "kg"),
            format_args!(
                "front axle with the bars {} is {} over its {} rating",
                Load(with.kg()),
                Over(with.kg(), gawr.kg()),
                Rating(gawr.kg())
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Verdict};

    fn bars(share: Option<f64>, gawr: f64) -> Option<Finding> {
        finding("restoration-over-one", move |p| {
            p.spring_bars = Some(true);
            p.restoration = share;
            vehicle(p).front.gawr = Some(kg(gawr));
        })
    }

    #[test]
    fn too_tight_bars_are_blocked_and_all_of_it_is_allowed() {
        assert_eq!(
            bars(Some(1.2), 1550.0).unwrap().message,
            "the bars give back 120.0 % of what hitching took off the front axle; 100.0 % is all of it"
        );
        assert!(bars(Some(1.0), 1550.0).is_none() && bars(Some(0.5), 1550.0).is_none());
    }

    /// Worked example on an invented van, derived: 1290.104 kg hitched, 1363.951 kg with everything given back.
    #[test]
    fn the_front_axle_keeps_its_rating_with_the_bars() {
        assert_eq!(
            bars(Some(1.0), 1340.0).unwrap().message,
            "front axle with the bars 1,364 kg is 24 kg over its 1,340 kg rating"
        );
        assert!(bars(Some(0.5), 1340.0).is_none());
    }

    #[test]
    fn bars_of_which_nobody_says_how_tight_are_for_a_person() {
        assert!(bars(None, 1550.0).is_some_and(|found| found.unknown));
        assert_eq!(verdict(|p| p.spring_bars = Some(true)), Verdict::Review);
        assert!(finding("restoration-over-one", |p| p.restoration = Some(1.5)).is_none(), "no bars, no question");
    }
}
