//! The whole train keeps the combination rating. The tongue load counts once: it is part of the trailer's mass.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
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
    let Some(limit) = case.plan.vehicle.gcwr else {
        return findings.no_limit(Unknown::missing("vehicle.gcwr"), "the train's weight");
    };
    match case.figures.combination {
        Err(unknown) => findings.unknown(unknown, "the train's weight"),
        Ok(load) => {
            let against = Against::new(load.kg(), limit.kg(), "kg");
            if load <= limit {
                return findings.keeps("vehicle.gcwr", against);
            }
            findings.breach(
                "vehicle.gcwr",
                against,
                format_args!(
                    "train {} is {} over its {} combination rating",
                    Load(load.kg()),
                    Over(load.kg(), limit.kg()),
                    Rating(limit.kg()),
                ),
            );
        }
    }
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
