//! Trailer wiring.

use std::fmt;

pub use crate::tables::connectors::Function;
use crate::units::{Amps, Area, Length, Ohms, Volts};

/// A trailer connector system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Socket {
    /// Four flat pins, lamps only.
    FourFlat,
    /// The light-vehicle seven-way of SAE J2863.
    SevenWayLight,
    /// The heavy seven-way of SAE J560.
    SevenWayHeavy,
    /// ISO 1724, seven pins, 12 V, type N.
    Iso1724,
    /// ISO 11446, thirteen pins.
    Iso11446,
}

impl Socket {
    /// Returns whether stop and turn share one lamp, as on North American light trailers.
    #[must_use]
    pub const fn combined_stop_and_turn(self) -> bool {
        matches!(self, Self::FourFlat | Self::SevenWayLight)
    }

    /// Returns whether it carries a circuit for electric trailer brakes.
    #[must_use]
    pub const fn has_brake_circuit(self) -> bool {
        matches!(self, Self::SevenWayLight)
    }
}

/// A wire, by what is known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wire {
    /// An American gauge: the copper of its solid nominal.
    Awg(i32),
    /// A metric cable by its nominal size: the greatest resistance its standard allows.
    Metric(Area),
    /// A measured copper area.
    Geometric(Area),
}

impl fmt::Display for Wire {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Awg(gauge) => write!(f, "{gauge} AWG"),
            Self::Metric(area) => write!(f, "{} mm² cable", area.mm2()),
            Self::Geometric(area) => write!(f, "{} mm² copper", area.mm2()),
        }
    }
}

/// How a circuit's current comes back to its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReturnPath {
    /// Through a wire of the same size and length as the one out.
    Wire,
    /// Through the body of the vehicle and its joints.
    Body,
}

/// A trailer circuit as wired.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Circuit {
    /// The entry name, `circuits/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What it feeds.
    pub function: Option<Function>,
    /// Whether lamps or brakes depend on it.
    pub safety_relevant: Option<bool>,
    /// The current it must carry.
    pub load: Option<Amps>,
    /// The load as a resistance.
    pub load_resistance: Option<Ohms>,
    /// How many equal loads of that resistance lie side by side; absent, the resistance is the whole load.
    pub loads: Option<i32>,
    /// The supply voltage.
    pub supply: Option<Volts>,
    /// One-way length.
    pub length: Option<Length>,
    /// The conductor.
    pub wire: Option<Wire>,
    /// The conductor's temperature, °C.
    pub celsius: Option<f64>,
    /// How the current comes back.
    pub back: Option<ReturnPath>,
    /// How many joints a return through the body has.
    pub joints: Option<i32>,
    /// The fuse.
    pub fuse: Option<Amps>,
    /// How far the fuse sits from the source, along the wire.
    pub fuse_distance: Option<Length>,
    /// The voltage that the bulbs on it are made for.
    pub lamp: Option<Volts>,
}
