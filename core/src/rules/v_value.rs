//! A centre-axle trailer over 3.5 t needs a V-value of its receiver; the drawbar's maker prints how much.

use super::Unknown;
use super::run::finding::Against;
use super::run::region::Region;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::trailer::DrawbarKind;
use crate::units::Mass;

/// The rule.
pub static RULE: Rule = Rule {
    id: "v-value",
    title: "the receiver has the V-value a heavy centre-axle trailer needs",
    severity: Severity::Block,
    source: Source::new("UN Regulation 55, clause 2, V-value", "", Seen::FromMemory),
    needs: &["trailer.drawbar", "trailer.gvwr", "trailer.v_value_needed_kn", "receiver.v_value_kn"],
    remedy: "Choose a receiver whose plate shows at least the V-value needed.",
    check,
};

/// Above this gross rating a centre-axle trailer has a V-value.
const HEAVY: Mass = Mass::from_kg(3500.0);

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    let Some(trailer) = plan.trailer.as_deref() else { return };
    if Region::of(plan) != Region::Europe || trailer.gvwr.is_none_or(|gvwr| gvwr <= HEAVY) {
        return;
    }
    match trailer.drawbar {
        Some(DrawbarKind::Free | DrawbarKind::FifthWheel) => return,
        Some(DrawbarKind::CentreAxle) => (),
        None => return findings.unknown(Unknown::missing("trailer.drawbar"), "which coupling values apply"),
    }
    let Some(needed) = trailer.v_value_needed else {
        return findings.unknown(Unknown::missing("trailer.v_value_needed_kn"), "a centre-axle trailer over 3.5 t");
    };
    let Some(certified) = plan.receiver.as_deref().and_then(|receiver| receiver.v_value) else {
        return findings.no_limit(Unknown::missing("receiver.v_value_kn"), "a centre-axle trailer over 3.5 t");
    };
    let against = Against::new(needed.kn(), certified.kn(), "kn");
    if needed <= certified {
        return findings.keeps("receiver.v_value_kn", against);
    }
    findings.breach(
        "receiver.v_value_kn",
        against,
        format_args!("the drawbar needs a V-value of {:.2} kN; the receiver has {:.2} kN", needed.kn(), certified.kn()),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Severity;
    use crate::rules::run::fixture::*;
    use crate::units::Force;

    fn heavy(needed: Option<f64>, has: Option<f64>) -> impl Fn(&mut Upfit) {
        move |p| {
            europe(p);
            trailer(p).gvwr = Some(kg(3600.0));
            trailer(p).v_value_needed = needed.map(Force::from_kn);
            receiver(p).v_value = has.map(Force::from_kn);
        }
    }

    #[test]
    fn a_short_v_value_is_reviewed() {
        let found = finding("v-value", heavy(Some(10.37), Some(9.0))).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert!(found.message.starts_with("the drawbar needs a V-value of 10.37 kN; the receiver has 9.00 kN"));
        assert!(finding("v-value", heavy(Some(9.0), Some(9.0))).is_none());
    }

    #[test]
    fn unknown_values_are_reported_where_they_apply() {
        assert!(finding("v-value", heavy(None, Some(9.0))).is_some_and(|f| f.unknown));
        assert!(finding("v-value", heavy(Some(9.0), None)).is_some_and(|f| f.unknown));
        assert!(
            finding("v-value", |p| {
                heavy(None, None)(p);
                trailer(p).gvwr = Some(kg(3500.0));
            })
            .is_none()
        );
    }
}
