//! A circuit loses no more than its share of the supply: 3 % where lamps or brakes depend on it, 10 % else.
//!
//! A circuit of which nobody says what depends on it is held to 3 %.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::calc::wiring::{
    Sizing,
    drop::LIMIT_SOURCE,
    size::{FILL_CAUTIOUS, limit, size},
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "voltage-drop",
    title: "the circuit keeps its voltage drop",
    severity: Severity::Review,
    source: LIMIT_SOURCE,
    needs: &[
        "circuits[].length_mm",
        "circuits[].load_a",
        "circuits[].supply_v",
        "circuits[].conductor_c",
        "circuits[].return_path",
        "circuits[].awg_code",
    ],
    remedy: "Take the next size of wire that keeps the drop, shorten the run, or split the load.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

/// Judges every circuit.
pub(super) fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    for (index, circuit) in wiring.each() {
        let sizing = match Sizing::of(circuit) {
            Ok(sizing) => sizing,
            Err(missing) => {
                for field in missing {
                    let subject = wiring.path(index, field);
                    findings.open_question(
                        subject,
                        format_args!("{field} is not known; it is needed for the voltage drop"),
                    );
                }
                continue;
            }
        };
        let limit = limit(circuit);
        let sized = match size(&sizing, limit, FILL_CAUTIOUS) {
            Ok(sized) => sized,
            Err(error) => {
                let subject = wiring.path(index, error.field());
                findings.open_question(subject, format_args!("{error}; it is needed for the voltage drop"));
                continue;
            }
        };
        let drop = sized.wire.drop;
        let against = Against::new(drop.share, limit.share(), "share");
        if sized.wire.within {
            findings.keeps("circuits", against);
            continue;
        }
        let next = sized
            .sizes
            .iter()
            .find(|size| std::mem::discriminant(&size.wire) == std::mem::discriminant(&sizing.run.wire) && size.within);
        let (lost, share, most) = (drop.lost.v(), drop.share * 100.0, limit.share() * 100.0);
        let subject = wiring.path(index, "awg_code");
        match next {
            Some(next) => findings.breach(
                subject,
                against,
                format_args!("it loses {lost:.2} V, {share:.1} % of the supply; {most} % may be lost; {} keeps it", next.wire),
            ),
            None => findings.breach(
                subject,
                against,
                format_args!("it loses {lost:.2} V, {share:.1} % of the supply; {most} % may be lost; no size in the table keeps it"),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        model::wiring::Wire,
        rules::{Severity, Verdict, run::fixture::*},
        units::{Amps, Length, Volts},
    };

    #[test]
    fn a_thin_wire_calls_for_a_person_and_names_the_one_that_keeps_it() {
        // Worked example on an invented circuit, derived: 12 A, 7.5 m, 60 °C on 12 AWG lose 1.0854 V, 8.04 % of 13.5 V.
        let thin = |p: &mut crate::model::upfit::Upfit| {
            circuit(p).wire = Some(Wire::Awg(12));
            circuit(p).length = Some(Length::from_m(7.5));
        };
        let found = finding("voltage-drop", thin).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Review, "circuits[0].awg_code"));
        assert_eq!(found.message, "it loses 1.09 V, 8.0 % of the supply; 3 % may be lost; 6 AWG keeps it");
        assert!(
            finding("voltage-drop", |p| {
                thin(p);
                circuit(p).safety_relevant = Some(false);
            })
            .is_none()
        );
        assert!(
            finding("voltage-drop", |p| {
                thin(p);
                circuit(p).safety_relevant = None;
            })
            .is_some()
        );
    }

    #[test]
    fn exactly_the_share_is_allowed() {
        // 1 A through a body with three joints and next to no wire: 0.3 V of 10 V, and a hair for the wire.
        let joints = |supply: f64| {
            move |p: &mut crate::model::upfit::Upfit| {
                let c = circuit(p);
                c.back = Some(crate::model::wiring::ReturnPath::Body);
                (c.joints, c.load, c.supply) = (Some(3), Some(Amps::from_a(0.001)), Some(Volts::from_v(supply)));
            }
        };
        assert!(finding("voltage-drop", joints(10.001)).is_none());
        assert!(finding("voltage-drop", joints(10.0)).is_some());
    }

    #[test]
    fn an_unknown_length_is_not_clear() {
        assert_eq!(verdict(|p| circuit(p).length = None), Verdict::Review);
        assert!(finding("voltage-drop", |p| circuit(p).length = None).unwrap().unknown);
    }
}
