//! Coupling values of UN Regulation 55: D, Dc, V, S and the fifth wheel's D, and each solved for the trailer.
//!
//! The formulas print an acceleration of 9.81 m/s²; they use [`G_COUPLING`], never the exact one.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::trailer::DrawbarKind,
    range::Range,
    units::{Force, G_COUPLING, Length, Mass},
};

/// Where D, Dc and V are published.
pub const SOURCE: Source = Source::new("UN Regulation 55, section 2", "", Seen::FromMemory);
/// Where the fifth wheel's D is published.
pub const FIFTH_WHEEL_SOURCE: Source =
    Source::new("encyclopaedia article on the D-value in transport", "", Seen::Opened);

/// Allowed mass of the towing vehicle, the vertical load included.
pub const VEHICLE_MASS: Range = Range::new("vehicle_mass_kg", "kg", 100.0, 60_000.0);
/// Allowed mass of the trailer.
pub const TRAILER_MASS: Range = Range::new("trailer_mass_kg", "kg", 1.0, 60_000.0);
/// Allowed sum of the axle loads of a loaded centre-axle trailer.
pub const AXLE_SUM: Range = Range::new("axle_sum_kg", "kg", 1.0, 60_000.0);
/// Allowed load on a fifth wheel.
pub const IMPOSED: Range = Range::new("imposed_kg", "kg", 0.0, 40_000.0);
/// Allowed coupling value.
pub const VALUE: Range = Range::new("value_kn", "kN", 0.01, 1000.0);
/// Allowed length of the load bed.
pub const BED_LENGTH: Range = Range::new("bed_length_mm", "mm", 500.0, 20_000.0);
/// Allowed theoretical drawbar length.
pub const DRAWBAR_LENGTH: Range = Range::new("drawbar_length_mm", "mm", 500.0, 20_000.0);
/// Above this mass a centre-axle trailer needs a V-value.
pub const V_FROM: Mass = Mass::from_t(3.5);

/// The largest trailer a coupling value leaves room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Allowed {
    /// At most this.
    UpTo(Mass),
    /// The value is so high for this vehicle that it limits no trailer. Every other link still does.
    NotLimiting,
}

/// How the towing vehicle's drive axle is sprung.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspension {
    /// Air suspension, or one with equivalent damping: 1.8 m/s².
    AirOrEquivalent,
    /// Any other: 2.4 m/s².
    Other,
}

impl Suspension {
    /// Returns the equivalent vertical acceleration, m/s².
    #[must_use]
    pub const fn acceleration(self) -> f64 {
        match self {
            Self::AirOrEquivalent => 1.8,
            Self::Other => 2.4,
        }
    }
}

/// What a V-value is computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VInput {
    /// How the towing vehicle is sprung.
    pub suspension: Suspension,
    /// X, the length of the trailer's load bed, in the range [`BED_LENGTH`].
    pub bed_length: Length,
    /// l, the theoretical drawbar length, in the range [`DRAWBAR_LENGTH`].
    pub drawbar_length: Length,
    /// C, the sum of the loaded trailer's axle loads, in the range [`AXLE_SUM`].
    pub axle_sum: Mass,
}

fn series(first_t: f64, second_t: f64) -> Force {
    Force::from_kn(G_COUPLING * first_t * second_t / (first_t + second_t))
}

/// Returns the D-value a ball, bracket or drawbar coupling needs.
///
/// ```text
/// D = g · T · R / (T + R)        g = 9.81
/// ```
///
/// `T` is the vehicle's mass with the vertical load, `R` the trailer's; in tonnes D comes out in kN.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`VEHICLE_MASS`] or [`TRAILER_MASS`].
///
/// # Source
///
/// UN Regulation 55, section 2, from memory.
pub fn d_value(vehicle: Mass, trailer: Mass) -> Result<Force, CalcError> {
    VEHICLE_MASS.check(vehicle.kg())?;
    TRAILER_MASS.check(trailer.kg())?;
    Ok(series(vehicle.t(), trailer.t()))
}

/// Returns the Dc-value a centre-axle trailer's coupling needs: `Dc = g · T · C / (T + C)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`VEHICLE_MASS`] or [`AXLE_SUM`].
///
/// # Source
///
/// UN Regulation 55, section 2, from memory.
pub fn dc_value(vehicle: Mass, axle_sum: Mass) -> Result<Force, CalcError> {
    VEHICLE_MASS.check(vehicle.kg())?;
    AXLE_SUM.check(axle_sum.kg())?;
    Ok(series(vehicle.t(), axle_sum.t()))
}

/// Returns the V-value a centre-axle trailer above 3.5 t needs.
///
/// ```text
/// V = a · max(1, X² / l²) · C
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// UN Regulation 55, section 2, from memory.
pub fn v_value(input: &VInput) -> Result<Force, CalcError> {
    let bed = BED_LENGTH.check(input.bed_length.mm())?;
    let drawbar = DRAWBAR_LENGTH.check(input.drawbar_length.mm())?;
    AXLE_SUM.check(input.axle_sum.kg())?;
    let ratio = (bed * bed / (drawbar * drawbar)).max(1.0);
    Ok(Force::from_kn(input.suspension.acceleration() * ratio * input.axle_sum.t()))
}

/// Returns the D-value a fifth wheel needs: `D = g · 0.6 · T · R / (T + R − U)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a mass; [`CalcError::Conflict`] when the imposed load reaches the trailer's mass.
///
/// # Source
///
/// Encyclopaedia article on the D-value in transport.
pub fn fifth_wheel_d(vehicle: Mass, trailer: Mass, imposed: Mass) -> Result<Force, CalcError> {
    VEHICLE_MASS.check(vehicle.kg())?;
    TRAILER_MASS.check(trailer.kg())?;
    IMPOSED.check(imposed.kg())?;
    if imposed >= trailer {
        return Err(CalcError::Conflict {
            field: "imposed_kg",
            other: "trailer_mass_kg",
            why: "a semi-trailer puts only a part of its mass on the fifth wheel",
        });
    }
    let (t, r, u) = (vehicle.t(), trailer.t(), imposed.t());
    Ok(Force::from_kn(G_COUPLING * 0.6 * t * r / (t + r - u)))
}

/// Returns the largest trailer for a certified D-value, or the largest axle sum for a certified Dc-value.
///
/// ```text
/// R = D · T / (g · T − D)
/// ```
///
/// When `D ≥ g · T` the value limits no trailer: [`Allowed::NotLimiting`].
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`VALUE`] or [`VEHICLE_MASS`].
pub fn trailer_for_d(d: Force, vehicle: Mass) -> Result<Allowed, CalcError> {
    let d = VALUE.check(d.kn())?;
    VEHICLE_MASS.check(vehicle.kg())?;
    let t = vehicle.t();
    Ok(inverse(d * t, G_COUPLING * t - d))
}

/// Returns the largest semi-trailer for a certified fifth-wheel D-value: `R = D · (T − U) / (0.6 · g · T − D)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a value or a mass; [`CalcError::Conflict`] when the imposed load reaches the vehicle's
/// mass, which `T` includes.
pub fn trailer_for_fifth_wheel_d(d: Force, vehicle: Mass, imposed: Mass) -> Result<Allowed, CalcError> {
    let d = VALUE.check(d.kn())?;
    VEHICLE_MASS.check(vehicle.kg())?;
    IMPOSED.check(imposed.kg())?;
    if imposed >= vehicle {
        return Err(CalcError::Conflict {
            field: "imposed_kg",
            other: "vehicle_mass_kg",
            why: "the vehicle's mass includes the load on its fifth wheel",
        });
    }
    let (t, u) = (vehicle.t(), imposed.t());
    Ok(inverse(d * (t - u), 0.6 * G_COUPLING * t - d))
}

/// Returns the largest axle sum for a certified V-value: `C = V / (a · max(1, X² / l²))`. `axle_sum` is not read.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the value or a length.
pub fn axle_sum_for_v(v: Force, input: &VInput) -> Result<Mass, CalcError> {
    let v = VALUE.check(v.kn())?;
    let per_tonne = v_value(&VInput { axle_sum: Mass::from_t(1.0), ..*input })?;
    Ok(Mass::from_t(v / per_tonne.kn()))
}

fn inverse(above: f64, below: f64) -> Allowed {
    if below > 0.0 { Allowed::UpTo(Mass::from_t(above / below)) } else { Allowed::NotLimiting }
}

/// A train whose coupling values are wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CouplingInput {
    /// T, the vehicle with the vertical load on it.
    pub vehicle: Mass,
    /// R, the trailer.
    pub trailer: Mass,
    /// S, the static vertical load.
    pub tongue: Mass,
    /// How the trailer hangs on.
    pub drawbar: DrawbarKind,
    /// The V-value its drawbar needs, where it is known.
    pub v_value: Option<Force>,
}

/// The coupling values that every part of a train must be certified for, each of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CouplingValues {
    /// D, for a free drawbar or a light ball coupling, and for a fifth wheel by its own formula.
    pub d: Option<Force>,
    /// Dc, for a rigid drawbar.
    pub dc: Option<Force>,
    /// S; for a fifth wheel U.
    pub s: Mass,
    /// V, when it applies and is known.
    pub v: Option<Force>,
    /// Whether V applies: a centre-axle trailer above 3.5 t.
    pub v_applies: bool,
}

/// Returns the coupling values a train needs.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a mass; [`CalcError::Conflict`] when the tongue load reaches the trailer's mass.
pub fn coupling_values(input: &CouplingInput) -> Result<CouplingValues, CalcError> {
    if input.tongue >= input.trailer {
        return Err(CalcError::Conflict {
            field: "tongue_kg",
            other: "trailer_mass_kg",
            why: "a trailer puts only a part of its mass on the ball",
        });
    }
    let centre = input.drawbar == DrawbarKind::CentreAxle;
    let v_applies = centre && input.trailer > V_FROM;
    let d = match input.drawbar {
        DrawbarKind::Free => Some(d_value(input.vehicle, input.trailer)?),
        DrawbarKind::FifthWheel => Some(fifth_wheel_d(input.vehicle, input.trailer, input.tongue)?),
        DrawbarKind::CentreAxle => None,
    };
    let dc = if centre { Some(dc_value(input.vehicle, input.trailer - input.tongue)?) } else { None };
    Ok(CouplingValues { d, dc, s: input.tongue, v: input.v_value.filter(|_| v_applies), v_applies })
}

/// Returns the steps behind [`coupling_values`].
#[must_use]
pub fn basis(input: &CouplingInput) -> Vec<Basis> {
    let vehicle = ("vehicle_mass_kg", input.vehicle.kg());
    vec![match input.drawbar {
        DrawbarKind::Free => Basis::new(
            "coupling-d",
            "D = g · T · R / (T + R), g = 9.81",
            SOURCE,
            &[vehicle, ("trailer_mass_kg", input.trailer.kg())],
        ),
        DrawbarKind::FifthWheel => Basis::new(
            "coupling-d-fifth-wheel",
            "D = g · 0.6 · T · R / (T + R − U), g = 9.81",
            FIFTH_WHEEL_SOURCE,
            &[vehicle, ("trailer_mass_kg", input.trailer.kg()), ("imposed_kg", input.tongue.kg())],
        ),
        DrawbarKind::CentreAxle => Basis::new(
            "coupling-dc",
            "Dc = g · T · C / (T + C), g = 9.81",
            SOURCE,
            &[vehicle, ("axle_sum_kg", (input.trailer - input.tongue).kg())],
        ),
    }]
}
