//! The ball mount drops or rises no further than the shop's policy allows: a deep mount scrapes and bends sooner.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::units::Length;

/// The rule.
pub static RULE: Rule = Rule {
    id: "drop-over-policy",
    title: "the ball mount's drop or rise is within the shop's policy",
    severity: Severity::Review,
    source: Source::new("a shop sets its own greatest drop and rise", "", Seen::CommonPractice),
    needs: &["policy", "ball_mount.drop_mm"],
    remedy: "Choose a ball mount with less drop or rise, or a receiver at another height.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(policy) = case.plan.policy.as_deref() else { return };
    if policy.drop_max.is_none() && policy.rise_max.is_none() {
        return;
    }
    let Some(mount) = case.plan.ball_mount.as_deref().filter(|_| !case.plan.hangs_in_bed()) else { return };
    let Some(drop) = mount.drop else {
        return findings.unknown(Unknown::missing("ball_mount.drop_mm"), "the drop that the policy allows");
    };
    let (word, amount, most) =
        if drop < Length::ZERO { ("rise", -drop, policy.rise_max) } else { ("drop", drop, policy.drop_max) };
    let Some(most) = most else { return };
    let against = Against::new(amount.mm(), most.mm(), "mm");
    if amount <= most {
        return;
    }
    findings.breach(
        "ball_mount.drop_mm",
        against,
        format_args!(
            "ball mount has a {word} of {:.0} mm; the shop's policy allows at most {:.0} mm",
            amount.mm(),
            most.mm()
        ),
    );
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{policy::Policy, upfit::Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn limited(drop: f64, rise: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            let policy = Policy { drop_max: Some(mm(drop)), rise_max: Some(mm(rise)), ..Policy::default() };
            p.policy = Some(Arc::new(policy));
        }
    }

    #[test]
    fn a_deep_mount_is_reviewed_and_the_limit_itself_is_allowed() {
        assert!(finding("drop-over-policy", limited(20.0, 0.0)).is_none());
        assert_eq!(
            message("drop-over-policy", limited(19.0, 0.0)),
            "ball mount has a drop of 20 mm; the shop's policy allows at most 19 mm"
        );
        let risen = |p: &mut Upfit| {
            limited(0.0, 50.0)(p);
            mount(p).drop = Some(mm(-60.0));
        };
        assert!(message("drop-over-policy", risen).starts_with("ball mount has a rise of 60 mm"));
        assert!(finding("drop-over-policy", |_| ()).is_none());
    }

    #[test]
    fn an_unknown_drop_is_not_clear() {
        assert_ne!(
            verdict(|p| {
                limited(100.0, 100.0)(p);
                mount(p).drop = None;
            }),
            Verdict::Clear
        );
    }
}
