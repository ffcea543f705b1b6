//! Nothing is towed on a temporary spare.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "temporary-spare",
    title: "no temporary spare is fitted",
    severity: Severity::Block,
    source: Source::new("temporary spares are not rated for towing", "", Seen::CommonPractice),
    needs: &["vehicle.front.tyres.temporary_spare", "vehicle.rear.tyres.temporary_spare"],
    remedy: "Fit a full-size wheel before towing, or look at the wheels and answer.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    let axles = [
        ("vehicle.front.tyres.temporary_spare", "front", &vehicle.front),
        ("vehicle.rear.tyres.temporary_spare", "rear", &vehicle.rear),
    ];
    for (subject, word, axle) in axles {
        match axle.tyres.as_ref().and_then(|tyres| tyres.temporary_spare) {
            Some(false) => (),
            Some(true) => findings.add(subject, format_args!("a temporary spare is fitted on the {word} axle")),
            None => findings.unknown(Unknown::missing(subject), "what may be towed on these wheels"),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_spare_is_blocked_and_an_unseen_wheel_reviewed() {
        assert_eq!(verdict(|p| rear_tyres(p).temporary_spare = Some(true)), Verdict::Blocked);
        assert_eq!(verdict(|p| front_tyres(p).temporary_spare = None), Verdict::Review);
        assert!(finding("temporary-spare", |_| ()).is_none());
    }
}
