//! The laden state: how far each axle sinks, and where that puts every point of the underside.
//!
//! Linear springs only: bump stops, the second stage of a leaf spring, air and self-levelling are outside, and friction
//! makes any estimate the second choice. A laden height measured on the floor always beats it.

#[cfg(test)]
mod handbook;
mod pose;

pub use pose::{Model, Pose};

use crate::{
    basis::{Basis, Seen, Source},
    calc::clearance::{FRONT_RADIUS, REAR_RADIUS, Wheels},
    error::CalcError,
    model::vehicle::{Axle, WHEELBASE},
    range::Range,
    units::{Angle, Length, Mass, Rate},
};

/// Allowed rate of a suspension, for the whole axle, measured at the wheels.
pub const SUSPENSION_RATE: Range = Range::new("suspension_rate_n_per_mm", "N/mm", 5.0, 2000.0);
/// Allowed vertical rate of one tyre.
pub const TYRE_RATE: Range = Range::new("rate_n_per_mm", "N/mm", 50.0, 3000.0);
/// Allowed number of tyres on an axle.
pub const TYRE_COUNT: Range = Range::new("tyre_count", "", 2.0, 4.0);
/// Allowed change of an axle's load against the state the vehicle was measured in.
pub const LOAD_CHANGE: Range = Range::new("load_change_kg", "kg", -20_000.0, 20_000.0);

const SPRINGS: Source = Source::new("springs in series; rigid body", "", Seen::Derived);

/// The springs of one axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleSpring {
    /// The suspension, for the whole axle, at the wheels: spring rate times motion ratio squared, both sides together.
    pub suspension: Rate,
    /// One tyre.
    pub tyre: Rate,
    /// How many tyres: 2, or 4 when dual.
    pub tyre_count: i32,
    /// Whether the axle levels itself.
    pub self_levelling: bool,
}

impl AxleSpring {
    /// Reads the springs off an axle.
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] names what is unknown: the suspension's rate, whether it levels itself, or the
    /// tyres, their rate or their count.
    pub fn of(axle: &Axle) -> Result<Self, CalcError> {
        let missing = |field| CalcError::Missing { field, by: "the laden height" };
        let tyres = axle.tyres.as_ref().ok_or(missing("tyres"))?;
        Ok(Self {
            suspension: axle.suspension_rate.ok_or(missing("suspension_rate_n_per_mm"))?,
            tyre: tyres.rate.ok_or(missing("tyres.rate_n_per_mm"))?,
            tyre_count: tyres.count.ok_or(missing("tyres.tyre_count"))?,
            self_levelling: axle.self_levelling.ok_or(missing("self_levelling"))?,
        })
    }

    /// Returns the rate of the axle's tyres together.
    #[must_use]
    pub fn tyres(&self) -> Rate {
        self.tyre * f64::from(self.tyre_count)
    }

    /// Returns the rate of suspension and tyres in series: `k = 1 / (1 / k_suspension + 1 / k_tyres)`.
    ///
    /// # Errors
    ///
    /// - [`CalcError::OutOfRange`] for a rate or the count.
    /// - [`CalcError::Conflict`] for an axle that levels itself: its height does not follow its load.
    pub fn axle_rate(&self) -> Result<Rate, CalcError> {
        if self.self_levelling {
            return Err(CalcError::Conflict {
                field: "self_levelling",
                other: "suspension_rate_n_per_mm",
                why: "the height of an axle that levels itself does not follow its load; measure the laden height",
            });
        }
        let suspension = SUSPENSION_RATE.check(self.suspension.n_per_mm())?;
        TYRE_RATE.check(self.tyre.n_per_mm())?;
        TYRE_COUNT.check(f64::from(self.tyre_count))?;
        Ok(Rate::from_n_per_mm(1.0 / (1.0 / suspension + 1.0 / self.tyres().n_per_mm())))
    }
}

/// What the laden state is computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SagInput {
    /// The wheels as measured unladen.
    pub wheels: Wheels,
    /// The front axle's springs.
    pub front: AxleSpring,
    /// The rear axle's springs.
    pub rear: AxleSpring,
    /// How much more the front axle carries than when the vehicle was measured.
    pub front_change: Mass,
    /// How much more the rear axle carries.
    pub rear_change: Mass,
}

/// How far a vehicle sinks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sag {
    /// How far the body sinks at the front axle, tyres included; below zero when it rises.
    pub front: Length,
    /// How far the body sinks at the rear axle.
    pub rear: Length,
    /// The pitch, nose up: `atan((δ_rear − δ_front) / L)`.
    pub pitch: Angle,
    /// The wheels unladen.
    pub unladen: Wheels,
    /// The wheels laden: loaded radii less what the tyres give.
    pub laden: Wheels,
}

impl Sag {
    /// Returns how far the body sinks at a station, by the linear model.
    #[must_use]
    pub fn at(&self, station: Length) -> Length {
        self.front + (self.rear - self.front) * (station / self.unladen.wheelbase)
    }
}

/// Returns how far each axle sinks under a change of its load.
///
/// ```text
/// δ = Δm · g / k        k = 1 / (1 / k_suspension + 1 / k_tyres)        r_laden = r − Δm · g / k_tyres
/// ```
///
/// # Errors
///
/// - [`CalcError::OutOfRange`] names the first input outside its range.
/// - [`CalcError::Conflict`] when an axle levels itself.
///
/// # Source
///
/// Derived: springs in series.
pub fn sag(input: &SagInput) -> Result<Sag, CalcError> {
    let Wheels { wheelbase, front_radius, rear_radius } = input.wheels;
    WHEELBASE.check(wheelbase.mm())?;
    LOAD_CHANGE.check(input.front_change.kg())?;
    LOAD_CHANGE.check(input.rear_change.kg())?;
    let (front_force, rear_force) = (input.front_change.weight(), input.rear_change.weight());
    let front = front_force / input.front.axle_rate()?;
    let rear = rear_force / input.rear.axle_rate()?;
    let laden = Wheels {
        wheelbase,
        front_radius: front_radius - front_force / input.front.tyres(),
        rear_radius: rear_radius - rear_force / input.rear.tyres(),
    };
    FRONT_RADIUS.check(laden.front_radius.mm())?;
    REAR_RADIUS.check(laden.rear_radius.mm())?;
    let pitch = Angle::from_rad(((rear - front) / wheelbase).atan());
    Ok(Sag { front, rear, pitch, unladen: input.wheels, laden })
}

/// Returns the step behind [`sag`].
#[must_use]
pub fn basis(input: &SagInput) -> Vec<Basis> {
    vec![Basis::new(
        "sag-of-axles",
        "δ = Δm · g / k; k = 1 / (1 / k_suspension + 1 / k_tyres)",
        SPRINGS,
        &[
            ("front_change_kg", input.front_change.kg()),
            ("rear_change_kg", input.rear_change.kg()),
            ("front_suspension_n_per_mm", input.front.suspension.n_per_mm()),
            ("rear_suspension_n_per_mm", input.rear.suspension.n_per_mm()),
            ("front_tyres_n_per_mm", input.front.tyres().n_per_mm()),
            ("rear_tyres_n_per_mm", input.rear.tyres().n_per_mm()),
        ],
    )]
}
