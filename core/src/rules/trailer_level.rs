//! The trailer tows level: the ball, laden, stands where the coupler is when the trailer stands level.
//!
//! 25 mm off is usual for one axle and 15 mm for more (common practice); the shop may ask for less.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "trailer-level",
    title: "the trailer tows level",
    severity: Severity::Warn,
    source: Source::new("25 mm for one axle, 15 mm for more", "", Seen::CommonPractice),
    needs: &[
        "trailer.coupler_height_level_mm",
        "receiver.fits",
        "ball_mount.drop_mm",
        "ball.height_mm",
        "limits.level_tolerance_mm",
    ],
    remedy: "Choose a ball mount with the drop shown in the figures.",
    check,
};

/// How far off a single axle may be, in millimetres. Common practice, no source.
pub const SINGLE_MM: f64 = 25.0;
/// How far off several axles, or an unknown number, may be.
pub const SEVERAL_MM: f64 = 15.0;

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    let ball = match case.figures.ball_height {
        Ok(ball) => ball,
        Err(unknown) => return findings.unknown(unknown, "how the trailer stands"),
    };
    let Some(level) = trailer.coupler_height_level else {
        return findings.unknown(Unknown::missing("trailer.coupler_height_level_mm"), "how the trailer stands");
    };
    let usual = if trailer.axle_count == Some(1) { SINGLE_MM } else { SEVERAL_MM };
    let tolerance = case.plan.limits.level_tolerance.map_or(usual, |own| own.mm().min(usual));
    let off = (ball - level).mm();
    if off.abs() <= tolerance {
        return;
    }
    let (what, field) = if case.plan.hangs_in_bed() {
        ("coupling in the bed", "bed_coupling.fits")
    } else {
        ("ball", "ball_mount.drop_mm")
    };
    let side = if off < 0.0 { "low" } else { "high" };
    findings.breach(
        field,
        Against::new(off.abs(), tolerance, "mm"),
        format_args!(
            "{what} stands {:.0} mm too {side} for a level trailer, laden; {tolerance:.0} mm is usual",
            off.abs()
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Rate;

    #[test]
    fn a_wrong_drop_is_warned_of() {
        // The drop that ignores the sag, 152 mm, puts the ball 131 mm too low.
        let found = finding("trailer-level", |p| mount(p).drop = Some(mm(152.0))).unwrap();
        assert_eq!(found.severity, Severity::Warn);
        assert_eq!(found.message, "ball stands 131 mm too low for a level trailer, laden; 15 mm is usual");
    }

    #[test]
    fn the_tolerance_depends_on_the_axles_and_the_shop_may_tighten_it() {
        let top = report(|_| ()).figures.ball_height.unwrap();
        let off = |by: f64, axles: i32, own: Option<f64>| {
            finding("trailer-level", |p| {
                trailer(p).coupler_height_level = Some(top + mm(by));
                trailer(p).axle_count = Some(axles);
                p.limits.level_tolerance = own.map(mm);
            })
        };
        assert!(off(25.0, 1, None).is_none() && off(25.001, 1, None).is_some());
        assert!(off(-15.0, 2, None).is_none() && off(-15.001, 2, None).is_some());
        assert!(off(10.0, 2, Some(5.0)).is_some() && off(20.0, 2, Some(50.0)).is_some());
    }

    #[test]
    fn unknown_heights_are_not_clear() {
        assert_ne!(verdict(|p| trailer(p).coupler_height_level = None), Verdict::Clear);
        assert_ne!(verdict(|p| ball(p).height = None), Verdict::Clear);
    }

    #[test]
    fn a_tail_that_sinks_past_any_height_is_told_of_its_axle() {
        let found = finding("trailer-level", |p| vehicle(p).rear.suspension_rate = Some(Rate::from_n_per_mm(12.0)));
        let found = found.unwrap();
        assert!(found.unknown && found.severity == Severity::Review, "{found:?}");
        assert_eq!(found.subject, "vehicle.rear.suspension_rate_n_per_mm");
        assert!(found.message.contains("500 mm"), "{}", found.message);
    }
}
