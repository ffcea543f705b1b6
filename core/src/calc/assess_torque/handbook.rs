//! A worked case of over-torque, derived.

use super::{laws::m12, *};
use crate::calc::torque::handbook::Printed;

fn at(n_m: f64, nut_factor: f64) -> Assessment {
    let actual = Condition::NutFactor(Band::exactly(nut_factor));
    assess_torque(&AppliedInput { reading: Torque::from_n_m(n_m), actual, ..m12() }).unwrap()
}

#[test]
fn m12_at_130_newton_metres() {
    let dry = at(130.0, 0.20);
    Printed("54.2").is("derived, K 0.20, kN", dry.preload.max.force.kn());
    Printed("111").is("derived, K 0.20, percent of proof", dry.preload.max.proof_share.unwrap() * 100.0);
    assert_eq!((dry.outcome, dry.verdict), (Outcome::Yielded, Verdict::DiscardBoth));

    let wet = at(130.0, 0.15);
    Printed("72.2").is("derived, K 0.15, kN", wet.preload.max.force.kn());
    Printed("148").is("derived, K 0.15, percent of proof", wet.preload.max.proof_share.unwrap() * 100.0);
    Printed("134").is("derived, K 0.15, percent of yield", wet.preload.max.tension_share * 100.0);
    Printed("107").is("derived, K 0.15, percent of tensile", wet.preload.max.force / wet.loads.tensile * 100.0);
    assert_eq!((wet.outcome, wet.verdict), (Outcome::FractureRisk, Verdict::DiscardBoth));
}

#[test]
fn torsion_yields_a_bolt_below_its_proof_load() {
    let proof = at(50.0, 0.20).loads.proof.unwrap();
    // Derived: 0.99 of proof at K 0.20 makes 677 MPa against 640.
    let torque = 0.99 * proof.n() * 0.20 * 0.012;
    let assessment = at(torque, 0.20);
    Printed("677").is("derived", assessment.worst_yield_share * 640.0);
    assert!(assessment.preload.max.proof_share.unwrap() < 1.0);
    assert_eq!(assessment.outcome, Outcome::Yielded);
}
