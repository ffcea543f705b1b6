//! When threads strip, and how much engagement makes the bolt break first.

use std::f64::consts::PI;

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::thread::Thread,
    range::Range,
    tables::thread_limits::Limits,
    units::{Area, Force, Length, Stress},
};

/// Where the shear areas and the needed engagement are printed; the formulas were seen in paraphrase.
pub const AREA_SOURCE: Source =
    Source::new("FED-STD-H28/2B, shear areas; Machinery's Handbook 24, engagement", "", Seen::Opened);
/// Where the factors for a bursting nut and for bending threads are printed.
pub const FACTOR_SOURCE: Source = Source::new("Alexander 1977; VDI 2230 part 1", "", Seen::FromMemory);

/// Thread in engagement.
pub const ENGAGEMENT: Range = Range::new("engagement_mm", "mm", 0.1, 200.0);
/// Shear strength over tensile strength; about 0.6 for steel.
pub const SHEAR_SHARE: Range = Range::new("shear_share", "", 0.45, 0.80);
/// Tensile strength of bolt or nut material.
pub const TENSILE: Range = Range::new("tensile_mpa", "MPa", 50.0, 2000.0);
/// Width across flats over diameter, where a nut may burst.
pub const FLATS_RATIO: Range = Range::new("flats_over_diameter", "", 1.4, 10.0);
/// Strength of the nut's thread over that of the bolt's, where the factors are printed.
pub const STRENGTH_RATIO: Range = Range::new("thread_strength_ratio", "", 0.4, 2.2);

const TAN_30: f64 = 0.577_350_269_189_625_8;

/// Shear areas per millimetre of engagement, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShearAreas {
    /// Of the bolt's thread, sheared off at the nut's minor diameter.
    pub bolt: f64,
    /// Of the nut's thread, sheared off at the bolt's major diameter.
    pub nut: f64,
}

/// Returns the shear areas per millimetre of engagement, with both threads at the limits where they are weakest.
///
/// ```text
/// AS_bolt = π n Kn_max [1/(2n) + 0.57735 (Es_min − Kn_max)]
/// AS_nut  = π n Ds_min [1/(2n) + 0.57735 (Ds_min − En_max)]
/// ```
///
/// # Source
///
/// [`AREA_SOURCE`].
#[must_use]
pub fn shear_areas(pitch: Length, limits: &Limits) -> ShearAreas {
    let ring = |at: Length, flank: Length| PI * at.mm() / pitch.mm() * (pitch.mm() / 2.0 + TAN_30 * flank.mm());
    ShearAreas {
        bolt: ring(limits.nut_minor_max, limits.bolt_pitch_min - limits.nut_minor_max),
        nut: ring(limits.bolt_major_min, limits.bolt_major_min - limits.nut_pitch_max),
    }
}

/// Returns the engagement at which bolt and thread of equal strength fail together: `Le = 2 At / AS_bolt per length`.
///
/// The factor of 2 stands for a shear strength of half the tensile strength.
///
/// # Source
///
/// [`AREA_SOURCE`].
#[must_use]
pub fn equal_engagement(thread: &Thread, areas: &ShearAreas) -> Length {
    Length::from_mm(2.0 * thread.stress_area().mm2() / areas.bolt)
}

/// Returns the engagement that is needed when the nut's material is weaker: `J · Le` where `J > 1`, else `Le`.
///
/// ```text
/// J = (AS_bolt · Rm_bolt) / (AS_nut · Rm_nut)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`TENSILE`].
///
/// # Source
///
/// [`AREA_SOURCE`].
pub fn needed_engagement(thread: &Thread, areas: &ShearAreas, bolt: Stress, nut: Stress) -> Result<Length, CalcError> {
    let (bolt, nut) = (TENSILE.check(bolt.mpa())?, TENSILE.check(nut.mpa())?);
    let ratio = areas.bolt * bolt / (areas.nut * nut);
    Ok(equal_engagement(thread, areas) * ratio.max(1.0))
}

/// What surrounds the internal thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Around {
    /// A nut of this width across flats, which widens under load and may burst.
    Nut {
        /// Width across flats.
        across_flats: Length,
    },
    /// Enough material on all sides: a plate, a casting, a weld nut's base.
    Plate,
}

/// Which factors are put on the shear areas.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StripMethod {
    /// None: area times shear strength.
    Plain,
    /// Those for a widening nut and for bending threads.
    Factored,
}

/// What [`strip`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripInput {
    /// The pitch.
    pub pitch: Length,
    /// The threads at their limits.
    pub limits: Limits,
    /// Nominal diameter.
    pub diameter: Length,
    /// Thread in engagement, chamfers taken off.
    pub engagement: Length,
    /// Tensile strength of the bolt.
    pub bolt: Stress,
    /// Tensile strength of the nut's or the part's material.
    pub nut: Stress,
    /// Shear strength over tensile strength.
    pub shear_share: f64,
    /// What surrounds the internal thread.
    pub around: Around,
    /// Which factors.
    pub method: StripMethod,
}

/// The loads at which threads strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Of the bolt.
    pub bolt: Force,
    /// Of the nut or part.
    pub nut: Force,
}

impl Strip {
    /// Returns the lesser.
    #[must_use]
    pub fn governing(&self) -> Force {
        self.bolt.min(self.nut)
    }
}

/// Returns the loads at which threads strip: `Rm · (τ/Rm) · AS · L`, times `C1 C2` or `C1 C3`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first figure outside its range; with factors also outside [`FLATS_RATIO`] or
/// [`STRENGTH_RATIO`], beyond which they are not printed.
///
/// # Source
///
/// [`AREA_SOURCE`] and [`FACTOR_SOURCE`].
pub fn strip(input: &StripInput) -> Result<Strip, CalcError> {
    let length = ENGAGEMENT.check(input.engagement.mm())?;
    let (bolt, nut) = (TENSILE.check(input.bolt.mpa())?, TENSILE.check(input.nut.mpa())?);
    let share = SHEAR_SHARE.check(input.shear_share)?;
    let areas = shear_areas(input.pitch, &input.limits);
    let [c1, c2, c3] = match input.method {
        StripMethod::Plain => [1.0; 3],
        StripMethod::Factored => {
            let ratio = nut * areas.nut / (bolt * areas.bolt);
            let widening = match input.around {
                Around::Nut { across_flats } => widening(across_flats / input.diameter)?,
                Around::Plate => 1.0,
            };
            [widening, bolt_bending(ratio)?, nut_bending(ratio)?]
        }
    };
    let force = |tensile: f64, area: f64, factor: f64| Force::from_n(tensile * share * area * length * factor);
    Ok(Strip { bolt: force(bolt, areas.bolt, c1 * c2), nut: force(nut, areas.nut, c1 * c3) })
}

/// Returns the factor C1 for a nut that widens: `−(s/D)² + 3.8 (s/D) − 2.61` below 1.9, one above.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`FLATS_RATIO`].
///
/// # Source
///
/// [`FACTOR_SOURCE`].
pub fn widening(flats_ratio: f64) -> Result<f64, CalcError> {
    let s = FLATS_RATIO.check(flats_ratio)?;
    Ok(if s < 1.9 { -s * s + 3.8 * s - 2.61 } else { 1.0 })
}

/// Returns the factor C2 for the bending of the bolt's threads.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`STRENGTH_RATIO`].
///
/// # Source
///
/// [`FACTOR_SOURCE`].
pub fn bolt_bending(ratio: f64) -> Result<f64, CalcError> {
    let r = STRENGTH_RATIO.check(ratio)?;
    if r <= 1.0 {
        return Ok(0.897);
    }
    Ok(5.594 - 13.682 * r + 14.107 * r.powi(2) - 6.057 * r.powi(3) + 0.9353 * r.powi(4))
}

/// Returns the factor C3 for the bending of the nut's threads.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`STRENGTH_RATIO`].
///
/// # Source
///
/// [`FACTOR_SOURCE`].
pub fn nut_bending(ratio: f64) -> Result<f64, CalcError> {
    let r = STRENGTH_RATIO.check(ratio)?;
    if 1.0 <= r {
        return Ok(0.897);
    }
    Ok(0.728 + 1.769 * r - 2.896 * r.powi(2) + 1.296 * r.powi(3))
}

/// A rule of thumb for engagement. Shown beside the computed figure, never instead of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngagementRule {
    /// What is tapped.
    pub into: &'static str,
    /// Engagement over diameter: least and greatest said.
    pub diameters: [f64; 2],
    /// Who says so.
    pub source: Source,
}

/// The rules of thumb.
#[rustfmt::skip]
pub const ENGAGEMENT_RULES: &[EngagementRule] = &[
    EngagementRule { into: "steel of the bolt's strength", diameters: [0.8, 1.0],
        source: Source::new("rule of thumb for engagement", "", Seen::CommonPractice) },
    EngagementRule { into: "steel or cast iron", diameters: [1.25, 1.25],
        source: Source::new("a generator manual, thread engagement", "", Seen::Opened) },
    EngagementRule { into: "cast iron", diameters: [1.5, 1.5],
        source: Source::new("rule of thumb for engagement", "", Seen::CommonPractice) },
    EngagementRule { into: "aluminium", diameters: [2.0, 2.0],
        source: Source::new("US Army TM 5-3895-367-14&P, appendix H; a generator manual", "", Seen::Opened) },
];

/// Returns the shear area of a whole engagement.
#[must_use]
pub fn area_over(per_mm: f64, engagement: Length) -> Area {
    Area::from_mm2(per_mm * engagement.mm())
}
