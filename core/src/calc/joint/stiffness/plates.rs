//! How clamped parts give: frustum, exponential fit, cone, sleeve.

use std::f64::consts::PI;

use super::{GRIP, MODULUS};
use crate::{
    basis::{Seen, Source},
    calc::condition::{DIAMETER, RING_HOLE, RING_OUTER},
    error::CalcError,
    range::Range,
    units::{Length, Rate, Stress},
};

/// Where the frustum is printed.
pub const FRUSTUM_SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, eq. (8-20) to (8-22)", "", Seen::FromMemory);
/// Where the exponential fit is printed.
pub const WILEMAN_SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, eq. (8-23), after Wileman", "", Seen::FromMemory);
/// Where the cone is printed.
pub const CONE_SOURCE: Source = Source::new("VDI 2230 part 1, resilience of the parts", "", Seen::FromMemory);

/// Bolt diameter over grip, within which the exponential fit was made.
pub const RATIO: Range = Range::new("diameter_over_grip", "", 0.1, 2.0);
/// How many layers a stack may have.
pub const LAYERS_MAX: usize = 16;
const LAYER_COUNT: Range = Range::new("layer_count", "", 1.0, LAYERS_MAX as f64);
const THICKNESS: Range = Range::new("thickness_mm", "mm", 0.05, 1000.0);

/// One clamped part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// How thick it is.
    pub thickness: Length,
    /// Its modulus of elasticity.
    pub modulus: Stress,
}

/// The flare of the frustum over its depth on both sides together: 2 tan 30°.
const FLARE: f64 = 1.154_700_538_379_251_5;

/// Returns the stiffness of the stack under a bolt of this diameter: two frusta of 30° from head and nut, meeting in the
/// middle of the grip, each starting 1.5 d wide.
///
/// ```text
/// k  = 0.5774 π E d / ln[ (1.155 t + D − d)(D + d) / ((1.155 t + D + d)(D − d)) ]
/// 1/km = Σ 1/k
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a diameter, thickness, modulus or number of layers outside its range.
///
/// # Source
///
/// [`FRUSTUM_SOURCE`].
pub fn frustum(diameter: Length, layers: &[Layer]) -> Result<Rate, CalcError> {
    let d = DIAMETER.check(diameter.mm())?;
    LAYER_COUNT.check(layers.len() as f64)?;
    for layer in layers {
        THICKNESS.check(layer.thickness.mm())?;
        MODULUS.check(layer.modulus.mpa())?;
    }
    let grip = GRIP.check(layers.iter().map(|layer| layer.thickness.mm()).sum())?;
    let side = |layers: &mut dyn Iterator<Item = &Layer>| {
        let (mut depth, mut resilience) = (0.0, 0.0);
        for layer in layers {
            let thickness = layer.thickness.mm().min(grip / 2.0 - depth);
            if thickness <= 0.0 {
                break;
            }
            let wide = 1.5 * d + FLARE * depth;
            let slope = FLARE * thickness;
            let ratio = (slope + wide - d) * (wide + d) / ((slope + wide + d) * (wide - d));
            resilience += ratio.ln() / (FLARE / 2.0 * PI * layer.modulus.mpa() * d);
            depth += thickness;
        }
        resilience
    };
    let total = side(&mut layers.iter()) + side(&mut layers.iter().rev());
    Ok(Rate::from_n_per_mm(1.0 / total))
}

/// A material the exponential fit was made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WilemanMaterial {
    /// Steel.
    Steel,
    /// Aluminium.
    Aluminium,
    /// Grey cast iron.
    GreyIron,
}

impl WilemanMaterial {
    const fn constants(self) -> [f64; 2] {
        match self {
            Self::Steel => [0.78715, 0.62873],
            Self::Aluminium => [0.79670, 0.63816],
            Self::GreyIron => [0.77871, 0.61616],
        }
    }
}

/// Returns the stiffness of a stack of one material, wide against the bolt: `km = E d A exp(B d/l)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`RATIO`], or for a diameter, grip or modulus outside its range.
///
/// # Source
///
/// [`WILEMAN_SOURCE`].
pub fn wileman(diameter: Length, grip: Length, modulus: Stress, material: WilemanMaterial) -> Result<Rate, CalcError> {
    let (d, grip) = (DIAMETER.check(diameter.mm())?, GRIP.check(grip.mm())?);
    let modulus = MODULUS.check(modulus.mpa())?;
    let ratio = RATIO.check(d / grip)?;
    let [a, b] = material.constants();
    Ok(Rate::from_n_per_mm(modulus * d * a * (b * ratio).exp()))
}

/// What [`cone`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// Outer diameter of the bearing face of head or washer.
    pub bearing: Length,
    /// The hole.
    pub hole: Length,
    /// Grip.
    pub grip: Length,
    /// Outer diameter of the parts around the bolt, as far as they are one piece.
    pub outer: Length,
    /// Modulus of the parts.
    pub modulus: Stress,
    /// Whether the bolt sits in a tapped hole, so that there is one cone and not two.
    pub tapped: bool,
}

/// Returns the resilience of the clamped parts, mm/N.
///
/// ```text
/// tan φ = 0.362 + 0.032 ln(lK/(2 dw)) + 0.153 ln(DA/dw)
/// δ_P = 2 ln[ (dw + dh)(dw + w lK tan φ − dh) / ((dw − dh)(dw + w lK tan φ + dh)) ] / (w E π dh tan φ)
/// ```
///
/// The whole cone must fit into the parts: `DA ≥ dw + w lK tan φ`; w is 1 for through bolts and 2 in tapped holes, for
/// which the angle of this formula is used as well.
///
/// # Errors
///
/// [`CalcError::Conflict`] when the parts are too narrow for the cone, or the face for its hole;
/// [`CalcError::OutOfRange`] for a measure outside its range.
///
/// # Source
///
/// [`CONE_SOURCE`].
pub fn cone(input: &Cone) -> Result<f64, CalcError> {
    let (dw, dh) = (RING_OUTER.check(input.bearing.mm())?, RING_HOLE.check(input.hole.mm())?);
    let (grip, modulus) = (GRIP.check(input.grip.mm())?, MODULUS.check(input.modulus.mpa())?);
    if dw <= dh {
        return Err(CalcError::Conflict {
            field: RING_OUTER.field,
            other: RING_HOLE.field,
            why: "a bearing face is wider than its hole",
        });
    }
    let w = if input.tapped { 2.0 } else { 1.0 };
    let tan = tan_phi(dw, grip, input.outer.mm());
    let wide = dw + w * grip * tan;
    // Written so that a NaN fails.
    if !(0.0 < tan && wide <= input.outer.mm()) {
        return Err(CalcError::Conflict {
            field: "outer_diameter_mm",
            other: GRIP.field,
            why: "the parts are too narrow for the whole cone; the formula holds for wide parts only",
        });
    }
    let ratio = (dw + dh) * (wide - dh) / ((dw - dh) * (wide + dh));
    Ok(2.0 * ratio.ln() / (w * modulus * PI * dh * tan))
}

/// Returns the tangent of the cone's angle.
pub(super) fn tan_phi(bearing: f64, grip: f64, outer: f64) -> f64 {
    0.362 + 0.032 * (grip / bearing / 2.0).ln() + 0.153 * (outer / bearing).ln()
}

/// Returns the stiffness of a sleeve: `k = π/4 (Do² − Di²) E / l`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a measure outside its range; [`CalcError::Conflict`] when nothing is left of the wall.
pub fn sleeve(outer: Length, inner: Length, length: Length, modulus: Stress) -> Result<Rate, CalcError> {
    let (outer, inner) = (RING_OUTER.check(outer.mm())?, RING_HOLE.check(inner.mm())?);
    let (length, modulus) = (GRIP.check(length.mm())?, MODULUS.check(modulus.mpa())?);
    if outer <= inner {
        return Err(CalcError::Conflict {
            field: RING_OUTER.field,
            other: RING_HOLE.field,
            why: "a sleeve is wider outside than inside",
        });
    }
    Ok(Rate::from_n_per_mm(PI / 4.0 * (outer * outer - inner * inner) * modulus / length))
}
