//! The ball's shank fills the hole of the ball mount; a bush or a reamed hole is not a fit.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::part_fit::same_nominal;

/// The rule.
pub static RULE: Rule = Rule {
    id: "ball-shank",
    title: "the ball's shank fits the hole of the ball mount",
    severity: Severity::Block,
    source: Source::new("the two are made to one nominal size", "", Seen::CommonPractice),
    needs: &["ball.shank", "ball_mount.ball_hole"],
    remedy: "Choose a ball whose shank is the size of the hole.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.hangs_in_bed() {
        return;
    }
    let one = case.plan.ball.as_deref().and_then(|ball| ball.shank);
    let other = case.plan.ball_mount.as_deref().and_then(|mount| mount.ball_hole);
    match (one, other) {
        (Some(one), Some(other)) if !same_nominal(one, other) => findings.breach(
            "ball.shank",
            Against::new(one.mm(), other.mm(), "mm"),
            format_args!("ball shank of {:.2} mm in a hole of {:.2} mm", one.mm(), other.mm()),
        ),
        (Some(_), Some(_)) => (),
        (None, _) => findings.unknown(Unknown::missing("ball.shank"), "whether ball shank and ball mount fit"),
        (_, None) => {
            findings.unknown(Unknown::missing("ball_mount.ball_hole"), "whether ball shank and ball mount fit")
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Length;

    #[test]
    fn a_thin_shank_in_a_wide_hole_is_blocked() {
        assert_eq!(
            message("ball-shank", |p| ball(p).shank = Some(Length::from_in(0.75))),
            "ball shank of 19.05 mm in a hole of 25.40 mm"
        );
        assert!(finding("ball-shank", |p| mount(p).ball_hole = Some(mm(25.4))).is_none());
        assert_ne!(verdict(|p| ball(p).shank = None), Verdict::Clear);
        assert_ne!(verdict(|p| mount(p).ball_hole = None), Verdict::Clear);
    }
}
