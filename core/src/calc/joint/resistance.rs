//! What the bolt itself bears in shear and in tension, and both together: four published rules, named, two of them with
//! two curves each.

use std::f64::consts::PI;

use super::sheet::{GAMMA_M2, PHI};
use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::{
        fastener::{BoltClass, IsoClass},
        thread::Thread,
    },
    range::Range,
    tables,
    units::{Area, Force, Stress},
};

/// Where the resistances of European steelwork and its rule of combination are printed.
pub const EC3_SOURCE: Source = Source::new("EN 1993-1-8, table 3.4", "", Seen::FromMemory);
/// Where the rule of American steelwork is printed.
pub const AISC_SOURCE: Source = Source::new("AISC 360, J3.7", "", Seen::FromMemory);
/// Where the rule of the space agency is printed.
pub const NASA_SOURCE: Source = Source::new("NASA-STD-5020, combined loads", "", Seen::FromMemory);
/// Where the older curves are printed.
pub const RP_1228_SOURCE: Source = Source::new("NASA RP-1228, combined loads", "", Seen::FromMemory);
/// Where the rule with bending is quoted.
pub const NSTS_SOURCE: Source = Source::new("NSTS 08307, combined loads, as quoted in a forum", "", Seen::Opened);

/// A load over the load that alone would fail the bolt.
pub const RATIO: Range = Range::new("load_ratio", "", 0.0, 100.0);

/// Whether the shear plane runs through the thread or through the plain body.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShearPlane {
    /// Through the thread.
    Thread,
    /// Through the body.
    Body,
}

/// Returns the least load that shears a bolt: `0.6 Rm A`, A the minor area or the body's.
///
/// # Errors
///
/// What [`tables::bolt_strength`] refuses.
pub fn shear_ultimate(class: BoltClass, thread: &Thread, plane: ShearPlane) -> Result<Force, CalcError> {
    let area = match plane {
        ShearPlane::Thread => thread.minor_area(),
        ShearPlane::Body => body(thread),
    };
    Ok(tables::bolt_strength(class, thread)?.tensile_min * area * 0.6)
}

fn body(thread: &Thread) -> Area {
    (thread.diameter * thread.diameter) * (PI / 4.0)
}

/// What a bolt bears by a rule of steelwork.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bears {
    /// Shear resistance of one plane.
    pub shear: Force,
    /// Tension resistance.
    pub tension: Force,
}

/// Returns what a bolt bears by European steelwork, with the nominal strength of its class as that rule asks.
///
/// ```text
/// F_v,Rd = αv fub A / γM2;  αv 0.6, but 0.5 in the thread of 4.8, 5.8, 6.8 and 10.9
/// F_t,Rd = k2 fub As / γM2;  k2 0.9, countersunk 0.63
/// ```
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a class the rule does not hold: it prints 4.6 to 10.9, and no inch or stainless ones.
///
/// # Source
///
/// [`EC3_SOURCE`].
pub fn ec3(class: BoltClass, thread: &Thread, plane: ShearPlane, countersunk: bool) -> Result<Bears, CalcError> {
    use IsoClass::{C4_6, C4_8, C5_6, C5_8, C6_8, C8_8, C10_9};
    let refuse = || CalcError::NoSuchRow {
        field: "class",
        key: class.to_string(),
        table: "EN 1993-1-8, table 3.1",
        rows: "4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 10.9".to_owned(),
    };
    let in_thread = match class {
        BoltClass::Iso(C4_6 | C5_6 | C8_8) => 0.6,
        BoltClass::Iso(C4_8 | C5_8 | C6_8 | C10_9) => 0.5,
        _ => return Err(refuse()),
    };
    let nominal = tables::bolt_strength(class, thread)?.tensile_nominal.ok_or_else(refuse)?;
    let shear = match plane {
        ShearPlane::Thread => nominal * thread.stress_area() * in_thread,
        ShearPlane::Body => nominal * body(thread) * 0.6,
    };
    let k2 = if countersunk { 0.63 } else { 0.9 };
    Ok(Bears { shear: shear / GAMMA_M2, tension: nominal * thread.stress_area() * (k2 / GAMMA_M2) })
}

/// Returns what a bolt bears by American steelwork, on the area of its body.
///
/// ```text
/// φ Fnv Ab, Fnv 0.45 Fu with the thread in the plane, 0.563 Fu without;  φ Fnt Ab, Fnt 0.75 Fu;  φ 0.75
/// ```
///
/// # Errors
///
/// What [`tables::bolt_strength`] refuses.
///
/// # Source
///
/// [`AISC_SOURCE`].
pub fn aisc(class: BoltClass, thread: &Thread, plane: ShearPlane) -> Result<Bears, CalcError> {
    let ultimate = tables::bolt_strength(class, thread)?.tensile_min * body(thread);
    let in_plane = match plane {
        ShearPlane::Thread => 0.45,
        ShearPlane::Body => 0.563,
    };
    Ok(Bears { shear: ultimate * (in_plane * PHI), tension: ultimate * (0.75 * PHI) })
}

/// The published rules for tension and shear together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CombinedRule {
    /// European steelwork: `Rs + Rt/1.4`, and tension alone.
    Ec3,
    /// American steelwork: `(Rs + Rt)/1.3`, and each alone.
    Aisc,
    /// The space agency, the body in the shear plane: `Rs^2.5 + Rt^1.5`.
    NasaBody,
    /// The space agency, the thread in the shear plane: `Rs^1.2 + Rt^2`.
    NasaThread,
    /// The older curve, cautious: `Rs² + Rt²`.
    Rp1228Cautious,
    /// The older curve, bold: `Rs³ + Rt²`.
    Rp1228Bold,
}

impl CombinedRule {
    /// Every rule.
    pub const ALL: [Self; 6] =
        [Self::Ec3, Self::Aisc, Self::NasaBody, Self::NasaThread, Self::Rp1228Cautious, Self::Rp1228Bold];

    /// Returns its stable name.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Ec3 => "ec3",
            Self::Aisc => "aisc",
            Self::NasaBody => "nasa-body",
            Self::NasaThread => "nasa-thread",
            Self::Rp1228Cautious => "rp-1228-cautious",
            Self::Rp1228Bold => "rp-1228-bold",
        }
    }

    /// Returns where it is printed.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Ec3 => EC3_SOURCE,
            Self::Aisc => AISC_SOURCE,
            Self::NasaBody | Self::NasaThread => NASA_SOURCE,
            Self::Rp1228Cautious | Self::Rp1228Bold => RP_1228_SOURCE,
        }
    }

    /// Returns the sum that must not exceed one, from shear and tension as shares of what each alone allows.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`RATIO`].
    pub fn sum(self, shear: f64, tension: f64) -> Result<f64, CalcError> {
        let (shear, tension) = (RATIO.check(shear)?, RATIO.check(tension)?);
        Ok(match self {
            Self::Ec3 => (shear + tension / 1.4).max(tension),
            // F'nt = 1.3 Fnt − Fnt/(φ Fnv) frv, divided by φ Fnt: what tension is left is 1.3 less the share of shear.
            Self::Aisc => ((shear + tension) / 1.3).max(shear).max(tension),
            Self::NasaBody => shear.powf(2.5) + tension.powf(1.5),
            Self::NasaThread => shear.powf(1.2) + tension.powi(2),
            Self::Rp1228Cautious => shear.powi(2) + tension.powi(2),
            Self::Rp1228Bold => shear.powi(3) + tension.powi(2),
        })
    }
}

/// Returns the sum of the rule with bending: `(Ra + Rb/K)² + Rs³`, which must not exceed one.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`RATIO`], or for a plastic bending factor K outside 1 to 2.
///
/// # Source
///
/// [`NSTS_SOURCE`].
pub fn nsts_sum(axial: f64, bending: f64, shear: f64, plastic: f64) -> Result<f64, CalcError> {
    const PLASTIC: Range = Range::new("plastic_bending_factor", "", 1.0, 2.0);
    let [axial, bending, shear] = [RATIO.check(axial)?, RATIO.check(bending)?, RATIO.check(shear)?];
    Ok((axial + bending / PLASTIC.check(plastic)?).powi(2) + shear.powi(3))
}

/// What is left of a bolt's tension under shear, by American steelwork.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AiscTension {
    /// Required shear stress on the body's area.
    pub shear_stress: Stress,
    /// Nominal tensile stress left, never above the one without shear and never below nought.
    pub stress: Stress,
    /// Design strength in tension: 0.75 of stress times the body's area.
    pub design: Force,
}

/// Returns what is left of a bolt's tension under shear.
///
/// ```text
/// F'nt = 1.3 Fnt − Fnt / (φ Fnv) · frv ≤ Fnt;  φ Rn = 0.75 F'nt Ab
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a nominal stress outside 50 to 2000 MPa or a shear outside 0 to 5 MN.
///
/// # Source
///
/// [`AISC_SOURCE`].
pub fn aisc_tension(fnt: Stress, fnv: Stress, body: Area, shear: Force) -> Result<AiscTension, CalcError> {
    const NOMINAL: Range = Range::new("nominal_stress_mpa", "MPa", 50.0, 2000.0);
    const SHEAR: Range = Range::new("shear_n", "N", 0.0, 5.0e6);
    NOMINAL.check(fnt.mpa())?;
    NOMINAL.check(fnv.mpa())?;
    SHEAR.check(shear.n())?;
    let shear_stress = shear / body;
    let left = fnt * 1.3 - shear_stress * (fnt / (fnv * 0.75));
    let stress = left.min(fnt).max(Stress::ZERO);
    Ok(AiscTension { shear_stress, stress, design: stress * body * 0.75 })
}
