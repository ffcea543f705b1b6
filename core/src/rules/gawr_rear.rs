//! The rear axle keeps its rating, hitched.
//!
//! With spring bars planned, `rear-axle-without-bars` looks at the same load instead.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "gawr-rear",
    title: "the rear axle is not over its rating",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.rear.gawr", "vehicle.rear.kerb_kg", "items", "tongue_load"],
    remedy: "Move load ahead of the rear axle, lower the tongue load within its window, or choose a \
        heavier-rated vehicle.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.spring_bars == Some(true) {
        return;
    }
    over(case, findings, "rear axle");
}

/// Holds the rear axle's load, without any help from spring bars, against its rating.
pub fn over(case: &Case<'_>, findings: &mut Findings, what: &str) {
    let Some(limit) = case.plan.vehicle.rear.gawr else {
        return findings.no_limit(Unknown::missing("vehicle.rear.gawr"), "the rear axle's load");
    };
    match case.figures.axles {
        Err(unknown) => findings.unknown(unknown, "the rear axle's load"),
        Ok(axles) => {
            let load = axles.rear.max(axles.rear_before);
            let against = Against::new(load.kg(), limit.kg(), "kg");
            if load <= limit {
                return findings.keeps("vehicle.rear.gawr", against);
            }
            findings.breach(
                "vehicle.rear.gawr",
                against,
                format_args!(
                    "{what} {} is {} over its {} rating",
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
    fn an_overloaded_rear_axle_is_blocked() {
        // Worked by moments: 1010 + 59.8 + 362.6 + 48.5 + 12.2 + 283.8 = 1776.9 kg.
        assert_eq!(
            message("gawr-rear", |p| vehicle(p).rear.gawr = Some(kg(1700.0))),
            "rear axle 1,777 kg is 77 kg over its 1,700 kg rating"
        );
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        let at = report(|_| ()).figures.axles.unwrap().rear;
        assert!(finding("gawr-rear", |p| vehicle(p).rear.gawr = Some(at)).is_none());
    }

    #[test]
    fn a_missing_rating_blocks() {
        assert_eq!(verdict(|p| vehicle(p).rear.gawr = None), Verdict::Blocked);
    }
}
