//! Trailer connectors: what each pin does, its wire's colour and its least conductor.
//!
//! Colours lie: every pin is metered before anything is connected to it.

mod rows;

use crate::{
    basis::{Seen, Source},
    model::wiring::Socket,
};

pub(crate) const ISO_1724_SOURCE: Source =
    Source::new("ISO 1724, pin table, as reprinted in an encyclopaedia and a handbook", "", Seen::Opened);
pub(crate) const ISO_11446_SOURCE: Source =
    Source::new("ISO 11446, pin table, as reprinted in an encyclopaedia and a handbook", "", Seen::Opened);
pub(crate) const J2863_SIZES: Source =
    Source::new("SAE J2863, conductor sizes, as reprinted in a cable overview", "", Seen::Opened);
pub(crate) const J2863_SOURCE: Source = Source::new("SAE J2863, assignment", "", Seen::FromMemory);
pub(crate) const J560_SOURCE: Source =
    Source::new("SAE J560, pin table, as reprinted in an encyclopaedia", "", Seen::Opened);
pub(crate) const FOUR_FLAT_SOURCE: Source = Source::new("four-way flat connector", "", Seen::CommonPractice);
/// Where the rule comes from that the thirteen-pin connector's earths stay apart on the trailer.
pub const EARTHS_SOURCE: Source = Source::new("ISO 11446, separate earths", "", Seen::FromMemory);

/// What a pin does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Function {
    /// Left turn signal alone.
    LeftTurn,
    /// Right turn signal alone.
    RightTurn,
    /// Left stop and turn in one lamp.
    LeftStopTurn,
    /// Right stop and turn in one lamp.
    RightStopTurn,
    /// Stop lamps alone.
    Stop,
    /// Tail lamps, both sides.
    Tail,
    /// Left tail lamp.
    LeftTail,
    /// Right tail lamp and plate lamp.
    RightTail,
    /// Clearance and marker lamps.
    Marker,
    /// Rear fog lamp.
    RearFog,
    /// Reversing lamp; on some trailers it blocks the overrun brake too.
    Reverse,
    /// Electric trailer brakes.
    ElectricBrake,
    /// Battery supply at all times.
    Permanent,
    /// Battery supply with the ignition on.
    Switched,
    /// Auxiliary, or the supply of an antilock unit.
    Auxiliary,
    /// Whether a trailer is there, or kept free.
    Presence,
    /// Earth of the lamps, or of everything where there is one alone.
    Earth,
    /// Earth of the permanent supply.
    EarthOfPermanent,
    /// Earth of the switched supply.
    EarthOfSwitched,
}

/// A conductor's least size, as its standard writes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Conductor {
    /// By gauge.
    Awg(i32),
    /// By area, mm².
    Mm2(f64),
}

/// One pin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pin {
    /// Its number, or its place where it has none.
    pub name: &'static str,
    /// What it does.
    pub function: Function,
    /// Its wire's colour.
    pub colour: Option<&'static str>,
    /// Its least conductor.
    pub conductor: Option<Conductor>,
    /// Where function and colour were read.
    pub source: Source,
    /// Where the conductor was read.
    pub conductor_source: Option<Source>,
}

/// Returns the pins of a connector.
#[must_use]
pub const fn pins(socket: Socket) -> &'static [Pin] {
    match socket {
        Socket::Iso1724 => &rows::ISO_1724,
        Socket::Iso11446 => &rows::ISO_11446,
        Socket::SevenWayLight => &rows::J2863,
        Socket::SevenWayHeavy => &rows::J560,
        Socket::FourFlat => &rows::FOUR_FLAT,
    }
}

/// Returns the pin with a function, when the connector has one.
#[must_use]
pub fn pin(socket: Socket, function: Function) -> Option<&'static Pin> {
    pins(socket).iter().find(|pin| pin.function == function)
}
