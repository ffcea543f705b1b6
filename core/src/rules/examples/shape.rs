//! Examples of rules over clearance and heights.

use std::sync::Arc;

use super::{Example, answer, number};
use crate::{
    model::{
        policy::Policy,
        profile::{Profile, ProfileJoin, ProfilePoint},
        receiver::Receiver,
        upfit::{Limits, OffRoadClass, Upfit},
    },
    rules::run::fixture::*,
    units::{Angle, Length},
};

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "laden-state-unknown",
        "spring and tyre rates and radii are known, no self-levelling",
        |p| {
            vehicle(p).rear.suspension_rate = None;
        },
        |p| {
            vehicle(p).rear.suspension_rate = Some(crate::units::Rate::from_n_per_mm(90.0));
        },
    ),
    answer(
        "clearance-limit-unset",
        "a least laden departure angle or a least height is set",
        |p| p.limits = Limits::default(),
        |p| p.limits = Limits { departure_laden_min: Some(Angle::from_deg(5.0)), ..Limits::default() },
    ),
    number("approach-angle", "approach angle, unladen >= limit", 30.0, 15.0, |p, value| {
        p.limits.approach_min = Some(Angle::from_deg(value));
    }),
    number("departure-angle-unladen", "departure angle, unladen >= limit", 20.0, 10.0, |p, value| {
        p.limits.departure_min = Some(Angle::from_deg(value));
    }),
    number("departure-angle-laden", "departure angle, laden >= limit", 12.0, 5.0, |p, value| {
        p.limits.departure_laden_min = Some(Angle::from_deg(value));
    }),
    number("ramp-angle-laden", "ramp angle, laden >= limit", 15.0, 8.0, |p, value| {
        p.limits.ramp_min = Some(Angle::from_deg(value));
    }),
    number("hitch-height-laden", "lowest point of the gear, laden >= limit", 200.0, 110.0, |p, value| {
        p.limits.hitch_height_min = Some(mm(value));
    }),
    number("departure-worse-than-before", "departure angle >= 90 % of the old one", 400.0, 255.0, |p, value| {
        let mut old: Receiver = receiver(p).clone();
        if let Some(point) = old.fits.iter_mut().flat_map(|fit| &mut fit.points).next() {
            point.height = mm(value);
        }
        p.replaced_receiver = Some(Arc::new(old));
    }),
    number("terrain-touch", "gap over the terrain, both ways, empty and laden >= margin", 600.0, 25.0, |p, value| {
        over_hump(p);
        p.limits.terrain_margin = Some(mm(value));
    }),
    number(
        "off-road-class-lost",
        "with the gear on, as many measures hold as the class asks for",
        300.0,
        520.0,
        off_road,
    ),
    number("tail-swing", "swing at full lock, ball mount counted <= limit", 50.0, 500.0, |p, value| {
        seen_from_above(p);
        p.limits.tail_swing_max = Some(mm(value));
    }),
    number("jack-knife-contact", "articulation of the first contact >= limit", 90.0, 10.0, |p, value| {
        seen_from_above(p);
        p.limits.articulation_min = Some(Angle::from_deg(value));
    }),
    answer(
        "pressure-when-measured",
        "tyres were within 10 % of their placard pressure when heights were measured",
        |p| p.answers.pressure_at_placard = Some(false),
        |p| p.answers.pressure_at_placard = Some(true),
    ),
    number("ball-height", "350 mm <= ball's centre, laden <= 420 mm", 120.0, 20.0, |p, value| {
        europe(p);
        mount(p).drop = Some(Length::from_mm(value));
    }),
    number(
        "ball-height-of-policy",
        "least <= ball's centre, laden <= greatest of the policy",
        600.0,
        300.0,
        |p, value| {
            p.policy = Some(Arc::new(Policy { ball_height_min: Some(mm(value)), ..Policy::default() }));
        },
    ),
    number("drop-over-policy", "drop <= greatest drop of the policy", 200.0, 20.0, |p, value| {
        mount(p).drop = Some(mm(value));
        p.policy = Some(Arc::new(Policy { drop_max: Some(mm(100.0)), ..Policy::default() }));
    }),
    number("trailer-level", "|ball, laden - coupler when level| <= tolerance", 152.0, 20.0, |p, value| {
        mount(p).drop = Some(mm(value));
    }),
];

/// A high vehicle of the European off-road class, of which one measure does not hold; its receiver hangs at a height.
fn off_road(p: &mut Upfit, height: f64) {
    let points = [(-700.0, 420.0), (0.0, 200.0), (1820.0, 220.0), (3640.0, 200.0), (4500.0, 560.0)];
    let point = |(station, height)| ProfilePoint { label: "frame".into(), station: mm(station), height: mm(height) };
    let points = points.into_iter().map(point).collect();
    vehicle(p).profile = Some(Profile { points, join: ProfileJoin::SeparatePoints });
    p.off_road_class = Some(OffRoadClass::EuropeanG);
    let fit = fit(p);
    fit.tube_top_height = Some(mm(700.0));
    for low in &mut fit.points {
        low.height = mm(height);
    }
}
