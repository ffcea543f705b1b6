//! What the sheet around a bolt bears: bearing of the hole, tear-out to the edge, the section that is left.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Area, Force, Length, Stress},
};

/// Where bearing and tear-out of American steelwork are printed.
pub const AISC_SOURCE: Source = Source::new("AISC 360, J3.10", "", Seen::FromMemory);
/// Where bearing of European steelwork is printed.
pub const EC3_SOURCE: Source = Source::new("EN 1993-1-8, table 3.4", "", Seen::FromMemory);
/// Net section.
pub const NET_SOURCE: Source = Source::new("section left between the holes", "", Seen::Derived);

/// Bolt diameter.
pub const DIAMETER: Range = Range::new("diameter_mm", "mm", 3.0, 64.0);
/// Thickness of the sheet.
pub const THICKNESS: Range = Range::new("thickness_mm", "mm", 0.5, 100.0);
/// Hole.
pub const HOLE: Range = Range::new("hole_diameter_mm", "mm", 3.0, 100.0);
/// From a hole's centre to the edge, or to the next hole.
pub const DISTANCE: Range = Range::new("distance_mm", "mm", 1.0, 2000.0);
/// Tensile strength of the sheet.
pub const TENSILE: Range = Range::new("tensile_mpa", "MPa", 50.0, 2000.0);
/// The partial factor of European steelwork for bolts and bearing.
pub const GAMMA_M2: f64 = 1.25;
/// The resistance factor of American steelwork for bolts and bearing.
pub const PHI: f64 = 0.75;

/// A bolt in a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// Bolt diameter.
    pub diameter: Length,
    /// Hole diameter.
    pub hole: Length,
    /// Thickness of the sheet.
    pub thickness: Length,
    /// Tensile strength of the sheet.
    pub tensile: Stress,
}

impl Seat {
    fn checked(&self) -> Result<[f64; 4], CalcError> {
        let (d, hole) = (DIAMETER.check(self.diameter.mm())?, HOLE.check(self.hole.mm())?);
        if hole < d {
            return Err(CalcError::Conflict {
                field: HOLE.field,
                other: DIAMETER.field,
                why: "the bolt does not go through the hole",
            });
        }
        Ok([d, hole, THICKNESS.check(self.thickness.mm())?, TENSILE.check(self.tensile.mpa())?])
    }
}

/// Returns the mean pressure in the hole, `Q / (d t)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] or [`CalcError::Conflict`] for a measure that cannot be.
pub fn bearing_stress(seat: &Seat, across: Force) -> Result<Stress, CalcError> {
    let [d, _, t, _] = seat.checked()?;
    Ok(across / Area::from_mm2(d * t))
}

/// Nominal resistances by American steelwork.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aisc {
    /// Bearing: `2.4 d t Fu`.
    pub bearing: Force,
    /// Tear-out over the clear distance: `1.2 Lc t Fu`.
    pub tear_out: Force,
}

impl Aisc {
    /// Returns the lesser.
    #[must_use]
    pub fn governing(&self) -> Force {
        self.bearing.min(self.tear_out)
    }
}

/// Where the sheet ends in the direction of the load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ahead {
    /// At an edge, so far from the hole's centre.
    Edge(Length),
    /// At the next hole, centre to centre.
    Hole(Length),
}

/// Returns the nominal resistances of a bolt in a sheet by American steelwork, deformation at service load minded.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a measure outside its range; [`CalcError::Conflict`] when the hole reaches the edge or the
/// next hole.
///
/// # Source
///
/// [`AISC_SOURCE`].
pub fn aisc(seat: &Seat, ahead: Ahead) -> Result<Aisc, CalcError> {
    let [d, hole, t, fu] = seat.checked()?;
    let clear = match ahead {
        Ahead::Edge(edge) => DISTANCE.check(edge.mm())? - hole / 2.0,
        Ahead::Hole(pitch) => DISTANCE.check(pitch.mm())? - hole,
    };
    if clear <= 0.0 {
        return Err(CalcError::Conflict {
            field: DISTANCE.field,
            other: HOLE.field,
            why: "the hole reaches the edge or the next hole",
        });
    }
    Ok(Aisc { bearing: Force::from_n(2.4 * d * t * fu), tear_out: Force::from_n(1.2 * clear * t * fu) })
}

/// How a hole lies in the sheet, for European steelwork.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// From the centre to the edge, along the load.
    pub end: Length,
    /// From the centre to the edge, across the load.
    pub side: Length,
    /// To the next hole along the load; `None` for a single row.
    pub pitch: Option<Length>,
}

/// Returns the bearing resistance of a bolt in a sheet by European steelwork.
///
/// ```text
/// F_b,Rd = k1 αb fu d t / γM2;  αb = min(e1/(3 d0), p1/(3 d0) − 1/4, fub/fu, 1);  k1 = min(2.8 e2/d0 − 1.7, 2.5)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a measure outside its range; [`CalcError::Conflict`] for an end or side distance below
/// 1.2 hole diameters, where the table ends.
///
/// # Source
///
/// [`EC3_SOURCE`].
pub fn ec3(seat: &Seat, place: &Place, bolt_tensile: Stress) -> Result<Force, CalcError> {
    let [d, hole, t, fu] = seat.checked()?;
    let (end, side) = (DISTANCE.check(place.end.mm())?, DISTANCE.check(place.side.mm())?);
    if end.min(side) < 1.2 * hole {
        return Err(CalcError::Conflict {
            field: DISTANCE.field,
            other: HOLE.field,
            why: "the rule needs at least 1.2 hole diameters to every edge",
        });
    }
    let mut alpha = (end / (3.0 * hole)).min(bolt_tensile.mpa() / fu).min(1.0);
    if let Some(pitch) = place.pitch {
        alpha = alpha.min(DISTANCE.check(pitch.mm())? / (3.0 * hole) - 0.25);
    }
    if alpha <= 0.0 {
        return Err(CalcError::Conflict {
            field: DISTANCE.field,
            other: HOLE.field,
            why: "the holes are too close to each other for the rule",
        });
    }
    let k1 = (2.8 * side / hole - 1.7).min(2.5);
    Ok(Force::from_n(k1 * alpha * fu * d * t / GAMMA_M2))
}

/// Returns the section that is left of a strip between the holes across it: `(b − Σ d0) t`.
///
/// # Errors
///
/// [`CalcError::Conflict`] when the holes leave nothing; [`CalcError::OutOfRange`] for a measure outside its range.
pub fn net_section(width: Length, holes_across: u32, hole: Length, thickness: Length) -> Result<Area, CalcError> {
    let (width, hole) = (DISTANCE.check(width.mm())?, HOLE.check(hole.mm())?);
    let thickness = THICKNESS.check(thickness.mm())?;
    let left = width - f64::from(holes_across) * hole;
    if left <= 0.0 {
        return Err(CalcError::Conflict {
            field: "width_mm",
            other: HOLE.field,
            why: "the holes leave nothing of the strip",
        });
    }
    Ok(Area::from_mm2(left * thickness))
}
