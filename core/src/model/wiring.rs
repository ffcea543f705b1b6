//! Trailer wiring.

use crate::units::{Amps, Area, Length, Volts};

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

/// A trailer circuit as wired.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// The entry name, `circuits/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Whether lamps or brakes depend on it.
    pub safety_relevant: Option<bool>,
    /// The current it must carry.
    pub load: Option<Amps>,
    /// The supply voltage.
    pub supply: Option<Volts>,
    /// One-way length.
    pub length: Option<Length>,
    /// The conductor's cross-section.
    pub conductor: Option<Area>,
    /// The fuse.
    pub fuse: Option<Amps>,
}
