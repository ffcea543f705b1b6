//! The trailer.

use super::{bed::KingPin, coupling::Chains, plan_view::Nose, tyre::Tyres, wiring::Socket};
use crate::units::{Force, Length, Mass};

/// A trailer's service brakes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrailerBrakes {
    /// It has none.
    None,
    /// Electric brakes, which need a controller and a circuit in the vehicle.
    Electric,
    /// Overrun (surge) brakes.
    Overrun,
    /// Electric-over-hydraulic brakes, which need a controller too.
    ElectricHydraulic,
    /// Air brakes.
    Air,
}

impl TrailerBrakes {
    /// Returns whether the vehicle must carry a controller and a brake circuit for them.
    #[must_use]
    pub const fn needs_controller(self) -> bool {
        matches!(self, Self::Electric | Self::ElectricHydraulic)
    }
}

/// How the trailer hangs on the vehicle; it decides which coupling values apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawbarKind {
    /// A free drawbar, or a ball coupling of a light trailer: the D-value applies.
    Free,
    /// A rigid drawbar on a centre-axle trailer: Dc, and V above 3.5 t.
    CentreAxle,
    /// A fifth wheel or gooseneck over the vehicle's rear axle: its own D, and U.
    FifthWheel,
}

/// A trailer.
#[derive(Debug, Clone, PartialEq)]
pub struct Trailer {
    /// The entry name, `trailers/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its gross vehicle weight rating.
    pub gvwr: Option<Mass>,
    /// The rating of its axle or axle group.
    pub gawr: Option<Mass>,
    /// How many axles.
    pub axle_count: Option<i32>,
    /// Coupler to axle or axle-group centre.
    pub coupler_to_axle: Option<Length>,
    /// Height of the coupler's top, or of the king pin's plate, when the trailer stands level.
    pub coupler_height_level: Option<Length>,
    /// Its coupler, `couplers/…`.
    pub coupler: Option<String>,
    /// How it hangs on the vehicle.
    pub drawbar: Option<DrawbarKind>,
    /// Its brakes.
    pub brakes: Option<TrailerBrakes>,
    /// Whether it has a breakaway device.
    pub breakaway: Option<bool>,
    /// Its safety chains.
    pub chains: Option<Chains>,
    /// The rating of its tongue jack.
    pub jack_rating: Option<Mass>,
    /// The plug it carries.
    pub plug: Option<Socket>,
    /// Its tyres, counted over all axles.
    pub tyres: Option<Tyres>,
    /// The least tongue share its maker allows, where that differs from the trade's window.
    pub tongue_share_min: Option<f64>,
    /// The greatest tongue share its maker allows.
    pub tongue_share_max: Option<f64>,
    /// The V-value its drawbar needs, if its maker prints it.
    pub v_value_needed: Option<Force>,
    /// Its nose, seen from above.
    pub nose: Option<Nose>,
    /// Its king pin, when it hangs on a fifth wheel.
    pub king_pin: Option<KingPin>,
    /// How far the underside of its nose lies above the face of the coupling it hangs on, trailer level.
    pub underside_above_coupling: Option<Length>,
}
