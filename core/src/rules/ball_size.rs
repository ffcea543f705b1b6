//! Ball and coupler are made for the same nominal size, compared exactly: 50 mm is not 2 in.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::part_fit::same_nominal;

/// The rule.
pub static RULE: Rule = Rule {
    id: "ball-size",
    title: "the ball is the size the coupler is made for",
    severity: Severity::Block,
    source: Source::new("ISO 1103 coupling ball dimensions; SAE J684 ball sizes", "", Seen::Opened),
    needs: &["ball.diameter", "coupler.ball"],
    remedy: "Fit the ball the coupler is stamped for.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.hangs_in_bed() {
        return;
    }
    let one = case.plan.ball.as_deref().and_then(|ball| ball.diameter);
    let other = case.plan.coupler.as_deref().and_then(|coupler| coupler.ball);
    match (one, other) {
        (Some(one), Some(other)) if !same_nominal(one, other) => findings.breach(
            "ball.diameter",
            Against::new(one.mm(), other.mm(), "mm"),
            format_args!("ball of {:.2} mm in a coupler for {:.2} mm", one.mm(), other.mm()),
        ),
        (Some(_), Some(_)) => (),
        (None, _) => findings.unknown(Unknown::missing("ball.diameter"), "whether ball and coupler fit"),
        (_, None) => findings.unknown(Unknown::missing("coupler.ball"), "whether ball and coupler fit"),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Length;

    #[test]
    fn fifty_millimetres_is_not_two_inches() {
        assert_eq!(
            message("ball-size", |p| ball(p).diameter = Some(mm(50.0))),
            "ball of 50.00 mm in a coupler for 50.80 mm"
        );
        assert!(finding("ball-size", |p| ball(p).diameter = Some(mm(50.8))).is_none());
        assert!(finding("ball-size", |p| ball(p).diameter = Some(Length::from_in(2.3125))).is_some());
    }

    #[test]
    fn an_unread_stamp_is_not_clear() {
        assert_ne!(verdict(|p| ball(p).diameter = None), Verdict::Clear);
        assert_ne!(verdict(|p| coupler(p).ball = None), Verdict::Clear);
    }
}
