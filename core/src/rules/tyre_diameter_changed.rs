//! Tyres of another diameter change speedometer, gearing and every height that was measured on the old ones.
//!
//! Speaks when this unit carries other tyres than its entry names. More than three per cent is a warning (common practice,
//! no source).

use super::run::finding::Against;
use super::run::words::Percent;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::calc::tyres::Designation;

/// The rule.
pub static RULE: Rule = Rule {
    id: "tyre-diameter-changed",
    title: "tyres fitted instead of the maker's have nearly the same diameter",
    severity: Severity::Warn,
    source: Source::new("three per cent of the diameter", "", Seen::CommonPractice),
    needs: &[
        "unit_figures.front_tyre_designation",
        "unit_figures.rear_tyre_designation",
        "vehicle.front.tyres.designation",
    ],
    remedy: "Fit tyres of the maker's size, or measure heights and loaded radius anew and have the speedometer set.",
    check,
};

/// By which share of the old the new diameter may differ. Common practice, no source.
const MOST: f64 = 0.03;

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (plan, old) = (case.plan, &case.plan.maker_tyres);
    let axles = [
        ("front", "unit_figures.front_tyre_designation", &old.front, &plan.vehicle.front),
        ("rear", "unit_figures.rear_tyre_designation", &old.rear, &plan.vehicle.rear),
    ];
    for (name, field, old, axle) in axles {
        let (Some(old), Some(new)) = (old, axle.tyres.as_ref()) else { continue };
        let read = |text: &str| Designation::read(text).map(|read| read.overall_diameter());
        let (Ok(old), Ok(new)) = (read(old), read(&new.designation)) else {
            findings.unknown(Unknown::because(field, "or the entry's cannot be read"), "the change of diameter");
            continue;
        };
        let change = new / old - 1.0;
        if change.abs() > MOST {
            findings.breach(
                field,
                Against::new(change.abs(), MOST, "share"),
                format_args!(
                    "{name} tyres of {:.0} mm instead of {:.0} mm: {} off; more than {} is too much",
                    new.mm(),
                    old.mm(),
                    Percent(change.abs()),
                    Percent(MOST)
                ),
            );
        } else {
            findings.keeps(field, Against::new(change.abs(), MOST, "share"));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Severity};

    fn rear(old: &'static str, new: &'static str) -> Option<Finding> {
        finding("tyre-diameter-changed", move |p| {
            p.maker_tyres.rear = Some(old.to_owned());
            rear_tyres(p).designation = new.into();
        })
    }

    #[test]
    fn a_larger_tyre_is_told() {
        // 235/65R16: 711.90 mm, 275/65R18: 814.70 mm (shop page on tyre arithmetic, opened): 14.4 %.
        let found = rear("235/65R16C 115/113R", "275/65R18 115/113R").unwrap();
        assert_eq!(found.severity, Severity::Warn);
        assert_eq!(found.message, "rear tyres of 815 mm instead of 712 mm: 14.4 % off; more than 3.0 % is too much");
        assert!(rear("275/65R18", "235/65R16C 115/113R").is_some(), "a smaller one too");
    }

    #[test]
    fn three_per_cent_are_allowed() {
        // 711.9 · 1.03 / 25.4 = 28.86839 in.
        assert!(rear("235/65R16C", "28.868x9R16 115/113R").is_none());
        assert!(rear("235/65R16C", "28.869x9R16 115/113R").is_some());
        assert!(rear("235/65R16C 115/113R", "235/65R16C 115/113R").is_none());
    }

    #[test]
    fn what_cannot_be_read_is_for_a_person_and_no_change_is_silent() {
        assert!(rear("as delivered", "235/65R16C 115/113R").is_some_and(|found| found.unknown));
        assert!(finding("tyre-diameter-changed", |_| ()).is_none());
    }
}
