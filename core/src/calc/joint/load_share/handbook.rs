//! Worked figures of load share and separation.

use super::*;
use crate::calc::printed::prints;

const BOOK: &str = "V. B. Bhandari, Design of Machine Elements, as coded in an open textbook companion, opened";

/// Derived: VDI 2230's relations (from memory) on the resiliences of an M12 with a grip of 30 mm, n = 0.5.
#[test]
fn a_worked_case_shares_its_load() {
    let source = "derived from VDI 2230 part 1, load share";
    let share = of_resiliences(0.5, 2.4563e-6, 0.5818e-6).unwrap();
    // Half of 0.1915, cut to 0.0957: one last digit.
    assert!((share - 0.0957).abs() < 1e-4);
    let loaded = load(Force::from_kn(43.0), Force::from_kn(10.0), share).unwrap();
    prints(source, "43.96", loaded.bolt.kn());
    prints(source, "33.96", loaded.clamp.kn());
    prints(source, "47.55", loaded.separates_at.kn());
    assert!(!loaded.separated);
}

/// Example 7.16 prints the formula's value beyond separation. The figure is reproduced as the formula's and no more:
/// the parts separate at 9859 N, so that under 10 kN the bolt bears all 10 kN.
#[test]
fn example_7_16_goes_past_separation() {
    let share = of_rates(Rate::from_n_per_mm(207.0), Rate::from_n_per_mm(3.0 * 71.0)).unwrap();
    prints(BOOK, "0.492857", share);
    let loaded = load(Force::from_kn(5.0), Force::from_kn(10.0), share).unwrap();
    prints(BOOK, "9928.6", loaded.formula.n());
    prints(BOOK, "65.319549", loaded.formula.n() / 152.0);
    assert!(loaded.separated);
    assert_eq!(loaded.clamp, Force::ZERO);
    let derived = "derived: separation of example 7.16";
    prints(derived, "9859", loaded.separates_at.n());
    prints(derived, "10000", loaded.bolt.n());
    prints(derived, "65.79", loaded.bolt.n() / 152.0);
}

/// Example 7.17 does the same: separation at 3500 N, load 5000 N.
#[test]
fn example_7_17_goes_past_separation() {
    let share = of_rates(Rate::from_n_per_mm(1.0), Rate::from_n_per_mm(2.5)).unwrap();
    let loaded = load(Force::from_kn(2.5), Force::from_kn(5.0), share).unwrap();
    prints(BOOK, "24.553571", loaded.formula.n() / 160.0);
    let derived = "derived: separation of example 7.17";
    assert!(loaded.separated);
    prints(derived, "3500", loaded.separates_at.n());
    prints(derived, "31.25", loaded.bolt.n() / 160.0);
}

/// Example 7.22: two load states of a bracket's bolt under preload, parts three times as stiff as the bolt.
#[test]
fn example_7_22_loads_its_bolt() {
    let share = of_rates(Rate::from_n_per_mm(1.0), Rate::from_n_per_mm(3.0)).unwrap();
    let preload = Force::from_kn(55.0);
    let most = load(preload, Force::from_n(14_788.9), share).unwrap();
    let least = load(preload, Force::from_n(218.9), share).unwrap();
    prints(BOOK, "58697.2", most.bolt.n());
    prints(BOOK, "55054.7", least.bolt.n());
    // Derived: 850 MPa yield on the printed area, over the greatest load.
    prints("derived from example 7.22, static factor", "2.86", 850.0 * 197.638_259 / most.bolt.n());
}

/// Derived: the three factors of Shigley (from memory) hold to their definitions.
#[test]
fn factors_are_what_they_say() {
    let (proof, preload, external, share) = (Force::from_kn(48.9), Force::from_kn(36.0), Force::from_kn(10.0), 0.2106);
    let factors = factors(proof, preload, external, share).unwrap();
    // At nL times the load the bolt is at proof, at n0 times the parts separate.
    let at_proof = load(preload, external * factors.load.unwrap(), share).unwrap();
    assert!((at_proof.formula / proof - 1.0).abs() < 1e-12);
    let parting = load(preload, external * factors.separation.unwrap(), share).unwrap();
    assert!(parting.clamp.n() < 1e-6);
    assert!((proof / (preload + external * share) - factors.proof).abs() < 1e-12);
}
