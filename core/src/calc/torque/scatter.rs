//! How far preload scatters: tightening factor, independent shares combined, and preload limits.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Force, Length, Torque},
};

/// Where the tightening factor is defined.
pub const FACTOR_SOURCE: Source = Source::new("VDI 2230 part 1, tightening factor", "2001", Seen::Opened);
/// Where the preload limits are printed.
pub const LIMITS_SOURCE: Source = Source::new("NASA-STD-5020B, section 4.3.1", "", Seen::FromMemory);

/// A scatter of preload, plus or minus, as a share.
pub const SCATTER: Range = Range::new("scatter_share", "", 0.0, 0.95);
/// The controlled parameter's ends as ratios of its nominal value.
pub const CONTROL_RATIO: Range = Range::new("control_ratio", "", 0.2, 2.0);

/// Returns the tightening factor: the greatest preload over the least, for plus or minus this share.
///
/// ```text
/// α_A = F_max / F_min = (1 + δ) / (1 − δ)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`SCATTER`].
///
/// # Source
///
/// [`FACTOR_SOURCE`].
pub fn tightening_factor(share: f64) -> Result<f64, CalcError> {
    let share = SCATTER.check(share)?;
    Ok((1.0 + share) / (1.0 - share))
}

/// Returns plus or minus which share a tightening factor stands for: `δ = (α − 1)/(α + 1)`.
///
/// # Source
///
/// [`FACTOR_SOURCE`].
#[must_use]
pub fn share_of_factor(factor: f64) -> f64 {
    (factor - 1.0) / (factor + 1.0)
}

/// Returns the share that independent small shares combine to: the root of the sum of their squares.
///
/// Holds for small shares. For large ones the ends multiply: see [`worst`].
#[must_use]
pub fn combined(shares: &[f64]) -> f64 {
    shares.iter().map(|share| share * share).sum::<f64>().sqrt()
}

/// Returns by how much preload is off at worst, below and above, when torque is off by one share and the nut factor
/// by another: `(1 ± δ_T) / (1 ∓ δ_K) − 1`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`SCATTER`].
pub fn worst(torque_share: f64, nut_factor_share: f64) -> Result<(f64, f64), CalcError> {
    let (torque, nut_factor) = (SCATTER.check(torque_share)?, SCATTER.check(nut_factor_share)?);
    Ok(((1.0 - torque) / (1.0 + nut_factor) - 1.0, (1.0 + torque) / (1.0 - nut_factor) - 1.0))
}

/// What creep and heat take or add.
pub const LOSS: Range = Range::new("loss_n", "N", 0.0, 5.0e6);

/// What [`preload_limits`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitsInput {
    /// The nominal torque, prevailing torque taken off.
    pub torque: Torque,
    /// The nut factor.
    pub nut_factor: f64,
    /// The nominal diameter.
    pub diameter: Length,
    /// The least torque as a ratio of the nominal: 0.95 for −5 %.
    pub control_min: f64,
    /// The greatest torque as a ratio of the nominal: 1.05 for +5 %.
    pub control_max: f64,
    /// Preload variation Γ, plus or minus, as a share.
    pub variation: f64,
    /// How many fasteners share the load, for a joint that is not separation-critical; `None` for one that is.
    pub fasteners: Option<u32>,
    /// The share of the least preload that relaxes: 0.05 in all-metal joints.
    pub relaxation: f64,
    /// What creep takes off the least.
    pub creep: Force,
    /// What heat adds to the greatest, at the worst temperature.
    pub thermal_gain: Force,
    /// What heat takes off the least, at the worst temperature.
    pub thermal_loss: Force,
}

/// Preload limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// The nominal preload.
    pub nominal: Force,
    /// The greatest, what heat adds in it.
    pub max: Force,
    /// The least, as tightened.
    pub min: Force,
    /// The least, relaxed, and what creep and heat take off it.
    pub min_relaxed: Force,
}

/// Returns the preload limits of a fastener tightened by torque.
///
/// ```text
/// P_nom = T / (K d);  P_max = c_max (1 + Γ) P_nom
/// P_min = c_min (1 − Γ) P_nom         separation-critical
///       = c_min (1 − Γ/√n) P_nom      others, n fasteners
/// P_p-max = P_max + P_dt-max;  P_p-min = P_min − P_pr − P_pc − P_dt-min
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first input outside its range.
///
/// # Source
///
/// [`LIMITS_SOURCE`].
pub fn preload_limits(input: &LimitsInput) -> Result<Limits, CalcError> {
    let torque = Torque::from_n_m(super::TORQUE.check(input.torque.n_m())?);
    let nut_factor = crate::calc::condition::NUT_FACTOR.check(input.nut_factor)?;
    let diameter = Length::from_mm(crate::calc::condition::DIAMETER.check(input.diameter.mm())?);
    let variation = SCATTER.check(input.variation)?;
    let relaxation = SCATTER.check(input.relaxation)?;
    let (least, greatest) = (CONTROL_RATIO.check(input.control_min)?, CONTROL_RATIO.check(input.control_max)?);
    let below = match input.fasteners {
        Some(fasteners) => variation / f64::from(fasteners.max(1)).sqrt(),
        None => variation,
    };
    let nominal = torque / (diameter * nut_factor);
    let min = nominal * (least * (1.0 - below));
    for force in [input.creep, input.thermal_gain, input.thermal_loss] {
        LOSS.check(force.n())?;
    }
    let max = nominal * (greatest * (1.0 + variation)) + input.thermal_gain;
    // What is lost cannot be more than there was.
    let min_relaxed = (min * (1.0 - relaxation) - input.creep - input.thermal_loss).max(Force::ZERO);
    Ok(Limits { nominal, max, min, min_relaxed })
}

pub mod chance;
#[cfg(test)]
mod handbook;
