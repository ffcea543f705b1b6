//! The tow vehicle.

use super::{bed::Bed, day::Day, plan_view::Tail, profile::Profile, tyre::Tyres};
use crate::{
    range::Range,
    units::{Length, Mass, Rate},
};

/// Allowed wheelbases.
pub const WHEELBASE: Range = Range::new("wheelbase_mm", "mm", 1000.0, 10_000.0);
/// Allowed masses of a vehicle, an axle or a rating.
pub const MASS: Range = Range::new("value_kg", "kg", 0.0, 60_000.0);
/// Allowed stations, rearward of the front axle.
pub const STATION: Range = Range::new("station_mm", "mm", -3000.0, 20_000.0);
/// Allowed heights above ground.
pub const HEIGHT: Range = Range::new("height_mm", "mm", 0.0, 4000.0);

/// Whose rules the vehicle was built to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Market {
    /// Built to the rules of the United States or Canada.
    NorthAmerica,
    /// Built to the UN/EU type-approval rules.
    Europe,
    /// Anywhere else.
    Other,
}

/// What the certification label calls the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VehicleKind {
    /// A passenger car.
    PassengerCar,
    /// A multipurpose passenger vehicle.
    Multipurpose,
    /// A truck, which includes vans and pickups certified as trucks.
    Truck,
    /// A bus.
    Bus,
}

/// What the vehicle maker says of load-levelling spring bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpringBarRule {
    /// Allowed, never required.
    Allowed,
    /// Forbidden.
    Forbidden,
    /// Required for trailers heavier than this.
    RequiredAbove(Mass),
}

/// One axle of the vehicle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Axle {
    /// Load on the axle at kerb state.
    pub kerb: Option<Mass>,
    /// Its gross axle weight rating.
    pub gawr: Option<Mass>,
    /// The suspension's rate for the whole axle, measured at the wheels.
    pub suspension_rate: Option<Rate>,
    /// Whether it levels itself; then the linear sag estimate does not hold.
    pub self_levelling: Option<bool>,
    /// Its tyres.
    pub tyres: Option<Tyres>,
}

/// A tow vehicle, as its labels, its handbook and the shop's tape describe it.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    /// The entry name, `vehicles/…`, or empty when given inline.
    pub name: String,
    /// The day somebody saw what the entry says.
    pub seen_on: Option<Day>,
    /// What people call it.
    pub label: String,
    /// Whose rules it was built to.
    pub market: Option<Market>,
    /// What its certification label calls it.
    pub kind: Option<VehicleKind>,
    /// Front axle to rear axle.
    pub wheelbase: Length,
    /// The front axle.
    pub front: Axle,
    /// The rear axle.
    pub rear: Axle,
    /// Gross vehicle weight rating.
    pub gvwr: Option<Mass>,
    /// Gross combination weight rating.
    pub gcwr: Option<Mass>,
    /// Heaviest trailer with working brakes.
    pub tow_braked: Option<Mass>,
    /// Heaviest trailer without brakes.
    pub tow_unbraked: Option<Mass>,
    /// Heaviest trailer with spring bars.
    pub tow_spring_bars: Option<Mass>,
    /// Heaviest tongue load.
    pub tongue: Option<Mass>,
    /// Heaviest tongue load with spring bars.
    pub tongue_spring_bars: Option<Mass>,
    /// What the maker says of spring bars.
    pub spring_bars: Option<SpringBarRule>,
    /// The heaviest hitch class the maker allows, 1 to 5.
    pub hitch_class: Option<i32>,
    /// The least share of the vehicle's mass that the front axle must keep, if the handbook says so.
    pub front_share_min: Option<f64>,
    /// The least tongue share the handbook allows.
    pub tongue_share_min: Option<f64>,
    /// The greatest tongue share the handbook allows.
    pub tongue_share_max: Option<f64>,
    /// The underside, unladen, without a receiver.
    pub profile: Option<Profile>,
    /// Its tail, seen from above.
    pub tail: Option<Tail>,
    /// Its bed, where a trailer may hang over the rear axle.
    pub bed: Option<Bed>,
}
