//! A fuse carries at most 80 % of its rating at all times.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{
    basis::{Seen, Source},
    calc::wiring::{Sizing, fuse::FILL},
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fuse-under-load",
    title: "the fuse holds the load with room to spare",
    severity: Severity::Review,
    source: Source::new("load at most 0.8 of the fuse", "", Seen::CommonPractice),
    needs: &["circuits[].fuse_a", "circuits[].load_a"],
    remedy: "Fit the next larger fuse that the wire takes, or split the load.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    for (index, circuit) in wiring.each() {
        // A missing fuse and a missing load are asked for by other rules.
        let Some(fuse) = circuit.fuse else { continue };
        let solved = Sizing::of(circuit).ok().and_then(|sizing| sizing.carried().ok());
        let Some(load) = solved.or(circuit.load) else { continue };
        let most = fuse.a() * FILL.max;
        // A load that fills a fuse exactly comes out a few parts in 10¹⁶ over it.
        if load.a() <= most * (1.0 + 1e-12) {
            continue;
        }
        findings.breach(
            wiring.path(index, "fuse_a"),
            Against::new(load.a(), most, "a"),
            format_args!("it carries {:.2} A at all times; a fuse of {} A holds {most:.2} A", load.a(), fuse.a()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        rules::{Severity, Verdict, run::fixture::*},
        units::Amps,
    };

    #[test]
    fn a_full_fuse_is_told_and_eight_tenths_are_allowed() {
        let fused = |a: f64| move |p: &mut crate::model::upfit::Upfit| circuit(p).fuse = Some(Amps::from_a(a));
        let found = finding("fuse-under-load", fused(10.0)).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(found.message, "it carries 12.00 A at all times; a fuse of 10 A holds 8.00 A");
        // Common practice, no source: 12 A over 0.8 are 15 A.
        assert!(finding("fuse-under-load", fused(15.0)).is_none());
    }

    #[test]
    fn an_unknown_load_is_asked_for_by_the_drop() {
        assert!(finding("fuse-under-load", |p| circuit(p).load = None).is_none());
        assert_eq!(verdict(|p| circuit(p).load = None), Verdict::Review);
    }
}
