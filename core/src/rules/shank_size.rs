//! The ball mount's shank fills the receiver tube; a sleeve is an adapter and needs ratings of its own.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::part_fit::same_nominal;

/// The rule.
pub static RULE: Rule = Rule {
    id: "shank-size",
    title: "the ball mount's shank fits the receiver",
    severity: Severity::Block,
    source: Source::new("the two are made to one nominal size", "", Seen::CommonPractice),
    needs: &["ball_mount.shank", "receiver.opening"],
    remedy: "Choose a ball mount made for this receiver; enter a sleeve as an extension with its ratings.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.hangs_in_bed() {
        return;
    }
    let one = case.plan.ball_mount.as_deref().and_then(|mount| mount.shank);
    let other = case.plan.receiver.as_deref().and_then(|receiver| receiver.opening);
    match (one, other) {
        (Some(one), Some(other)) if !same_nominal(one, other) => findings.breach(
            "ball_mount.shank",
            Against::new(one.mm(), other.mm(), "mm"),
            format_args!("ball mount shank of {:.2} mm in a receiver of {:.2} mm", one.mm(), other.mm()),
        ),
        (Some(_), Some(_)) => (),
        (None, _) => findings.unknown(Unknown::missing("ball_mount.shank"), "whether ball mount and receiver fit"),
        (_, None) => findings.unknown(Unknown::missing("receiver.opening"), "whether ball mount and receiver fit"),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Length;

    #[test]
    fn a_small_shank_in_a_large_tube_is_blocked() {
        assert_eq!(
            message("shank-size", |p| mount(p).shank = Some(Length::from_in(1.25))),
            "ball mount shank of 31.75 mm in a receiver of 50.80 mm"
        );
        assert!(finding("shank-size", |p| receiver(p).opening = Some(mm(50.8))).is_none());
        assert_ne!(verdict(|p| mount(p).shank = None), Verdict::Clear);
        assert_ne!(verdict(|p| receiver(p).opening = None), Verdict::Clear);
    }
}
