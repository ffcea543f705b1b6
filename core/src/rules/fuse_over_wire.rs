//! The fuse blows before the wire burns: it is no larger than the wire takes.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{calc::wiring::fuse::takes, tables::fuses::WIRE_SOURCE};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fuse-over-wire",
    title: "the fuse protects the wire",
    severity: Severity::Block,
    source: WIRE_SOURCE,
    needs: &["circuits[].fuse_a", "circuits[].awg_code", "circuits[].cable_mm2"],
    remedy: "Fit the fuse that the wire takes, or a wire that takes the fuse; the cable maker has the last word.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    for (index, circuit) in wiring.each() {
        let Some(fuse) = circuit.fuse else {
            findings.open_question(
                wiring.path(index, "fuse_a"),
                format_args!("no fuse is named: nothing protects the wire"),
            );
            continue;
        };
        // A wire nobody names is asked for by the drop.
        let Some(wire) = circuit.wire else { continue };
        match takes(wire) {
            Ok(most) if fuse <= most.cautious => {
                findings.keeps("circuits", Against::new(fuse.a(), most.cautious.a(), "a"))
            }
            Ok(most) => findings.breach(
                wiring.path(index, "fuse_a"),
                Against::new(fuse.a(), most.cautious.a(), "a"),
                format_args!("the fuse is {} A; {wire} takes {} A", fuse.a(), most.cautious.a()),
            ),
            Err(_) => findings.add_as(
                Severity::Review,
                wiring.path(index, "awg_code"),
                format_args!("what {wire} may be fused at is in no table: ask the cable maker"),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        model::wiring::Wire,
        rules::{Severity, Verdict, run::fixture::*},
        units::{Amps, Area},
    };

    #[test]
    fn a_fuse_over_its_wire_is_blocked() {
        // Common practice, no source: 14 AWG takes 15 A.
        let fused = |a: f64| {
            move |p: &mut crate::model::upfit::Upfit| {
                circuit(p).wire = Some(Wire::Awg(14));
                circuit(p).fuse = Some(Amps::from_a(a));
            }
        };
        let found = finding("fuse-over-wire", fused(20.0)).unwrap();
        assert_eq!((found.severity, found.message.as_str()), (Severity::Block, "the fuse is 20 A; 14 AWG takes 15 A"));
        assert!(finding("fuse-over-wire", fused(15.0)).is_none());
    }

    #[test]
    fn no_fuse_and_copper_nobody_knows_are_not_clear() {
        assert_eq!(verdict(|p| circuit(p).fuse = None), Verdict::Blocked);
        let copper = |p: &mut crate::model::upfit::Upfit| circuit(p).wire = Some(Wire::Geometric(Area::from_mm2(13.0)));
        assert_eq!(finding("fuse-over-wire", copper).unwrap().severity, Severity::Review);
    }
}
