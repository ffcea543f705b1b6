//! Tyres of one axle share size and load index; the weakest would carry what its neighbour does not.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tyre-mix",
    title: "all tyres of an axle are alike",
    severity: Severity::Block,
    source: Source::new("one size and load index an axle", "", Seen::CommonPractice),
    needs: &["vehicle.front.tyres.same_across_axle", "vehicle.rear.tyres.same_across_axle"],
    remedy: "Fit tyres of one size and load index across the axle, or look at the side walls and answer.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    let axles = [
        ("vehicle.front.tyres.same_across_axle", "front", &vehicle.front),
        ("vehicle.rear.tyres.same_across_axle", "rear", &vehicle.rear),
    ];
    for (subject, word, axle) in axles {
        match axle.tyres.as_ref().and_then(|tyres| tyres.same_across_axle) {
            Some(true) => (),
            Some(false) => {
                findings.add(subject, format_args!("{word} axle carries tyres of different size or load index"))
            }
            None => findings.unknown(Unknown::missing(subject), "the axle's tyres"),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn mixed_tyres_are_blocked_and_unseen_ones_reviewed() {
        assert_eq!(verdict(|p| rear_tyres(p).same_across_axle = Some(false)), Verdict::Blocked);
        assert_eq!(verdict(|p| front_tyres(p).same_across_axle = None), Verdict::Review);
        assert!(finding("tyre-mix", |_| ()).is_none());
    }
}
