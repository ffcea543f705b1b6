//! The check digit in position 9 fits the other sixteen characters.
//!
//! Built for North America, a misfit blocks; elsewhere position 9 is free and a misfit is only worth knowing. A fit
//! makes a number plausible, not right.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::vin::Vin;
use crate::model::vehicle::Market;

/// The rule.
pub static RULE: Rule = Rule {
    id: "vin-check-digit",
    title: "the check digit of the vehicle identification number fits",
    severity: Severity::Block,
    source: Source::new("49 CFR 565, check digit tables, as reprinted on two public pages", "", Seen::Opened),
    needs: &["vin", "vehicle.market"],
    remedy: "Read the number again from the vehicle; look for swapped or look-alike characters.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(Ok(vin)) = case.plan.vin.as_deref().map(Vin::read) else { return };
    let digit = vin.check();
    match case.plan.vehicle.market {
        None => findings.unknown(Unknown::missing("vehicle.market"), "whether position 9 is a check digit"),
        Some(_) if digit.fits() => (),
        Some(market) => {
            let severity = if market == Market::NorthAmerica { Severity::Block } else { Severity::Info };
            findings.add_as(
                severity,
                "vin",
                format_args!("position 9 of {vin} is {}, the other characters ask for {}", digit.found, digit.wanted),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{upfit::Upfit, vehicle::Market};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_wrong_digit_blocks_in_north_america_only() {
        // One digit of the published sample 1G4AH59H45G118341 changed.
        let wrong = |p: &mut Upfit| {
            p.vin = Some("1G4AH59H45G118331".into());
            p.model_year = None;
        };
        assert_eq!(
            message("vin-check-digit", wrong),
            "position 9 of 1G4AH59H45G118331 is 4, the other characters ask for 1"
        );
        assert_eq!(verdict(wrong), Verdict::Blocked);
        let abroad = report(|p| {
            wrong(p);
            vehicle(p).market = Some(Market::Other);
        });
        assert_eq!(abroad.verdict, Verdict::Clear);
        assert_eq!(abroad.findings[0].severity, Severity::Info);
    }

    #[test]
    fn a_fitting_digit_says_nothing_and_an_unknown_market_is_reviewed() {
        assert!(finding("vin-check-digit", |p| p.vin = Some("1G4AH59H45G118341".into())).is_none());
        assert_eq!(verdict(|p| vehicle(p).market = None), Verdict::Review);
    }
}
