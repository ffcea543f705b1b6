//! American wire gauge: diameter and area of the solid nominal, and the copper behind every resistance.
//!
//! Stranded automotive cable lies a few per cent off the solid nominal, and the metric-reduced sizes of some cable
//! standards hold less copper than the gauge (both from memory of SAE J1128): a maker's printed resistance goes first.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Area, Length},
};

/// Where the gauge's formula is published.
pub const SOURCE: Source = Source::new("ASTM B258, gauge formula, as reprinted in an encyclopaedia", "", Seen::Opened);
/// Where the copper's resistivity and its temperature coefficient are published.
pub const COPPER_SOURCE: Source =
    Source::new("NBS Handbook 100, copper wire tables, as quoted with 0.017241 and 0.00393", "1966", Seen::Opened);

/// Allowed gauge numbers; a higher number is a thinner wire.
pub const GAUGE: Range = Range::new("awg_code", "", 0.0, 30.0);
/// Resistivity of annealed copper at 20 °C, Ω·mm²/m.
pub const COPPER_OHM_MM2_PER_M: f64 = 0.017_241;
/// By which share of its resistance at 20 °C copper gains with every kelvin.
pub const COPPER_PER_KELVIN: f64 = 0.003_93;

/// Returns the diameter of a gauge.
///
/// ```text
/// d = 0.127 mm · 92^((36 − n) / 39)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`GAUGE`].
pub fn diameter(gauge: i32) -> Result<Length, CalcError> {
    let gauge = GAUGE.check(f64::from(gauge))?;
    Ok(Length::from_mm(0.127 * 92_f64.powf((36.0 - gauge) / 39.0)))
}

/// Returns the area of a gauge: `A = π · d² / 4`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`GAUGE`].
pub fn area(gauge: i32) -> Result<Area, CalcError> {
    let d = diameter(gauge)?;
    Ok(d * d * std::f64::consts::FRAC_PI_4)
}
