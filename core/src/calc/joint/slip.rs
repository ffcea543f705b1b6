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

/// By which rule slip is judged.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum SlipRule {
    /// Machine design: the clamp that is really left, over a safety.
    #[default]
    Vdi,
    /// European steelwork: the design preload of 8.8 and 10.9, which the tightening must leave.
    Ec3 {
        /// Hole factor ks.
        hole_factor: f64,
    },
    /// American steelwork: a pretension, which the tightening must leave.
    Aisc {
        /// Mean over least pretension of bolts as installed.
        du: f64,
        /// Hole factor hf.
        hole_factor: f64,
        /// The least pretension Tb.
        pretension: Force,
    },
}

impl SlipRule {
    /// Returns where the rule is printed.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Vdi => VDI_SOURCE,
            Self::Ec3 { .. } => EC3_SOURCE,
            Self::Aisc { .. } => AISC_SOURCE,
        }
    }
}

/// Divides the nominal resistance of American steelwork for loads that are not factored.
pub const OMEGA: f64 = 1.5;

/// Returns what one bolt carries crosswise by European steelwork while a load pulls along it: [`ec3`] on the preload less
/// 0.8 of that load.
///
/// # Errors
///
/// As [`ec3`]; [`CalcError::Conflict`] when the tightening does not leave the design preload for certain.
///
/// # Source
///
/// [`EC3_SOURCE`].
pub fn ec3_under_tension(slip: &Ec3Slip, preload_min: Force, tension: Force) -> Result<Force, CalcError> {
    leaves(preload_min, slip.preload)?;
    let left = (slip.preload - tension * 0.8).max(Force::ZERO);
    Ok(slip.resistance * (left / slip.preload))
}

/// Returns what one bolt carries crosswise by American steelwork while a load pulls along it, for loads that are not
/// factored: `Rn / Ω · (1 − T / (Du Tb))`.
///
/// # Errors
///
/// As [`aisc`]; [`CalcError::Conflict`] when the tightening does not leave the pretension for certain.
///
/// # Source
///
/// [`AISC_SOURCE`], with J3.9 for the tension.
pub fn aisc_under_tension(
    nominal: Force,
    (du, pretension): (f64, Force),
    preload_min: Force,
    tension: Force,
) -> Result<Force, CalcError> {
    leaves(preload_min, pretension)?;
    let left = (1.0 - tension / (pretension * du)).max(0.0);
    Ok(nominal * (left / OMEGA))
}

/// Refuses a rule that counts on more preload than there is for certain.
fn leaves(preload_min: Force, counted_on: Force) -> Result<(), CalcError> {
    if counted_on <= preload_min * (1.0 + 1e-9) {
        return Ok(());
    }
    Err(CalcError::Conflict {
        field: "slip_rule",
        other: "preload_n",
        why: "the rule counts on its full design preload, and the least that this tightening leaves is below it",
    })
}

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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{calc::printed::prints, units::Area};

    /// Derived from EN 1993-1-8 (from memory): M20 of 10.9, friction 0.5; half of the preload pulled off leaves 0.6 of it.
    #[test]
    fn tension_takes_off_the_slip_of_steelwork() {
        let slip = ec3(Stress::from_mpa(1000.0), Area::from_mm2(245.0), 0.5, 1, 1.0).unwrap();
        prints("derived from EN 1993-1-8, slip resistance", "68.6", slip.resistance.kn());
        let half = ec3_under_tension(&slip, slip.preload, slip.preload * 0.5).unwrap();
        assert!((half / slip.resistance - 0.6).abs() < 1e-12);
        assert_eq!(ec3_under_tension(&slip, slip.preload * 0.99, Force::ZERO).unwrap_err().field(), "slip_rule");
        assert_eq!(ec3_under_tension(&slip, slip.preload, slip.preload * 2.0), Ok(Force::ZERO));
    }

    /// A beginner's guide to a steel manual, example 4.1: 11 bolts of 3/4 A325 carry 81.2 kip over 1.5.
    #[test]
    fn a_worked_example_over_its_safety() {
        let pretension = Force::from_lbf(28_000.0);
        let nominal = aisc(pretension, 0.35, 1.13, 1.0, 1).unwrap();
        let one = aisc_under_tension(nominal, (1.13, pretension), pretension, Force::ZERO).unwrap();
        prints(
            "A Beginner's Guide to the Steel Construction Manual, example 4.1, opened",
            "81.2",
            11.0 * one.lbf() / 1000.0,
        );
        let pulled = aisc_under_tension(nominal, (1.13, pretension), pretension, pretension * (1.13 / 4.0)).unwrap();
        assert!((pulled / one - 0.75).abs() < 1e-12);
        assert!(aisc_under_tension(nominal, (1.13, pretension), pretension * 0.9, Force::ZERO).is_err());
    }

    proptest! {
        #[test]
        fn more_tension_never_carries_more(kn in 0.0..300.0_f64, more in 0.0..50.0_f64) {
            let slip = ec3(Stress::from_mpa(800.0), Area::from_mm2(157.0), 0.3, 1, 1.0).unwrap();
            let at = |kn: f64| ec3_under_tension(&slip, slip.preload, Force::from_kn(kn)).unwrap();
            prop_assert!(at(kn + more) <= at(kn));
            let bolt = Force::from_kn(100.0);
            let nominal = aisc(bolt, 0.3, 1.13, 1.0, 1).unwrap();
            let at = |kn: f64| aisc_under_tension(nominal, (1.13, bolt), bolt, Force::from_kn(kn)).unwrap();
            prop_assert!(at(kn + more) <= at(kn));
        }

        #[test]
        fn needed_clamp_is_capacity_turned_round(kn in 0.1..100.0_f64, friction in 0.05..0.5_f64, q in 1_u32..=4) {
            let across = Force::from_kn(kn);
            let clamp = clamp_needed(across, friction, q, SAFETY_STEADY).unwrap();
            prop_assert!((capacity(clamp, friction, q, SAFETY_STEADY).unwrap() / across - 1.0).abs() < 1e-12);
        }
    }
}
