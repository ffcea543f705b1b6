//! Examples of rules over a trailer that hangs in the bed.

use super::{Example, answer, number};
use crate::rules::run::fixture::*;

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "two-couplings",
        "one coupling is named",
        |p| {
            in_bed(p);
            mount(p);
        },
        in_bed,
    ),
    answer(
        "pin-size",
        "king pin = coupling, exact nominal",
        |p| {
            in_bed(p);
            king_pin(p).diameter = Some(mm(88.9));
        },
        in_bed,
    ),
    number("pin-behind-axle", "pin <= wheelbase, both rearward of the front axle", 3700.0, 3500.0, |p, value| {
        in_bed(p);
        bed_coupling(p).fits[0].pin_station = Some(mm(value));
    }),
    number("u-value", "load on the pin <= certified U", 200.0, 400.0, |p, value| {
        in_european_bed(p);
        bed_coupling(p).u_value = Some(kg(value));
    }),
    number(
        "cab-clearance",
        "cab's back to the pin - circle of the nose >= 0; >= 100 mm without a person",
        2600.0,
        1900.0,
        |p, value| {
            in_bed(p);
            bed(p).cab_back_station = Some(mm(value));
        },
    ),
    number(
        "rail-clearance",
        "underside of the nose - rails >= 0; >= 150 mm without a person",
        1700.0,
        1400.0,
        |p, value| {
            in_bed(p);
            bed(p).rail_height = Some(mm(value));
        },
    ),
];
