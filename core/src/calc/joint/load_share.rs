//! How bolt and clamped parts share a load that pulls them apart, and when they part.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Force, Rate},
};

/// Where the share and the factors are printed.
pub const SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, load share; VDI 2230 part 1", "", Seen::FromMemory);

/// The share of an outside load that the bolt takes.
pub const SHARE: Range = Range::new("load_share", "", 0.0, 0.95);
/// Load introduction factor n.
pub const INTRODUCTION: Range = Range::new("introduction_factor", "", 0.01, 1.0);
/// Preload.
pub const PRELOAD: Range = Range::new("preload_n", "N", 0.0, 5.0e6);
/// An outside load along one bolt; pushing is not its business.
pub const EXTERNAL: Range = Range::new("external_n", "N", 0.0, 5.0e6);
/// Tightening factor: greatest preload over least.
pub const FACTOR: Range = Range::new("tightening_factor", "", 1.0, 10.0);

/// Returns the share of an outside load that the bolt takes: `C = kb / (kb + km)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`SHARE`].
///
/// # Source
///
/// [`SOURCE`].
pub fn of_rates(bolt: Rate, members: Rate) -> Result<f64, CalcError> {
    SHARE.check(bolt / (bolt + members))
}

/// Returns the share from resiliences in mm/N: `Φ = n · δ_P / (δ_S + δ_P)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`INTRODUCTION`] or [`SHARE`].
///
/// # Source
///
/// [`SOURCE`].
pub fn of_resiliences(introduction: f64, bolt: f64, plates: f64) -> Result<f64, CalcError> {
    SHARE.check(INTRODUCTION.check(introduction)? * plates / (bolt + plates))
}

/// A preloaded joint under an outside load along the bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loaded {
    /// What the bolt really bears: after the parts have separated it is the whole outside load.
    pub bolt: Force,
    /// What still clamps the parts; nought once they have separated.
    pub clamp: Force,
    /// Whether the parts have separated.
    pub separated: bool,
    /// The outside load at which they separate.
    pub separates_at: Force,
    /// What `F_V + Φ F_A` gives, separation not minded. Only to be held against a book that does not mind it either.
    pub formula: Force,
}

/// Returns what bolt and parts bear.
///
/// ```text
/// F_bolt = F_V + Φ F_A;  F_clamp = F_V − (1 − Φ) F_A;  separation at F_V / (1 − Φ), after which F_bolt = F_A
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`PRELOAD`], [`EXTERNAL`] or [`SHARE`].
///
/// # Source
///
/// [`SOURCE`].
pub fn load(preload: Force, external: Force, share: f64) -> Result<Loaded, CalcError> {
    PRELOAD.check(preload.n())?;
    EXTERNAL.check(external.n())?;
    let share = SHARE.check(share)?;
    let separates_at = preload / (1.0 - share);
    let formula = preload + external * share;
    let separated = separates_at <= external;
    let (bolt, clamp) = if separated { (external, Force::ZERO) } else { (formula, preload - external * (1.0 - share)) };
    Ok(Loaded { bolt, clamp, separated, separates_at, formula })
}

/// What the least preload must cover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// What must still clamp, against slip or for sealing.
    pub clamp: Force,
    /// The outside load along the bolt.
    pub external: Force,
    /// The share of it that the bolt takes.
    pub share: f64,
    /// What embedding takes away.
    pub embedding: Force,
    /// What heat takes away.
    pub thermal: Force,
}

/// The preload that is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needed {
    /// The least preload after tightening.
    pub min: Force,
    /// The greatest that a tightening of this scatter then makes; the bolt must bear it.
    pub max: Force,
}

/// Returns the preload that a demand needs.
///
/// ```text
/// F_min = F_clamp + (1 − Φ) F_A + F_Z + ΔF_th;  F_max = α_A · F_min
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first figure outside its range.
///
/// # Source
///
/// [`SOURCE`].
pub fn needed(demand: &Demand, tightening_factor: f64) -> Result<Needed, CalcError> {
    for force in [demand.clamp, demand.embedding, demand.thermal] {
        PRELOAD.check(force.n())?;
    }
    EXTERNAL.check(demand.external.n())?;
    let left = 1.0 - SHARE.check(demand.share)?;
    let min = demand.clamp + demand.external * left + demand.embedding + demand.thermal;
    Ok(Needed { min, max: min * FACTOR.check(tightening_factor)? })
}

/// How many times over the joint holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Against proof load, preload and load share together: `np = Fp / (C P + Fi)`.
    pub proof: f64,
    /// How many times the outside load reaches proof: `nL = (Fp − Fi) / (C P)`; `None` without a load on the bolt.
    pub load: Option<f64>,
    /// How many times the outside load separates the parts: `n0 = Fi / (P (1 − C))`; `None` without a load.
    pub separation: Option<f64>,
}

/// Returns the factors of safety.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first figure outside its range; a proof load must be above nought.
///
/// # Source
///
/// [`SOURCE`].
pub fn factors(proof: Force, preload: Force, external: Force, share: f64) -> Result<Factors, CalcError> {
    const PROOF: Range = Range::new("proof_n", "N", 1.0, 5.0e6);
    PROOF.check(proof.n())?;
    let loaded = load(preload, external, share)?;
    let above_zero = |force: Force| (Force::ZERO < force).then_some(force);
    let on_bolt = external * share;
    if above_zero(preload + on_bolt).is_none() {
        return Err(CalcError::Missing { field: PRELOAD.field, by: "a factor of safety" });
    }
    Ok(Factors {
        proof: proof / (preload + on_bolt),
        load: above_zero(on_bolt).map(|on_bolt| (proof - preload) / on_bolt),
        separation: above_zero(external).map(|external| loaded.separates_at / external),
    })
}

#[cfg(test)]
mod handbook;

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Two springs side by side, the bolt stretched and the parts squeezed onto it, solved for the common travel:
    /// parts push only.
    fn springs(preload: f64, external: f64, bolt: f64, parts: f64) -> (f64, f64) {
        let (mut low, mut high) = (0.0, (preload + external) / bolt.min(parts) * 2.0);
        let clamp = |travel: f64| (preload - parts * travel).max(0.0);
        for _ in 0..200 {
            let travel = f64::midpoint(low, high);
            if preload + bolt * travel - clamp(travel) < external {
                low = travel;
            } else {
                high = travel;
            }
        }
        (preload + bolt * low, clamp(low))
    }

    proptest! {
        #[test]
        fn shares_agree_with_two_springs(
            preload in 1.0..1e5_f64, external in 0.0..2e5_f64, bolt in 1e5..2e6_f64, parts in 1e5..9e6_f64,
        ) {
            let share = of_rates(Rate::from_n_per_mm(bolt), Rate::from_n_per_mm(parts)).unwrap();
            let loaded = load(Force::from_n(preload), Force::from_n(external), share).unwrap();
            let (in_bolt, in_parts) = springs(preload, external, bolt, parts);
            prop_assert!((loaded.bolt.n() - in_bolt).abs() < 1e-3, "{loaded:?} {in_bolt}");
            prop_assert!((loaded.clamp.n() - in_parts).abs() < 1e-3, "{loaded:?} {in_parts}");
            // Equilibrium, separated or not.
            prop_assert!((loaded.bolt.n() - loaded.clamp.n() - external).abs() < 1e-6);
        }

        #[test]
        fn a_needed_preload_just_leaves_the_clamp(
            clamp in 0.0..5e4_f64, external in 0.0..5e4_f64, share in 0.0..0.9, lost in 0.0..5e3_f64,
        ) {
            let [clamp, external, embedding] = [clamp, external, lost].map(Force::from_n);
            let demand = Demand { clamp, external, share, embedding, thermal: Force::ZERO };
            let needed = needed(&demand, 1.6).unwrap();
            let left = load(needed.min - embedding, external, share).unwrap();
            prop_assert!((left.clamp - clamp).abs().n() < 1e-6);
            prop_assert!((needed.max / needed.min - 1.6).abs() < 1e-9 || needed.min.n() < 1e-9);
        }
    }

    #[test]
    fn a_pushing_load_and_no_preload_are_refused() {
        let n = Force::from_n;
        assert_eq!(load(n(1.0), n(-1.0), 0.2).unwrap_err().field(), "external_n");
        assert_eq!(load(n(f64::NAN), n(1.0), 0.2).unwrap_err().field(), "preload_n");
        assert_eq!(load(n(1.0), n(1.0), 1.0).unwrap_err().field(), "load_share");
        assert_eq!(factors(n(100.0), n(0.0), n(0.0), 0.2).unwrap_err().field(), "preload_n");
        assert_eq!(factors(n(0.0), n(1.0), n(0.0), 0.2).unwrap_err().field(), "proof_n");
        assert_eq!(factors(n(100.0), n(50.0), n(0.0), 0.2).unwrap().separation, None);
    }
}
