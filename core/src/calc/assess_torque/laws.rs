//! Laws of what a torque does.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::torque::{
        Target, TorqueInput, adjust_torque,
        tests::{input, ring},
    },
    model::{
        fastener::{IsoClass, StainlessClass},
        joint::TighteningMethod,
    },
};

/// An M12 of class 8.8 on a medium hole, plainly tightened.
pub(super) fn m12() -> AppliedInput {
    AppliedInput {
        thread: Thread::metric(12.0, 1.75).unwrap(),
        class: BoltClass::Iso(IsoClass::C8_8),
        face: ring(16.63, 13.5),
        washer: None,
        mate: None,
        hot_dip_galvanised: Some(false),
        reading: Torque::from_n_m(60.0),
        adapter: None,
        accuracy_share: None,
        actual: Condition::NutFactor(Band::exactly(0.20)),
        prevailing: None,
        service: Service::Reusable,
    }
}

#[test]
fn bands_follow_each_other_as_torque_rises() {
    let mut seen = Vec::new();
    for tenth in 100..2500 {
        let assessment = assess_torque(&AppliedInput { reading: Torque::from_n_m(f64::from(tenth) / 10.0), ..m12() });
        let outcome = assessment.unwrap().outcome;
        if seen.last() != Some(&outcome) {
            seen.push(outcome);
        }
    }
    // At K 0.20 torsion yields the bolt before it reaches proof, so that band does not show.
    assert_eq!(seen, [Outcome::Ok, Outcome::High, Outcome::Yielded, Outcome::FractureRisk]);
    // With hardly any friction it does.
    let slippery = Condition::Friction { thread: Band::exactly(0.04), face: Band::exactly(0.04) };
    let proof = assess_torque(&m12()).unwrap().loads.proof.unwrap();
    let torque =
        Screw::new(&m12().thread, m12().face, None).unwrap().arms(&slippery).unwrap().low.torque(proof * 1.001);
    let outcome = assess_torque(&AppliedInput { reading: torque, actual: slippery, ..m12() }).unwrap();
    assert_eq!((outcome.outcome, outcome.verdict), (Outcome::ProofExceeded, Verdict::ReplaceBolt));
}

#[test]
fn an_unknown_face_is_never_fine() {
    // A thread no table has a hexagon for.
    let thread = Thread::metric(13.3, 1.75).unwrap();
    let error = assess_torque(&AppliedInput { thread, face: Face::Tabled, ..m12() }).unwrap_err();
    assert!(!error.field().is_empty());
}

#[test]
fn stainless_is_judged_by_its_yield() {
    let class = BoltClass::Stainless(StainlessClass::C70);
    let outcome =
        |n_m| assess_torque(&AppliedInput { class, reading: Torque::from_n_m(n_m), ..m12() }).unwrap().outcome;
    assert_eq!((outcome(50.0), outcome(62.0), outcome(90.0)), (Outcome::Ok, Outcome::High, Outcome::Yielded));
}

proptest! {
    #[test]
    fn more_torque_is_never_better(n_m in 1.0..200.0, more in 0.01..50.0, low in 0.08..0.2, width in 0.0..0.2) {
        let actual = Condition::NutFactor(Band { low, nominal: low + width / 2.0, high: low + width });
        let at = |n_m| assess_torque(&AppliedInput { reading: Torque::from_n_m(n_m), actual, ..m12() }).unwrap();
        prop_assert!(at(n_m).outcome <= at(n_m + more).outcome);
        prop_assert!(at(n_m).at_high_friction <= at(n_m).outcome);
    }

    #[test]
    fn a_wider_band_is_never_better(n_m in 1.0..200.0, low in 0.10..0.2, width in 0.0..0.2, wider in 0.0..0.05) {
        let band = |low, high| Condition::NutFactor(Band { low, nominal: 0.2, high });
        let at = |actual| assess_torque(&AppliedInput { reading: Torque::from_n_m(n_m), actual, ..m12() }).unwrap().outcome;
        prop_assert!(at(band(low, 0.2 + width)) <= at(band(low - wider, 0.2 + width + wider)));
    }

    /// What was advised, applied and looked at, is what was intended: never worse at likely friction.
    #[test]
    fn what_is_advised_is_what_is_found(share in 0.05..0.75, nut_factor in 0.08..0.5, n_m in 0.1..10.0) {
        let prevailing = Some(Torque::from_n_m(n_m));
        let actual = Condition::NutFactor(Band::exactly(nut_factor));
        let asked = TorqueInput {
            face: m12().face,
            target: Target::ShareOfProof(share),
            actual,
            prevailing,
            method: TighteningMethod::Torque,
            ..input(m12().thread, m12().class)
        };
        let advice = adjust_torque(&asked).unwrap();
        let applied = AppliedInput { reading: advice.wrench.nominal, actual, prevailing, ..m12() };
        let found = assess_torque(&applied).unwrap();
        prop_assert!((found.preload.nominal.proof_share.unwrap() / share - 1.0).abs() < 1e-9);
        // Up to 0.75 of proof is normal, unless very high friction twists the shank into yield.
        let twisted = advice.worst_yield_share.unwrap() >= 1.0;
        prop_assert!(found.outcome == Outcome::Ok || twisted || share > 0.749_999);
        prop_assert_eq!(twisted, advice.cautions.has(Caution::OverYield));
    }
}
