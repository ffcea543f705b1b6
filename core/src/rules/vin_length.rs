//! A vehicle identification number has 17 legal characters; I, O and Q are not among them.
//!
//! Nothing is rewritten: a likely slip is offered, and a person corrects it. Vehicles from before 1981 and home-built
//! ones have no such number: leave it out, and the plan goes to a person.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::vin::Vin;
use crate::error::CalcError;

/// The rule.
pub static RULE: Rule = Rule {
    id: "vin-length",
    title: "the vehicle identification number has 17 legal characters",
    severity: Severity::Block,
    source: Source::new("49 CFR 565, as quoted in a public repository", "", Seen::Opened),
    needs: &["vin"],
    remedy: "Read the number again from the vehicle and from the registration paper.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(vin) = case.plan.vin.as_deref() else {
        return findings.unknown(Unknown::missing("vin"), "telling one vehicle from another");
    };
    match Vin::read(vin) {
        Ok(_) => (),
        Err(CalcError::Unreadable { why, .. }) => findings.add("vin", format_args!("{vin} is no such number: {why}")),
        Err(error) => findings.add("vin", format_args!("{vin} is no such number: {error}")),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn seventeen_characters_without_lookalikes() {
        let vin = |text: &str| finding("vin-length", |p| p.vin = Some(text.to_owned()));
        // Published sample of 49 CFR 565.
        assert!(vin("1M8GDM9AXKP042788").is_none());
        assert!(vin("1M8GDM9AXKP04278").is_some_and(|f| f.severity == Severity::Block));
        assert!(vin("1M8GDM9AXKP0427888").is_some());
        assert!(vin("1M8GDM9AXKPO42788").is_some_and(|f| f.message.contains("position 12")));
    }

    #[test]
    fn no_number_is_reviewed() {
        assert_eq!(verdict(|p| p.vin = None), Verdict::Review);
    }
}
