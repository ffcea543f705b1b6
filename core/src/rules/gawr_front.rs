//! The front axle keeps its rating, hitched and unhitched.
//!
//! The tongue load lifts the front, so the heavier case is usually the drive to the trailer.

use super::run::limits::Rated;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "gawr-front",
    title: "the front axle is not over its rating",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.front.gawr", "vehicle.front.kerb_kg", "items"],
    remedy: "Move load rearward or take some out.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (limit, load) =
        (case.plan.vehicle.front.gawr, case.figures.axles.map(|axles| axles.front_before.max(axles.front)));
    let rated = Rated { field: "vehicle.front.gawr", by: "the front axle's load", limit, load };
    rated.check(findings, |f, load, over, rating| write!(f, "front axle {load} is {over} over its {rating} rating"));
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn the_unhitched_front_axle_counts() {
        // Worked by moments: 1363.9 kg before hitching, 1290 kg hitched.
        assert_eq!(
            message("gawr-front", |p| vehicle(p).front.gawr = Some(kg(1300.0))),
            "front axle 1,364 kg is 64 kg over its 1,300 kg rating"
        );
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        let at = report(|_| ()).figures.axles.unwrap().front_before;
        assert!(finding("gawr-front", |p| vehicle(p).front.gawr = Some(at)).is_none());
    }

    #[test]
    fn a_missing_rating_blocks() {
        assert_eq!(verdict(|p| vehicle(p).front.gawr = None), Verdict::Blocked);
    }
}
