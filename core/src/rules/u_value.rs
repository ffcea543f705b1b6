//! Where UN Regulation 55 applies, the load on the pin keeps the U on the plate of the coupling in the bed.

use super::Unknown;
use super::run::finding::Against;
use super::run::region::Region;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "u-value",
    title: "the load on the pin keeps the U-value of the coupling in the bed",
    severity: Severity::Block,
    source: Source::new("UN Regulation 55, list of the values that a fifth wheel shows: D and U", "", Seen::Opened),
    needs: &["tongue_load", "bed_coupling.u_value_kg"],
    remedy: "Move load rearward within the window of the pin, or choose a coupling with a higher U.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(coupling) = case.plan.bed_coupling.as_deref() else { return };
    if Region::of(case.plan) != Region::Europe {
        return;
    }
    let load = match case.figures.tongue {
        Ok(load) => load,
        Err(unknown) => return findings.unknown(unknown, "the load on the pin"),
    };
    let field = "bed_coupling.u_value_kg";
    let Some(certified) = coupling.u_value else {
        return findings.no_limit(Unknown::missing(field), "the load on the pin");
    };
    let against = Against::new(load.kg(), certified.kg(), "kg");
    if load <= certified {
        return findings.keeps(field, against);
    }
    findings.breach(
        field,
        against,
        format_args!(
            "load on the pin {} is {} over the coupling's U of {}",
            Load(load.kg()),
            Over(load.kg(), certified.kg()),
            Rating(certified.kg()),
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn u(value: Option<f64>) -> impl Fn(&mut Upfit) {
        move |p| {
            in_european_bed(p);
            bed_coupling(p).u_value = value.map(kg);
        }
    }

    #[test]
    fn a_pin_load_over_u_is_blocked() {
        assert_eq!(
            message("u-value", u(Some(200.0))),
            "load on the pin 300 kg is 100 kg over the coupling's U of 200 kg"
        );
        assert_eq!(verdict(u(Some(200.0))), Verdict::Blocked);
    }

    #[test]
    fn exactly_u_is_allowed_and_another_law_asks_for_none() {
        assert!(finding("u-value", u(Some(300.0))).is_none());
        assert!(finding("u-value", u(Some(299.999))).is_some());
        let elsewhere = |p: &mut Upfit| {
            in_bed(p);
            bed_coupling(p).u_value = None;
        };
        assert!(finding("u-value", elsewhere).is_none());
    }

    #[test]
    fn a_plate_without_u_blocks() {
        assert_eq!(verdict(u(None)), Verdict::Blocked);
    }
}
