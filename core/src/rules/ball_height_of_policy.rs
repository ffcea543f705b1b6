//! The ball's centre, laden, stands within the heights that the shop's policy asks for, whatever the law of the place.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ball-height-of-policy",
    title: "the ball stands within the heights of the shop's policy",
    severity: Severity::Review,
    source: Source::new("a shop sets its own heights", "", Seen::CommonPractice),
    needs: &["policy", "receiver.fits", "ball_mount.drop_mm", "ball.height_mm", "ball.diameter"],
    remedy: "Choose a ball mount with another drop or rise.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(policy) = case.plan.policy.as_deref().filter(|_| !case.plan.hangs_in_bed()) else { return };
    if policy.ball_height_min.is_none() && policy.ball_height_max.is_none() {
        return;
    }
    let top = match case.figures.ball_height {
        Ok(top) => top,
        Err(unknown) => return findings.unknown(unknown, "the height of the ball"),
    };
    let Some(diameter) = case.plan.ball.as_deref().and_then(|ball| ball.diameter) else {
        return findings.unknown(Unknown::missing("ball.diameter"), "the height of the ball's centre");
    };
    let centre = top - diameter / 2.0;
    let low = policy.ball_height_min.filter(|low| centre < *low);
    let high = policy.ball_height_max.filter(|high| *high < centre);
    for (limit, word) in low.map(|low| (low, "at least")).into_iter().chain(high.map(|high| (high, "at most"))) {
        findings.breach(
            "ball_mount.drop_mm",
            Against::new(centre.mm(), limit.mm(), "mm"),
            format_args!(
                "ball's centre stands at {:.0} mm, laden; the shop's policy asks for {word} {:.0} mm",
                centre.mm(),
                limit.mm()
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{policy::Policy, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Length;

    fn window(low: Option<Length>, high: Option<Length>) -> impl Fn(&mut Upfit) {
        move |p| {
            p.policy = Some(Arc::new(Policy { ball_height_min: low, ball_height_max: high, ..Policy::default() }));
        }
    }

    #[test]
    fn the_window_is_the_shops_and_its_ends_are_allowed() {
        let centre = report(|_| ()).figures.ball_height.unwrap() - Length::from_in(1.0);
        assert!(finding("ball-height-of-policy", window(Some(centre), Some(centre))).is_none());
        let low = message("ball-height-of-policy", window(Some(mm(460.0)), None));
        assert_eq!(low, "ball's centre stands at 446 mm, laden; the shop's policy asks for at least 460 mm");
        assert!(finding("ball-height-of-policy", window(None, Some(mm(440.0)))).is_some());
        assert!(finding("ball-height-of-policy", |_| ()).is_none());
    }

    #[test]
    fn an_unknown_ball_is_not_clear() {
        assert_ne!(
            verdict(|p| {
                window(Some(mm(400.0)), None)(p);
                ball(p).diameter = None;
            }),
            Verdict::Clear
        );
    }
}
