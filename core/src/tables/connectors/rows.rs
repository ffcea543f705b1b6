//! The five connectors, pin by pin.

use super::{
    Conductor::{Awg, Mm2},
    FOUR_FLAT_SOURCE,
    Function::{
        Auxiliary, Earth, EarthOfPermanent, EarthOfSwitched, ElectricBrake, LeftStopTurn, LeftTail, LeftTurn, Marker,
        Permanent, Presence, RearFog, Reverse, RightStopTurn, RightTail, RightTurn, Stop, Switched, Tail,
    },
    ISO_1724_SOURCE, ISO_11446_SOURCE, J560_SOURCE, J2863_SIZES, J2863_SOURCE, Pin,
};
use crate::basis::Source;

const fn pin(
    name: &'static str,
    function: super::Function,
    colour: Option<&'static str>,
    conductor: Option<super::Conductor>,
    source: Source,
) -> Pin {
    let conductor_source = if conductor.is_some() { Some(source) } else { None };
    Pin { name, function, colour, conductor, source, conductor_source }
}

const fn iso_1724(name: &'static str, function: super::Function, colour: &'static str, mm2: f64) -> Pin {
    pin(name, function, Some(colour), Some(Mm2(mm2)), ISO_1724_SOURCE)
}

pub(super) const ISO_1724: [Pin; 7] = [
    iso_1724("1", LeftTurn, "yellow", 1.5),
    iso_1724("2", RearFog, "blue", 1.5),
    iso_1724("3", Earth, "white", 2.5),
    iso_1724("4", RightTurn, "green", 1.5),
    iso_1724("5", RightTail, "brown", 1.5),
    iso_1724("6", Stop, "red", 1.5),
    iso_1724("7", LeftTail, "black", 1.5),
];

const fn iso_11446(name: &'static str, function: super::Function, mm2: Option<f64>) -> Pin {
    let conductor = match mm2 {
        Some(mm2) => Some(Mm2(mm2)),
        None => None,
    };
    pin(name, function, None, conductor, ISO_11446_SOURCE)
}

pub(super) const ISO_11446: [Pin; 13] = [
    iso_11446("1", LeftTurn, None),
    iso_11446("2", RearFog, None),
    iso_11446("3", Earth, Some(2.5)),
    iso_11446("4", RightTurn, None),
    iso_11446("5", RightTail, None),
    iso_11446("6", Stop, None),
    iso_11446("7", LeftTail, None),
    iso_11446("8", Reverse, None),
    iso_11446("9", Permanent, Some(2.5)),
    iso_11446("10", Switched, Some(2.5)),
    iso_11446("11", EarthOfSwitched, Some(2.5)),
    iso_11446("12", Presence, None),
    iso_11446("13", EarthOfPermanent, Some(2.5)),
];

const fn j2863(name: &'static str, function: super::Function, colour: &'static str, awg: i32) -> Pin {
    Pin {
        name,
        function,
        colour: Some(colour),
        conductor: Some(Awg(awg)),
        source: J2863_SOURCE,
        conductor_source: Some(J2863_SIZES),
    }
}

pub(super) const J2863: [Pin; 7] = [
    j2863("left stop/turn", LeftStopTurn, "yellow", 14),
    j2863("right stop/turn", RightStopTurn, "green", 14),
    j2863("tail", Tail, "brown", 14),
    j2863("ground", Earth, "white", 10),
    j2863("electric brake", ElectricBrake, "blue", 12),
    j2863("battery", Permanent, "black or red", 10),
    j2863("centre", Reverse, "purple or yellow", 14),
];

const fn j560(name: &'static str, function: super::Function, colour: &'static str, awg: i32) -> Pin {
    pin(name, function, Some(colour), Some(Awg(awg)), J560_SOURCE)
}

pub(super) const J560: [Pin; 7] = [
    j560("1", Earth, "white", 8),
    j560("2", Marker, "black", 12),
    j560("3", LeftTurn, "yellow", 12),
    j560("4", Stop, "red", 10),
    j560("5", RightTurn, "green", 12),
    j560("6", Tail, "brown", 12),
    j560("7", Auxiliary, "blue", 10),
];

const fn flat(name: &'static str, function: super::Function, colour: &'static str) -> Pin {
    pin(name, function, Some(colour), None, FOUR_FLAT_SOURCE)
}

pub(super) const FOUR_FLAT: [Pin; 4] = [
    flat("ground", Earth, "white"),
    flat("tail", Tail, "brown"),
    flat("left", LeftStopTurn, "yellow"),
    flat("right", RightStopTurn, "green"),
];
