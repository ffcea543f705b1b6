//! Angles and heights are judged laden: what passes empty can lose half its departure angle.
//!
//! Asks for whatever the laden state lacks. An axle that levels itself does not follow its load: then the laden height
//! must be measured.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "laden-state-unknown",
    title: "the laden height can be told",
    severity: Severity::Review,
    source: Source::new("springs in series under the change of load", "", Seen::Derived),
    needs: &[
        "vehicle.front.suspension_rate_n_per_mm",
        "vehicle.rear.suspension_rate_n_per_mm",
        "vehicle.front.tyres",
        "vehicle.rear.tyres",
    ],
    remedy: "Measure the laden height, or enter the axle rates measured at the wheels.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if let Err(unknown) = case.figures.sag {
        findings.unknown(unknown, "the laden height");
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn unknown_springs_and_self_levelling_are_reviewed() {
        let knocks: &[(&str, Change)] = &[
            ("vehicle.rear.suspension_rate_n_per_mm", |p| vehicle(p).rear.suspension_rate = None),
            ("vehicle.front.tyres.rate_n_per_mm", |p| front_tyres(p).rate = None),
            ("vehicle.rear.tyres.loaded_radius_mm", |p| rear_tyres(p).loaded_radius = None),
            ("vehicle.rear.self_levelling", |p| vehicle(p).rear.self_levelling = None),
            ("vehicle.rear.self_levelling", |p| vehicle(p).rear.self_levelling = Some(true)),
        ];
        for (path, knock) in knocks {
            assert_eq!(finding("laden-state-unknown", knock).map(|f| f.subject.into_owned()).as_deref(), Some(*path));
            assert_eq!(verdict(knock), Verdict::Review, "{path}");
        }
        assert!(finding("laden-state-unknown", |_| ()).is_none());
    }
}
