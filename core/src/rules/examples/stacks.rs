//! Examples of rules over joints whose build and load are told.

use super::{Example, answer, number};
use crate::{
    model::upfit::Upfit,
    rules::run::fixture::*,
    units::{Force, Stress},
};

fn tension(plan: &mut Upfit, kn: f64) {
    stack(plan).tension = Some(Force::from_kn(kn));
}

fn shear(plan: &mut Upfit, kn: f64) {
    stack(plan).shear = Some(Force::from_kn(kn));
}

pub(super) const EXAMPLES: &[Example] = &[
    number("bolt-too-short", "the bolt's end is not inside its nut", 28.0, 20.0, |p, value| {
        stack(p).grip = Some(mm(value));
    }),
    number("bolt-too-long", "a bolt of up to 100 mm stands out by 16 mm at most", 5.0, 20.0, |p, value| {
        stack(p).grip = Some(mm(value));
    }),
    number("engagement-short", "engaged thread >= what makes the bolt break first", 5.0, 12.0, |p, value| {
        stack(p).engagement = Some(mm(value));
    }),
    number("pressure-under-head", "pressure <= limiting pressure of the seat", 100.0, 760.0, |p, value| {
        stack(p).head_limit = Some(Stress::from_mpa(value));
    }),
    number("pressure-under-nut", "pressure <= limiting pressure of the seat", 50.0, 760.0, |p, value| {
        stack(p).nut_limit = Some(Stress::from_mpa(value));
    }),
    number("joint-separates", "least preload >= what the load takes off the clamp", 60.0, 4.0, tension),
    number("joint-slips", "least preload >= 1.8 x shear / friction + what the load takes", 5.0, 1.0, shear),
    number("bolt-overloaded", "greatest preload + the bolt's share of the load <= proof load", 60.0, 4.0, tension),
    number("edge-distance-short", "edge distance >= 1.5 x bolt diameter", 10.0, 25.0, |p, value| {
        stack(p).edge_distance = Some(mm(value));
    }),
    number("hole-bearing", "shear <= 0.75 x 2.4 x diameter x thickness x tensile strength", 60.0, 1.0, shear),
    number("tear-out", "shear <= 0.75 x 1.2 x clear distance x thickness x tensile strength", 60.0, 1.0, shear),
    number("bolt-sheared", "shear / its resistance + tension / (1.4 x its resistance) <= 1", 60.0, 1.0, shear),
    answer(
        "coated-interface",
        "the clamped faces are bare",
        |p| stack(p).coated = Some(true),
        |p| stack(p).coated = Some(false),
    ),
];
