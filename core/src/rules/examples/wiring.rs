//! Examples of rules over wiring.

use super::{Example, answer, number};
use crate::{
    model::{
        upfit::Upfit,
        wiring::{Function, Socket, Wire},
    },
    rules::run::fixture::*,
    units::{Amps, Length},
};

fn routed(plan: &mut Upfit, grommets: bool) {
    wired(plan);
    for answer in plan.routing.iter_mut().filter(|answer| answer.0 == "grommets") {
        answer.1 = grommets;
    }
}

fn earths(plan: &mut Upfit, joined: bool) {
    trailer(plan).plug = Some(Socket::Iso11446);
    plan.converter = Some(true);
    plan.answers.earths_joined = Some(joined);
}

pub(super) const EXAMPLES: &[Example] = &[
    number(
        "voltage-drop",
        "I · R_out and back + 0.1 V · joints <= 3 % of the supply for lamps and brakes, 10 % else",
        20.0,
        1.0,
        |p, metres| circuit(p).length = Some(Length::from_m(metres)),
    ),
    number("lamp-voltage", "supply - drop >= 85 % of what the bulb is made for", 9.0, 13.5, lamps),
    answer(
        "fuse-over-wire",
        "fuse <= what the wire takes",
        |p| {
            circuit(p).wire = Some(Wire::Awg(14));
            circuit(p).fuse = Some(Amps::from_a(20.0));
        },
        |p| {
            circuit(p).wire = Some(Wire::Awg(14));
            circuit(p).fuse = Some(Amps::from_a(15.0));
        },
    ),
    number("fuse-under-load", "load <= 0.8 of the fuse", 10.0, 20.0, |p, a| circuit(p).fuse = Some(Amps::from_a(a))),
    number("fuse-far", "fuse within 450 mm of its source", 900.0, 100.0, |p, at| {
        circuit(p).fuse_distance = Some(mm(at));
    }),
    answer(
        "pin-conductor-thin",
        "conductor >= the least its connector's standard gives the pin",
        |p| circuit(p).wire = Some(Wire::Awg(14)),
        |p| circuit(p).wire = Some(Wire::Awg(12)),
    ),
    answer(
        "brake-circuit-missing",
        "electric brakes have a circuit among those named",
        |p| circuit(p).function = Some(Function::Auxiliary),
        |p| circuit(p).function = Some(Function::ElectricBrake),
    ),
    answer(
        "charge-circuit-missing",
        "a breakaway battery has a supply among the circuits named",
        |p| {
            wired(p);
            p.circuits.truncate(1);
        },
        wired,
    ),
    answer(
        "wire-routing",
        "every question of the routing checklist is answered with yes",
        |p| routed(p, false),
        |p| routed(p, true),
    ),
    answer(
        "earths-joined",
        "the earths 3, 11 and 13 are not joined on the trailer",
        |p| earths(p, true),
        |p| earths(p, false),
    ),
];
