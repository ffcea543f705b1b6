//! At full lock the tail swings out no further than the shop allows; gear that sticks out counts.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tail-swing",
    title: "the tail swings out no further than allowed",
    severity: Severity::Review,
    source: Source::new("geometry in plan: the tail's corner on its circle", "", Seen::Derived),
    needs: &["limits.tail_swing_max_mm", "vehicle.tail", "ball_mount.length_mm", "receiver.fits"],
    remedy: "Take a shorter ball mount, or take it out when no trailer is on.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (Some(limit), Some(swing)) = (case.plan.limits.tail_swing_max, &case.figures.turning.swing) else { return };
    let swing = match swing {
        Ok(swing) => swing.mm(),
        Err(unknown) => return findings.unknown(*unknown, "the tail swing"),
    };
    let against = Against::new(swing, limit.mm(), "mm");
    if swing <= limit.mm() {
        return findings.keeps("limits.tail_swing_max_mm", against);
    }
    findings.breach(
        "limits.tail_swing_max_mm",
        against,
        format_args!("the tail swings out {swing:.0} mm at full lock; {:.0} mm is allowed", limit.mm()),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;

    fn limited(limit: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            seen_from_above(p);
            p.limits.tail_swing_max = Some(mm(limit));
        }
    }

    /// Derived: √(7000² + 1280²) − 7000, the ball 1280 behind the rear axle.
    #[test]
    fn too_wide_a_swing_is_reviewed_and_exactly_the_limit_is_not() {
        let exact = 7000.0_f64.hypot(1280.0) - 7000.0;
        assert!((exact - 116.066).abs() < 0.5e-3, "{exact}");
        assert_eq!(message("tail-swing", limited(100.0)), "the tail swings out 116 mm at full lock; 100 mm is allowed");
        let seen = report(limited(exact)).figures.turning.swing.unwrap().unwrap();
        assert!(finding("tail-swing", limited(seen.mm())).is_none());
        assert!(finding("tail-swing", limited(seen.mm() - 1e-6)).is_some());
    }

    #[test]
    fn an_unknown_width_is_asked_for_and_no_limit_is_no_question() {
        let asked = finding("tail-swing", |p| p.limits.tail_swing_max = Some(mm(100.0))).unwrap();
        assert!(asked.unknown && &*asked.subject == "vehicle.tail", "{asked:?}");
        assert!(finding("tail-swing", seen_from_above).is_none());
    }
}
