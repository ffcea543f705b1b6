//! Axle loads by moments, and what follows from them.
//!
//! Stations are millimetres rearward of the front-axle centre: front axle 0, rear axle at the wheelbase, ball behind it.
//! Valid on level ground, at rest, for two axles or for an equalised axle group treated at its centre, on a rigid frame.
//! The error grows with the grade and with the height of the centre of mass.

pub mod centre;
#[cfg(test)]
mod handbook;
pub mod room;
pub mod tongue;
pub mod train;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::vehicle::{STATION, WHEELBASE},
    range::Range,
    units::{Length, Mass},
};

/// Allowed kerb load on the front axle.
pub const KERB_FRONT: Range = Range::new("kerb_front_kg", "kg", 0.0, 60_000.0);
/// Allowed kerb load on the rear axle.
pub const KERB_REAR: Range = Range::new("kerb_rear_kg", "kg", 0.0, 60_000.0);
/// Allowed mass of one item; below zero for a part that was taken off.
pub const ITEM_MASS: Range = Range::new("mass_kg", "kg", -5_000.0, 60_000.0);
/// Allowed tongue load. A trailer that lifts the vehicle's tail must not travel, so there is no negative one.
pub const TONGUE: Range = Range::new("tongue_kg", "kg", 0.0, 10_000.0);
/// Allowed station of the ball.
pub const BALL_STATION: Range = Range::new("ball_station_mm", "mm", -3_000.0, 20_000.0);

/// The law of the lever, and nothing else.
const MOMENTS: Source = Source::new("statics: moments about the axles", "", Seen::Derived);

/// A mass at a station rearward of the front axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// How heavy.
    pub mass: Mass,
    /// Where.
    pub station: Length,
}

/// What the axle loads are computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleInput<'a> {
    /// Front axle to rear axle, in the range [`WHEELBASE`].
    pub wheelbase: Length,
    /// Kerb load on the front axle, in the range [`KERB_FRONT`].
    pub kerb_front: Mass,
    /// Kerb load on the rear axle, in the range [`KERB_REAR`].
    pub kerb_rear: Mass,
    /// What rides in and on the vehicle, each in the ranges [`ITEM_MASS`] and [`STATION`].
    pub items: &'a [Station],
    /// The tongue load at the ball, when hitched, in the ranges [`TONGUE`] and [`BALL_STATION`].
    pub tongue: Option<Station>,
}

/// How one mass shares itself between the axles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// What the front axle gains; below zero when the mass sits behind the rear axle.
    pub front: Mass,
    /// What the rear axle gains.
    pub rear: Mass,
}

/// Loads on the two axles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLoads {
    /// Front, before hitching.
    pub front_before: Mass,
    /// Rear, before hitching.
    pub rear_before: Mass,
    /// Front, hitched; the same as before when there is no tongue load.
    pub front: Mass,
    /// Rear, hitched.
    pub rear: Mass,
}

impl AxleLoads {
    /// Returns the vehicle's mass before hitching.
    #[must_use]
    pub fn total_before(&self) -> Mass {
        self.front_before + self.rear_before
    }

    /// Returns the vehicle's mass as it stands, with the tongue load on it.
    #[must_use]
    pub fn total(&self) -> Mass {
        self.front + self.rear
    }

    /// Returns the front axle's share of the vehicle's mass, hitched; a number of no meaning for a massless vehicle.
    #[must_use]
    pub fn front_share(&self) -> f64 {
        self.front / self.total()
    }

    /// Returns which share of its load the front axle loses by hitching: 0.05 for five per cent.
    #[must_use]
    pub fn front_loss(&self) -> f64 {
        (self.front_before - self.front) / self.front_before
    }

    /// Returns whether an axle would lift off; then the law of the lever no longer describes the vehicle.
    #[must_use]
    pub fn lifts(&self) -> bool {
        self.front.min(self.rear).min(self.front_before).min(self.rear_before) < Mass::ZERO
    }

    /// Returns the station of the centre of mass, hitched: `s = R · L / (F + R)`.
    #[must_use]
    pub fn centre_station(&self, wheelbase: Length) -> Length {
        wheelbase * (self.rear / self.total())
    }
}

/// Returns how a mass at a station shares itself between the axles.
///
/// ```text
/// rear = m · s / L        front = m · (1 − s / L)
/// ```
///
/// The two always add up to the mass. No range is checked here; [`axle_loads`] does.
#[must_use]
pub fn split(item: Station, wheelbase: Length) -> Split {
    let rear = item.mass * (item.station / wheelbase);
    Split { front: item.mass - rear, rear }
}

/// Returns the axle loads of a loaded, and perhaps hitched, vehicle.
///
/// ```text
/// R = R_kerb + Σ m · s / L        F = F_kerb + Σ m · (1 − s / L)
/// ```
///
/// A tongue load behind the rear axle unloads the front axle. An axle load below zero is returned as it comes out:
/// see [`AxleLoads::lifts`].
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Derived: moments about the axles.
pub fn axle_loads(input: &AxleInput<'_>) -> Result<AxleLoads, CalcError> {
    WHEELBASE.check(input.wheelbase.mm())?;
    KERB_FRONT.check(input.kerb_front.kg())?;
    KERB_REAR.check(input.kerb_rear.kg())?;
    let (mut front, mut rear) = (input.kerb_front, input.kerb_rear);
    for item in input.items {
        ITEM_MASS.check(item.mass.kg())?;
        STATION.check(item.station.mm())?;
        let part = split(*item, input.wheelbase);
        front += part.front;
        rear += part.rear;
    }
    let (front_before, rear_before) = (front, rear);
    if let Some(tongue) = input.tongue {
        TONGUE.check(tongue.mass.kg())?;
        BALL_STATION.check(tongue.station.mm())?;
        let part = split(tongue, input.wheelbase);
        front += part.front;
        rear += part.rear;
    }
    Ok(AxleLoads { front_before, rear_before, front, rear })
}

/// Returns the steps behind [`axle_loads`].
#[must_use]
pub fn basis(input: &AxleInput<'_>) -> Vec<Basis> {
    let items: Mass = input.items.iter().map(|item| item.mass).sum();
    let mut steps = vec![Basis::new(
        "axle-loads-by-moments",
        "R = R_kerb + Σ m · s / L; F = F_kerb + Σ m · (1 − s / L)",
        MOMENTS,
        &[
            ("wheelbase_mm", input.wheelbase.mm()),
            ("kerb_front_kg", input.kerb_front.kg()),
            ("kerb_rear_kg", input.kerb_rear.kg()),
            ("items_kg", items.kg()),
        ],
    )];
    if let Some(tongue) = input.tongue {
        steps.push(Basis::new(
            "tongue-load-by-moments",
            "ΔR = T · s / L; ΔF = T · (1 − s / L)",
            MOMENTS,
            &[("tongue_kg", tongue.mass.kg()), ("ball_station_mm", tongue.station.mm())],
        ));
    }
    steps
}

/// Returns the largest tongue load the rear axle's rating leaves room for.
///
/// ```text
/// T = (GAWR_R − R_before) · L / s_ball
/// ```
///
/// Zero when the axle is already at or over its rating. `None` when the ball does not sit behind the front axle, since
/// the tongue load then does not load the rear axle.
#[must_use]
pub fn largest_tongue_by_rear_axle(
    rear_gawr: Mass,
    rear_before: Mass,
    wheelbase: Length,
    ball_station: Length,
) -> Option<Mass> {
    if ball_station <= Length::ZERO {
        return None;
    }
    Some((rear_gawr - rear_before).max(Mass::ZERO) * (wheelbase / ball_station))
}

/// Returns the largest tongue load the front axle's rating leaves room for, when the trailer hangs ahead of the rear axle.
///
/// ```text
/// T = (GAWR_F − F_before) / (1 − s / L)
/// ```
///
/// Zero when the axle is already at or over its rating. `None` when the load sits at or behind the rear axle, since it then
/// does not load the front axle.
#[must_use]
pub fn largest_tongue_by_front_axle(
    front_gawr: Mass,
    front_before: Mass,
    wheelbase: Length,
    station: Length,
) -> Option<Mass> {
    let share = (wheelbase - station) / wheelbase;
    (0.0 < share).then(|| (front_gawr - front_before).max(Mass::ZERO) / share)
}

/// Returns the largest tongue load the vehicle's gross rating leaves room for: `T = GVWR − (F + R)_before`.
///
/// Zero when the vehicle is already at or over its rating.
#[must_use]
pub fn largest_tongue_by_gvwr(gvwr: Mass, vehicle_before: Mass) -> Mass {
    (gvwr - vehicle_before).max(Mass::ZERO)
}
