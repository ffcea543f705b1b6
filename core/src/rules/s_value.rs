//! Where UN Regulation 55 applies, the tongue load keeps the least S on the plates of receiver, ball and coupler.

use super::Unknown;
use super::run::finding::Against;
use super::run::region::Region;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "s-value",
    title: "the tongue load keeps the S-value of every coupling part",
    severity: Severity::Block,
    source: Source::new("Directive 97/27/EC, clause 7.8.2 (static vertical load)", "", Seen::Opened),
    needs: &["tongue_load", "receiver.s_value_kg", "ball.s_value_kg", "coupler.s_value_kg"],
    remedy: "Move load rearward within the tongue window, or choose parts with a higher S.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    // In the bed the imposed load U takes its place.
    if Region::of(plan) != Region::Europe || plan.hangs_in_bed() {
        return;
    }
    let load = match case.figures.tongue {
        Ok(load) => load,
        Err(unknown) => return findings.unknown(unknown, "the static vertical load"),
    };
    let parts = [
        ("receiver.s_value_kg", "receiver", plan.receiver.as_deref().and_then(|part| part.s_value)),
        ("ball.s_value_kg", "ball", plan.ball.as_deref().and_then(|part| part.s_value)),
        ("coupler.s_value_kg", "coupler", plan.coupler.as_deref().and_then(|part| part.s_value)),
    ];
    for (subject, word, certified) in parts {
        let Some(certified) = certified else {
            findings.no_limit(Unknown::missing(subject), "the static vertical load");
            continue;
        };
        let against = Against::new(load.kg(), certified.kg(), "kg");
        if load <= certified {
            findings.keeps(subject, against);
            continue;
        }
        findings.breach(
            subject,
            against,
            format_args!(
                "tongue load {} is {} over the {word}'s S of {}",
                Load(load.kg()),
                Over(load.kg(), certified.kg()),
                Rating(certified.kg()),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn receiver_s(s: Option<f64>) -> impl Fn(&mut Upfit) {
        move |p| {
            europe(p);
            receiver(p).s_value = s.map(kg);
        }
    }

    #[test]
    fn a_tongue_over_s_is_blocked() {
        assert_eq!(
            message("s-value", receiver_s(Some(100.0))),
            "tongue load 210 kg is 110 kg over the receiver's S of 100 kg"
        );
        assert!(finding("s-value", receiver_s(Some(210.0))).is_none());
        assert_eq!(verdict(receiver_s(None)), Verdict::Blocked);
        assert!(finding("s-value", |p| receiver(p).s_value = None).is_none());
    }
}
