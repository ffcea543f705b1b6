//! The whole train keeps the combination rating. The tongue load counts once: it is part of the trailer's mass.

use super::run::limits::Rated;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "gcwr",
    title: "the train is not over its combination rating",
    severity: Severity::Block,
    source: Source::new("SAE J2807 scope, as reported by the motoring press", "", Seen::Opened),
    needs: &["vehicle.gcwr", "vehicle.front.kerb_kg", "vehicle.rear.kerb_kg", "items", "trailer_mass"],
    remedy: "Load the trailer or the vehicle less, or choose a vehicle with a higher combination rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (limit, load) = (case.plan.vehicle.gcwr, case.figures.combination);
    let rated = Rated { field: "vehicle.gcwr", by: "the train's weight", limit, load };
    rated.check(findings, |f, load, over, rating| {
        write!(f, "train {load} is {over} over its {rating} combination rating")
    });
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_train_over_its_rating_is_blocked_and_the_tongue_counts_once() {
        // 3067 + 2000 - 210 = 4857 kg.
        assert_eq!(
            message("gcwr", |p| vehicle(p).gcwr = Some(kg(4800.0))),
            "train 4,857 kg is 57 kg over its 4,800 kg combination rating"
        );
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        let at = report(|_| ()).figures.combination.unwrap();
        assert!((at.kg() - 4857.0).abs() < 1e-9);
        assert!(finding("gcwr", |p| vehicle(p).gcwr = Some(at)).is_none());
    }

    #[test]
    fn missing_inputs_are_not_clear() {
        assert_eq!(verdict(|p| vehicle(p).gcwr = None), Verdict::Blocked);
        assert_ne!(verdict(|p| p.trailer_mass = None), Verdict::Clear);
    }
}
