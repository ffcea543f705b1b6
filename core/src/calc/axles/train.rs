//! The vehicle and its trailer against the ratings on the label. The tongue load counts once.

use super::AxleLoads;
use crate::{
    basis::{Basis, Seen, Source},
    units::Mass,
};

const RATINGS: Source =
    Source::new("NHTSA interpretation letter nht87-2.92 (what GVWR and GAWR mean)", "1987", Seen::Opened);

/// The path of the first input that is missing for a figure: `vehicle.gvwr`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Missing(pub &'static str);

/// A figure, or what is missing for it.
pub type Figure = Result<Mass, Missing>;

/// A load and the rating it is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// The load.
    pub value: Figure,
    /// The rating.
    pub limit: Figure,
}

impl Check {
    /// Returns what the rating leaves; below zero when it is exceeded.
    ///
    /// # Errors
    ///
    /// The path of what is missing, the load's first.
    pub fn margin(&self) -> Figure {
        let value = self.value?;
        Ok(self.limit? - value)
    }

    /// Returns whether the load is within the rating; `None` when either is unknown.
    #[must_use]
    pub fn holds(&self) -> Option<bool> {
        Some(!self.value.ok()?.exceeds(self.limit.ok()?))
    }

    /// Returns the path of what is missing, if anything is.
    #[must_use]
    pub fn missing(&self) -> Option<&'static str> {
        self.margin().err().map(|missing| missing.0)
    }
}

/// What the train's figures are computed from. Each may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TrainInput {
    /// The axle loads, hitched.
    pub loads: Option<AxleLoads>,
    /// Kerb mass, both axles.
    pub kerb: Option<Mass>,
    /// The trailer's mass as loaded. A vehicle without a trailer has a trailer of no mass and no tongue load.
    pub trailer: Option<Mass>,
    /// The tongue load, the same one that is in the axle loads.
    pub tongue: Option<Mass>,
    /// Gross vehicle weight rating.
    pub gvwr: Option<Mass>,
    /// Gross combination weight rating.
    pub gcwr: Option<Mass>,
    /// Rating of the front axle.
    pub front_gawr: Option<Mass>,
    /// Rating of the rear axle.
    pub rear_gawr: Option<Mass>,
}

/// The train's figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrainLoads {
    /// The vehicle with the tongue load on it, against its gross rating.
    pub vehicle: Check,
    /// The front axle.
    pub front: Check,
    /// The rear axle.
    pub rear: Check,
    /// What the trailer's own axle or axle group carries: `M − T`.
    pub trailer_axle: Figure,
    /// Vehicle and trailer together: `(F + R) + (M − T)`, against the combination rating.
    pub train: Check,
    /// Everything above kerb mass, the tongue load with it, against what the gross rating leaves above kerb mass.
    pub payload: Check,
}

impl TrainLoads {
    /// Returns what of the payload is in use: occupants, cargo, upfit and tongue load.
    #[must_use]
    pub fn payload_used(&self) -> Option<Mass> {
        self.payload.value.ok()
    }

    /// Returns the payload the vehicle has: `GVWR − kerb`.
    #[must_use]
    pub fn payload_available(&self) -> Option<Mass> {
        self.payload.limit.ok()
    }
}

fn known(value: Option<Mass>, path: &'static str) -> Figure {
    value.ok_or(Missing(path))
}

/// Returns the train's figures, each with the rating it is held against, or with the path of what is missing for it.
///
/// ```text
/// vehicle = F + R        train = (F + R) + (M − T)        payload used = (F + R) − kerb ≤ GVWR − kerb
/// ```
///
/// # Source
///
/// What the ratings mean: NHTSA interpretation letter nht87-2.92. The sums are derived.
#[must_use]
pub fn train_loads(input: &TrainInput) -> TrainLoads {
    let loads = input.loads.ok_or(Missing("vehicle.front.kerb_kg"));
    let vehicle = loads.map(|loads| loads.total());
    let gvwr = known(input.gvwr, "vehicle.gvwr");
    let kerb = known(input.kerb, "vehicle.front.kerb_kg");
    let trailer_axle = match (known(input.trailer, "trailer_mass"), known(input.tongue, "tongue_load")) {
        (Ok(trailer), Ok(tongue)) => Ok(trailer - tongue),
        (Err(missing), _) | (_, Err(missing)) => Err(missing),
    };
    let both = |left: Figure, right: Figure, join: fn(Mass, Mass) -> Mass| -> Figure { Ok(join(left?, right?)) };
    TrainLoads {
        vehicle: Check { value: vehicle, limit: gvwr },
        front: Check { value: loads.map(|loads| loads.front), limit: known(input.front_gawr, "vehicle.front.gawr") },
        rear: Check { value: loads.map(|loads| loads.rear), limit: known(input.rear_gawr, "vehicle.rear.gawr") },
        trailer_axle,
        train: Check {
            value: both(vehicle, trailer_axle, |vehicle, axle| vehicle + axle),
            limit: known(input.gcwr, "vehicle.gcwr"),
        },
        payload: Check {
            value: both(vehicle, kerb, |vehicle, kerb| vehicle - kerb),
            limit: both(gvwr, kerb, |gvwr, kerb| gvwr - kerb),
        },
    }
}

/// Returns the step behind [`train_loads`].
#[must_use]
pub fn basis(input: &TrainInput) -> Vec<Basis> {
    let mut inputs = Vec::with_capacity(4);
    if let Some(loads) = input.loads {
        inputs.push(("front_kg", loads.front.kg()));
        inputs.push(("rear_kg", loads.rear.kg()));
    }
    if let Some(trailer) = input.trailer {
        inputs.push(("trailer_mass_kg", trailer.kg()));
    }
    if let Some(tongue) = input.tongue {
        inputs.push(("tongue_kg", tongue.kg()));
    }
    vec![Basis::new("train-loads", "(F + R) + (M − T) ≤ GCWR; F + R ≤ GVWR; F, R ≤ GAWR", RATINGS, &inputs)]
}
