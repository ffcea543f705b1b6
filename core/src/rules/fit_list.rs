//! The receiver must be made for this vehicle: its fit list names it.
//!
//! A vehicle or receiver given inline has no name to look for; then a person must compare.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit-list",
    title: "the receiver is made for this vehicle",
    severity: Severity::Block,
    source: Source::new("a receiver is drilled for one frame", "", Seen::CommonPractice),
    needs: &["vehicle", "receiver"],
    remedy: "Choose a receiver whose fit list names this wheelbase, body and drive, or ask its maker for a fit \
        statement.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let vehicle = &case.plan.vehicle;
    if let Some(coupling) = case.plan.bed_coupling.as_deref() {
        if vehicle.name.is_empty() && !coupling.fits.is_empty() {
            let why = "is given without an entry name";
            findings.unknown(Unknown::because("vehicle", why), "the fit list of the coupling in the bed");
        } else if coupling.fit_for(&vehicle.name).is_none() {
            findings.add(
                "bed_coupling",
                format_args!("{} is not made for {}: it is not in its fit list", coupling.label, vehicle.label),
            );
        }
    }
    let Some(receiver) = &case.plan.receiver else {
        // What hangs in the bed needs no receiver.
        if !case.plan.hangs_in_bed() {
            findings.unknown(Unknown::missing("receiver"), "everything that hangs on it");
        }
        return;
    };
    if vehicle.name.is_empty() && !receiver.fits.is_empty() {
        let why = "is given without an entry name";
        return findings.unknown(Unknown::because("vehicle", why), "the receiver's fit list");
    }
    if receiver.fit_for(&vehicle.name).is_none() {
        findings.add(
            "receiver",
            format_args!("{} is not made for {}: it is not in its fit list", receiver.label, vehicle.label),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_receiver_for_another_vehicle_is_blocked() {
        assert_eq!(
            message("fit-list", |p| fit(p).vehicle = "vehicles/van-b".into()),
            "class 3 receiver is not made for van A, long wheelbase: it is not in its fit list"
        );
    }

    #[test]
    fn no_receiver_or_no_name_is_not_clear() {
        assert_ne!(verdict(|p| p.receiver = None), Verdict::Clear);
        assert!(finding("fit-list", |p| vehicle(p).name.clear()).is_some_and(|f| f.unknown));
        assert!(finding("fit-list", |p| receiver(p).fits.clear()).is_some_and(|f| f.severity == Severity::Block));
    }
}
