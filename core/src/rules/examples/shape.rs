//! Examples of rules over clearance and heights.

use std::sync::Arc;

use super::{Example, answer, number};
use crate::{
    model::{policy::Policy, receiver::Receiver, upfit::Limits},
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
