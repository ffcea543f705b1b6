//! What a clamped joint carries by friction before it slips. Three published rules, named.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Force, Stress},
};

/// Where the rule of machine design is printed.
pub const VDI_SOURCE: Source = Source::new("VDI 2230 part 1, transverse load", "", Seen::FromMemory);
/// Where the rule of European steelwork is printed.
pub const EC3_SOURCE: Source = Source::new("EN 1993-1-8, slip resistance", "", Seen::FromMemory);
/// Where the rule of American steelwork is printed.
pub const AISC_SOURCE: Source = Source::new("AISC 360, J3.8", "", Seen::FromMemory);

/// Friction between the clamped parts.
pub const FRICTION: Range = Range::new("faying_friction", "", 0.03, 0.60);
/// How many interfaces carry the load.
pub const INTERFACES: Range = Range::new("interface_count", "", 1.0, 8.0);
/// Safety against slip: 1.2 for a steady load, 1.8 for one that changes its direction.
pub const SAFETY: Range = Range::new("slip_safety", "", 1.0, 4.0);
/// What still clamps.
pub const CLAMP: Range = Range::new("clamp_n", "N", 0.0, 5.0e6);
/// Hole factors of both steelwork rules: 1 for standard holes, less for larger ones.
pub const HOLE_FACTOR: Range = Range::new("hole_factor", "", 0.3, 1.0);
/// Mean preload of the bolts as installed over the least that is asked.
pub const DU: Range = Range::new("du", "", 1.0, 1.3);

/// Safety for a steady load.
pub const SAFETY_STEADY: f64 = 1.2;
/// Safety for a load that changes its direction.
pub const SAFETY_ALTERNATING: f64 = 1.8;
/// The partial factor of European steelwork at the limit of strength.
pub const GAMMA_M3: f64 = 1.25;

/// Returns what one bolt's clamp carries crosswise: `Q = F · μ · q / S`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`CLAMP`], [`FRICTION`], [`INTERFACES`] or [`SAFETY`].
///
/// # Source
///
/// [`VDI_SOURCE`].
pub fn capacity(clamp: Force, friction: f64, interfaces: u32, safety: f64) -> Result<Force, CalcError> {
    CLAMP.check(clamp.n())?;
    let interfaces = INTERFACES.check(f64::from(interfaces))?;
    Ok(clamp * (FRICTION.check(friction)? * interfaces / SAFETY.check(safety)?))
}

/// Returns the clamp that one bolt needs to carry a crosswise load: [`capacity`] turned round.
///
/// # Errors
///
/// As [`capacity`], and for a load outside [`CLAMP`].
pub fn clamp_needed(across: Force, friction: f64, interfaces: u32, safety: f64) -> Result<Force, CalcError> {
    const ACROSS: Range = Range::new("across_n", "N", 0.0, 5.0e6);
    ACROSS.check(across.n())?;
    let interfaces = INTERFACES.check(f64::from(interfaces))?;
    Ok(across * (SAFETY.check(safety)? / (FRICTION.check(friction)? * interfaces)))
}

/// Preload and slip resistance of one bolt by European steelwork.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ec3Slip {
    /// Design preload: `F_p,C = 0.7 fub As`, with the nominal tensile strength.
    pub preload: Force,
    /// Slip resistance: `F_s,Rd = ks n μ F_p,C / γM3`.
    pub resistance: Force,
}

/// Returns the slip resistance of one bolt by European steelwork.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`HOLE_FACTOR`], [`INTERFACES`] or [`FRICTION`].
///
/// # Source
///
/// [`EC3_SOURCE`].
pub fn ec3(
    tensile_nominal: Stress,
    stress_area: crate::units::Area,
    friction: f64,
    interfaces: u32,
    hole_factor: f64,
) -> Result<Ec3Slip, CalcError> {
    let preload = tensile_nominal * stress_area * 0.7;
    let share =
        HOLE_FACTOR.check(hole_factor)? * INTERFACES.check(f64::from(interfaces))? * FRICTION.check(friction)?
            / GAMMA_M3;
    Ok(Ec3Slip { preload, resistance: preload * share })
}

/// Returns the nominal slip resistance of one bolt by American steelwork: `Rn = μ Du hsc Tb ns`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`CLAMP`], [`FRICTION`], [`DU`], [`HOLE_FACTOR`] or [`INTERFACES`].
///
/// # Source
///
/// [`AISC_SOURCE`].
pub fn aisc(pretension: Force, friction: f64, du: f64, hole_factor: f64, interfaces: u32) -> Result<Force, CalcError> {
    CLAMP.check(pretension.n())?;
    let share = FRICTION.check(friction)? * DU.check(du)? * HOLE_FACTOR.check(hole_factor)?;
    Ok(pretension * (share * INTERFACES.check(f64::from(interfaces))?))
}
