//! A coupling in the bed stands over the rear axle or ahead of it.
//!
//! Behind the axle the pin takes load off the front axle, as a ball behind the bumper does; the axle loads tell how much.
//! Common practice, no source: some makers print a window of their own, and theirs counts.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pin-behind-axle",
    title: "the coupling in the bed stands over the rear axle or ahead of it",
    severity: Severity::Warn,
    source: Source::new("a pin over the rear axle or ahead of it", "", Seen::CommonPractice),
    needs: &["bed_coupling.fits", "vehicle.wheelbase_mm"],
    remedy: "Move the coupling forward where its rails and the room behind the cab allow it.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    if !plan.hangs_in_bed() {
        return;
    }
    let pin = match case.figures.ball_station {
        Ok(pin) => pin,
        Err(unknown) => return findings.unknown(unknown, "where the pin stands"),
    };
    let axle = plan.vehicle.wheelbase;
    if pin <= axle {
        return;
    }
    findings.breach(
        "bed_coupling.fits",
        Against::new(pin.mm(), axle.mm(), "mm"),
        format_args!(
            "the pin stands {:.0} mm behind the rear axle: it takes load off the front axle",
            (pin - axle).mm()
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn at(station: Option<f64>) -> impl Fn(&mut crate::model::upfit::Upfit) {
        move |p| {
            in_bed(p);
            bed_coupling(p).fits[0].pin_station = station.map(mm);
        }
    }

    #[test]
    fn behind_the_axle_is_warned_of() {
        let found = finding("pin-behind-axle", at(Some(3700.0))).unwrap();
        assert_eq!(found.severity, Severity::Warn);
        assert_eq!(found.message, "the pin stands 60 mm behind the rear axle: it takes load off the front axle");
    }

    #[test]
    fn over_the_axle_is_allowed() {
        assert!(finding("pin-behind-axle", at(Some(3640.0))).is_none());
        assert!(finding("pin-behind-axle", at(Some(3640.001))).is_some());
        assert!(finding("pin-behind-axle", |_| ()).is_none(), "a ball behind the bumper is no pin");
    }

    #[test]
    fn a_place_nobody_measured_is_not_clear() {
        assert_ne!(verdict(at(None)), Verdict::Clear);
    }
}
