//! The trailer's tongue load: from its balance, or from a weighing.

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::{Length, Mass},
};

/// Allowed trailer mass.
pub const TRAILER_MASS: Range = Range::new("trailer_mass_kg", "kg", 1.0, 60_000.0);
/// Allowed distance from the coupler to the centre of the axle or axle group.
pub const COUPLER_TO_AXLE: Range = Range::new("coupler_to_axle_mm", "mm", 300.0, 20_000.0);
/// Allowed distance from the coupler to the centre of mass.
pub const COUPLER_TO_CENTRE: Range = Range::new("coupler_to_centre_mm", "mm", 0.0, 20_000.0);
/// Allowed tongue share of the trailer's mass.
pub const TONGUE_SHARE: Range = Range::new("tongue_share", "", 0.001, 0.9);
/// Allowed distance from the lever's support to the coupler or to the scale.
pub const LEVER: Range = Range::new("lever_mm", "mm", 10.0, 5_000.0);
/// Allowed reading of the scale under the lever.
pub const READING: Range = Range::new("reading_kg", "kg", 0.0, 10_000.0);

const MOMENTS: Source = Source::new("statics: moments about the trailer's axle", "", Seen::Derived);
const LEVER_LAW: Source = Source::new("statics: law of the lever", "", Seen::Derived);

/// A trailer and where its centre of mass lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The trailer's mass as loaded, in the range [`TRAILER_MASS`].
    pub mass: Mass,
    /// Coupler to axle or axle-group centre, in the range [`COUPLER_TO_AXLE`].
    pub coupler_to_axle: Length,
    /// Coupler to centre of mass, in the range [`COUPLER_TO_CENTRE`].
    pub coupler_to_centre: Length,
}

/// What a trailer puts where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrailerSplit {
    /// What presses on the ball; below zero when the trailer lifts the vehicle's tail.
    pub tongue: Mass,
    /// What the trailer's axle or axle group carries.
    pub axle: Mass,
    /// The tongue load as a share of the trailer's mass.
    pub share: f64,
}

/// Returns the tongue load and the axle load of a trailer from its balance.
///
/// ```text
/// T = M · (A − x) / A        axle = M − T
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Derived: moments about the trailer's axle, trailer level.
pub fn tongue_from_balance(balance: &Balance) -> Result<TrailerSplit, CalcError> {
    let mass = TRAILER_MASS.check(balance.mass.kg())?;
    let to_axle = COUPLER_TO_AXLE.check(balance.coupler_to_axle.mm())?;
    let to_centre = COUPLER_TO_CENTRE.check(balance.coupler_to_centre.mm())?;
    let share = (to_axle - to_centre) / to_axle;
    let tongue = Mass::from_kg(mass * share);
    Ok(TrailerSplit { tongue, axle: balance.mass - tongue, share })
}

/// Returns where the centre of mass must lie, measured from the coupler, for a tongue share.
///
/// ```text
/// x = A · (1 − share)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for either input.
pub fn centre_for_share(coupler_to_axle: Length, share: f64) -> Result<Length, CalcError> {
    let to_axle = COUPLER_TO_AXLE.check(coupler_to_axle.mm())?;
    Ok(Length::from_mm(to_axle * (1.0 - TONGUE_SHARE.check(share)?)))
}

/// Returns how much the tongue load rises when a part of the cargo moves forward: `ΔT = m · d / A`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the coupler-to-axle distance or the mass.
pub fn tongue_gain(moved: Mass, forward: Length, coupler_to_axle: Length) -> Result<Mass, CalcError> {
    let to_axle = COUPLER_TO_AXLE.check(coupler_to_axle.mm())?;
    Ok(Mass::from_kg(TRAILER_MASS.check(moved.kg())? * forward.mm() / to_axle))
}

/// A weighing on a lever, for a tongue load beyond the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeverWeighing {
    /// Support to the coupler's line, in the range [`LEVER`].
    pub support_to_coupler: Length,
    /// Support to the scale, on the other side of the coupler, in the range [`LEVER`].
    pub coupler_to_scale: Length,
    /// What the scale reads, the lever's own weight tared off, in the range [`READING`].
    pub reading: Mass,
}

/// Returns the tongue load from a weighing on a lever that rests on a support at one end and on the scale at the other.
///
/// ```text
/// T = reading · (a + b) / a
/// ```
///
/// where `a` is the support's distance from the coupler and `b` the scale's, on the other side.
/// Weigh at towing height, trailer level and loaded as it will travel, jack clear, tanks full and again empty.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
pub fn tongue_by_lever(weighing: &LeverWeighing) -> Result<Mass, CalcError> {
    let a = LEVER.check(weighing.support_to_coupler.mm())?;
    let b = LEVER.check(weighing.coupler_to_scale.mm())?;
    Ok(Mass::from_kg(READING.check(weighing.reading.kg())? * (a + b) / a))
}

/// Returns the step behind [`tongue_from_balance`].
#[must_use]
pub fn basis(balance: &Balance) -> Vec<Basis> {
    vec![Basis::new(
        "tongue-from-balance",
        "T = M · (A − x) / A",
        MOMENTS,
        &[
            ("trailer_mass_kg", balance.mass.kg()),
            ("coupler_to_axle_mm", balance.coupler_to_axle.mm()),
            ("coupler_to_centre_mm", balance.coupler_to_centre.mm()),
        ],
    )]
}

/// Returns the step behind [`tongue_by_lever`].
#[must_use]
pub fn lever_basis(weighing: &LeverWeighing) -> Vec<Basis> {
    vec![Basis::new(
        "tongue-by-lever",
        "T = reading · (a + b) / a",
        LEVER_LAW,
        &[
            ("support_to_coupler_mm", weighing.support_to_coupler.mm()),
            ("coupler_to_scale_mm", weighing.coupler_to_scale.mm()),
            ("reading_kg", weighing.reading.kg()),
        ],
    )]
}
