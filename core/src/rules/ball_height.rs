//! Where the UN/EU coupling rules apply, the ball's centre stands 350 to 420 mm above ground, laden.
//!
//! The window is recalled, not read: outside it a person decides.

use super::run::finding::Against;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ball-height",
    title: "the ball stands within the height window",
    severity: Severity::Block,
    source: Source::new("UN Regulation 55, annex 7, height of the coupling ball", "", Seen::FromMemory),
    needs: &["receiver.fits", "ball_mount.drop_mm", "ball.height_mm", "ball.diameter"],
    remedy: "Choose a ball mount with another drop or rise.",
    check,
};

/// The lowest and the highest the ball's centre may stand, in millimetres.
pub const WINDOW_MM: (f64, f64) = (350.0, 420.0);

fn check(case: &Case<'_>, findings: &mut Findings) {
    if Region::of(case.plan) != Region::Europe || case.plan.hangs_in_bed() {
        return;
    }
    let top = match case.figures.ball_height {
        Ok(top) => top,
        Err(unknown) => return findings.unknown(unknown, "the height of the ball"),
    };
    let Some(diameter) = case.plan.ball.as_deref().and_then(|ball| ball.diameter) else { return };
    let centre = (top - diameter / 2.0).mm();
    let (low, high) = WINDOW_MM;
    let limit = if centre < low { low } else { high };
    if (low..=high).contains(&centre) {
        return;
    }
    findings.breach(
        "ball_mount.drop_mm",
        Against::new(centre, limit, "mm"),
        format_args!("ball's centre stands at {centre:.0} mm, laden; {low:.0} to {high:.0} mm is asked for"),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn dropped(drop: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            europe(p);
            mount(p).drop = Some(mm(drop));
        }
    }

    #[test]
    fn outside_the_window_a_person_decides() {
        let found = finding("ball-height", dropped(60.0)).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(
            found.message,
            "ball's centre stands at 341 mm, laden; 350 to 420 mm is asked for \
             (limit from memory of UN Regulation 55, annex 7, height of the coupling ball, confirm)"
        );
        assert!(finding("ball-height", dropped(-30.0)).is_some());
        assert!(finding("ball-height", europe).is_none());
    }

    #[test]
    fn exactly_the_window_is_allowed() {
        let top = report(europe).figures.ball_height.unwrap().mm();
        assert!(finding("ball-height", dropped(20.0 + (top - 25.4 - 350.0) - 1e-9)).is_none());
        assert!(finding("ball-height", dropped(20.0 + (top - 25.4 - 350.0) + 1e-3)).is_some());
    }

    #[test]
    fn an_unknown_drop_is_not_clear() {
        assert_ne!(
            verdict(|p| {
                europe(p);
                mount(p).drop = None;
            }),
            Verdict::Clear
        );
    }
}
