//! A reading is the torque that was planned, give or take the usual tolerance.
//!
//! Readings of a re-check are not compared: a bolt that settled turns at less, and is brought back.

use super::run::finding::Against;
use super::run::joints::TOLERANCE;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "torque-reading-off",
    title: "every torque reading is the planned torque within a tenth",
    severity: Severity::Review,
    source: Source::new("US Army TM 5-3800-205-23-1, torque limits", "", Seen::Opened),
    needs: &["work.readings", "joints.planned_torque"],
    remedy: "Loosen the bolt, tighten it again to the planned torque, and write down the new reading.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (place, reading) in work.readings.iter().enumerate().filter(|(_, reading)| !reading.recheck) {
        let joint = case.plan.joints.iter().find(|joint| joint.id == reading.joint);
        // A joint without a planned torque and a reading without a number are told elsewhere.
        let Some((planned, read)) = joint.and_then(|joint| joint.planned_torque).zip(reading.torque) else { continue };
        let (least, most) = (planned.n_m() * (1.0 - TOLERANCE), planned.n_m() * (1.0 + TOLERANCE));
        let limit = if read.n_m() < planned.n_m() { least } else { most };
        if least <= read.n_m() && read.n_m() <= most {
            continue;
        }
        findings.breach(
            format!("work.readings[{place}].torque"),
            Against::new(read.n_m(), limit, "n_m"),
            format_args!(
                "joint {} was read at {:.1} N·m; {:.1} N·m is planned, {least:.1} to {most:.1} pass",
                reading.joint,
                read.n_m(),
                planned.n_m()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Torque;

    #[test]
    fn a_tenth_is_allowed_and_no_more() {
        let read =
            |n_m: f64| finding("torque-reading-off", |p| work(p).readings[0].torque = Some(Torque::from_n_m(n_m)));
        assert_eq!(
            read(70.0).unwrap().message,
            "joint frame-side was read at 70.0 N·m; 88.0 N·m is planned, 79.2 to 96.8 pass"
        );
        assert!(read(88.0 * 0.9).is_none() && read(88.0 * 1.1).is_none());
        assert!(read(96.81).is_some());
    }

    #[test]
    fn a_reading_nobody_took_is_not_clear() {
        assert_eq!(verdict(|p| work(p).readings[0].torque = None), Verdict::Blocked);
    }
}
