//! Where UN Regulation 55 applies, each part that couples is certified for at least the D-value the train needs.
//!
//! The formula is recalled, not read: a short D-value calls for a person instead of blocking. A part without a D-value
//! on its plate is not known to hold.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::bed::BedCouplingKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "d-value",
    title: "every coupling part has the D-value the train needs",
    severity: Severity::Block,
    source: Source::new("UN Regulation 55, clause 2, D-value", "", Seen::FromMemory),
    needs: &[
        "vehicle.gvwr",
        "trailer.gvwr",
        "receiver.d_value_kn",
        "ball.d_value_kn",
        "coupler.d_value_kn",
        "bed_coupling.d_value_kn",
        "trailer.king_pin.d_value_kn",
    ],
    remedy: "Choose parts whose plate shows at least the D-value needed, or a lighter trailer.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let needed = match case.figures.d_required {
        None => return,
        Some(Ok(needed)) => needed,
        Some(Err(unknown)) => return findings.unknown(unknown, "the D-value needed"),
    };
    let plan = case.plan;
    let coupler = ("coupler.d_value_kn", "coupler", plan.coupler.as_deref().and_then(|part| part.d_value));
    let (parts, count) = match plan.bed_coupling.as_deref() {
        None => {
            let receiver = plan.receiver.as_deref().and_then(|part| part.d_value);
            let ball = plan.ball.as_deref().and_then(|part| part.d_value);
            ([("receiver.d_value_kn", "receiver", receiver), ("ball.d_value_kn", "ball", ball), coupler], 3)
        }
        Some(coupling) => {
            let pin = plan.trailer.as_deref().and_then(|trailer| trailer.king_pin).and_then(|pin| pin.d_value);
            let pin = ("trailer.king_pin.d_value_kn", "king pin", pin);
            let hung = if coupling.kind == Some(BedCouplingKind::GooseneckBall) { coupler } else { pin };
            ([("bed_coupling.d_value_kn", "coupling in the bed", coupling.d_value), hung, hung], 2)
        }
    };
    for (subject, word, certified) in parts.into_iter().take(count) {
        let Some(certified) = certified else {
            findings.no_limit(Unknown::missing(subject), "the D-value of the coupling");
            continue;
        };
        let against = Against::new(needed.kn(), certified.kn(), "kn");
        if needed <= certified {
            findings.keeps(subject, against);
            continue;
        }
        findings.breach(
            subject,
            against,
            format_args!("the train needs a D-value of {:.2} kN; the {word} has {:.2} kN", needed.kn(), certified.kn()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};
    use crate::units::Force;

    #[test]
    fn a_short_d_value_calls_for_a_person_and_says_why() {
        // D = 9.81 * 3.2 * 2.2 / (3.2 + 2.2) = 12.789 kN.
        let found = finding("d-value", |p| {
            europe(p);
            receiver(p).d_value = Some(Force::from_kn(12.0));
        })
        .unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(
            found.message,
            "the train needs a D-value of 12.79 kN; the receiver has 12.00 kN \
             (limit from memory of UN Regulation 55, clause 2, D-value, confirm)"
        );
    }

    #[test]
    fn exactly_the_value_is_allowed() {
        let at = report(europe).figures.d_required.unwrap().unwrap();
        assert!(
            finding("d-value", |p| {
                europe(p);
                ball(p).d_value = Some(at);
            })
            .is_none()
        );
    }

    #[test]
    fn a_plate_without_d_is_not_clear_where_it_applies() {
        assert_eq!(
            verdict(|p| {
                europe(p);
                coupler(p).d_value = None;
            }),
            Verdict::Review
        );
        assert!(finding("d-value", |p| coupler(p).d_value = None).is_none());
    }
}
