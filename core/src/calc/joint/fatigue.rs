//! How long a bolt lasts under a load that comes and goes.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::fastener::{BoltClass, IsoClass},
    range::Range,
    units::{Area, Force, Length, Stress},
};

/// Where the endurance of threads is printed.
pub const SOURCE: Source = Source::new("VDI 2230 part 1, endurance limit", "", Seen::FromMemory);
/// Where the line of mean and alternating stress is printed.
pub const GOODMAN_SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, modified Goodman line", "", Seen::FromMemory);

/// Diameter.
pub const DIAMETER: Range = Range::new("diameter_mm", "mm", 5.0, 40.0);
/// Mean bolt force over the force at yield, within which the endurance is printed.
pub const MEAN_SHARE: Range = Range::new("mean_share", "", 0.2, 0.8);
/// Strengths of the bolt's material.
pub const STRENGTH: Range = Range::new("strength_mpa", "MPa", 1.0, 3000.0);
/// Safety.
pub const SAFETY: Range = Range::new("safety", "", 1.0, 10.0);
/// A force in the bolt.
pub const FORCE: Range = Range::new("force_n", "N", 0.0, 5.0e6);

/// When the thread was rolled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rolled {
    /// Before heat treatment, as nearly all bolts are.
    BeforeHeatTreatment,
    /// After it; only where its maker says so.
    AfterHeatTreatment,
}

/// Returns the stress amplitude a thread endures for two million cycles and more.
///
/// ```text
/// σ_ASV = 0.85 (150/d + 45) MPa                rolled before heat treatment
/// σ_ASG = (2 − F_mean/F_0.2) σ_ASV             rolled after
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`DIAMETER`] or [`MEAN_SHARE`]; [`CalcError::NoSuchRow`] for a class other than 8.8,
/// 9.8, 10.9 and 12.9.
///
/// # Source
///
/// [`SOURCE`].
pub fn endurance(class: BoltClass, diameter: Length, rolled: Rolled, mean_share: f64) -> Result<Stress, CalcError> {
    use IsoClass::{C8_8, C9_8, C10_9, C12_9};
    if !matches!(class, BoltClass::Iso(C8_8 | C9_8 | C10_9 | C12_9)) {
        return Err(CalcError::NoSuchRow {
            field: "class",
            key: class.to_string(),
            table: "VDI 2230 part 1, endurance limit",
            rows: "8.8, 9.8, 10.9, 12.9".to_owned(),
        });
    }
    let before = 0.85 * (150.0 / DIAMETER.check(diameter.mm())? + 45.0);
    let mean_share = MEAN_SHARE.check(mean_share)?;
    Ok(Stress::from_mpa(match rolled {
        Rolled::BeforeHeatTreatment => before,
        Rolled::AfterHeatTreatment => (2.0 - mean_share) * before,
    }))
}

/// Returns the stress amplitude in the thread from an outside load that runs between two values.
///
/// ```text
/// σ_a = (F_Ao − F_Au) Φ / (2 As)
/// ```
///
/// Only while the parts do not separate: see [`super::load_share::load`].
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`FORCE`] or [`super::load_share::SHARE`].
///
/// # Source
///
/// [`SOURCE`].
pub fn amplitude(least: Force, most: Force, share: f64, stress_area: Area) -> Result<Stress, CalcError> {
    FORCE.check(least.n())?;
    FORCE.check(most.n())?;
    Ok((most - least).abs() * (super::load_share::SHARE.check(share)? / 2.0) / stress_area)
}

/// What grows when the load grows beyond what was foreseen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overload {
    /// The outside load only; preload stays as it was tightened.
    LoadOnly,
    /// Preload and load alike, which is cautious.
    Everything,
}

/// What [`goodman_area`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Goodman {
    /// Preload.
    pub preload: Force,
    /// The least bolt force.
    pub least: Force,
    /// The greatest.
    pub most: Force,
    /// Tensile strength.
    pub tensile: Stress,
    /// Endurance limit, the notch minded.
    pub endurance: Stress,
    /// Safety.
    pub safety: f64,
    /// What the safety is put on.
    pub overload: Overload,
}

/// Returns the stress area that the line of mean and alternating stress asks for. Preload counts once.
///
/// ```text
/// load only   A = [S (Fm − Fi) + Fi] / Rm + S Fa / Se
/// everything  A = S (Fm / Rm + Fa / Se)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first figure outside its range; [`CalcError::Conflict`] when the greatest bolt
/// force is below the least, or the least below preload.
///
/// # Source
///
/// [`GOODMAN_SOURCE`].
pub fn goodman_area(input: &Goodman) -> Result<Area, CalcError> {
    let [preload, least, most] =
        [FORCE.check(input.preload.n())?, FORCE.check(input.least.n())?, FORCE.check(input.most.n())?];
    let (rm, se) = (STRENGTH.check(input.tensile.mpa())?, STRENGTH.check(input.endurance.mpa())?);
    let safety = SAFETY.check(input.safety)?;
    if most < least || least < preload {
        return Err(CalcError::Conflict {
            field: "most_n",
            other: "preload_n",
            why: "bolt forces run from the preload upwards, the least before the greatest",
        });
    }
    let (mean, alternating) = (f64::midpoint(most, least), (most - least) / 2.0);
    Ok(Area::from_mm2(match input.overload {
        Overload::LoadOnly => (safety * (mean - preload) + preload) / rm + safety * alternating / se,
        Overload::Everything => safety * (mean / rm + alternating / se),
    }))
}
