//! The load index given for a tyre is the one its designation prints; two numbers for one tyre are one too many.
//!
//! Only matters when both are there.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::tyres::indices_agree;

/// The rule.
pub static RULE: Rule = Rule {
    id: "tyre-marks-disagree",
    title: "a tyre's load index is the one its designation prints",
    severity: Severity::Review,
    source: Source::new("tyre designations and load indices, ISO 4000", "", Seen::Opened),
    needs: &["vehicle.front.tyres.designation", "vehicle.rear.tyres.designation", "trailer.tyres.designation"],
    remedy: "Read the side wall again and correct the designation or the index.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let trailer = case.plan.trailer.as_deref().and_then(|trailer| trailer.tyres.as_ref());
    let sets = [
        ("vehicle.front.tyres.load_index_code", case.plan.vehicle.front.tyres.as_ref()),
        ("vehicle.rear.tyres.load_index_code", case.plan.vehicle.rear.tyres.as_ref()),
        ("trailer.tyres.load_index_code", trailer),
    ];
    for (subject, tyres) in sets {
        if let Some(tyres) = tyres
            && indices_agree(tyres) == Some(false)
        {
            findings
                .add(subject, format_args!("the load index given is not the one that {} prints", tyres.designation));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn two_numbers_for_one_tyre_are_reviewed() {
        let found = finding("tyre-marks-disagree", |p| rear_tyres(p).load_index = Some(121)).unwrap();
        assert_eq!(found.subject, "vehicle.rear.tyres.load_index_code");
        assert_eq!(found.message, "the load index given is not the one that 235/65R16C 115/113R prints");
        assert!(finding("tyre-marks-disagree", |_| ()).is_none());
        assert!(finding("tyre-marks-disagree", |p| rear_tyres(p).designation = "235/65R16C".into()).is_none());
        assert_eq!(verdict(|p| trailer_tyres(p).load_index = Some(101)), Verdict::Review);
    }
}
