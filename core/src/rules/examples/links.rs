//! Examples of rules over the chain of parts between vehicle and trailer.

use super::{Example, answer, number};
use crate::{
    model::{
        LinkRating,
        coupling::ChainRatingKind,
        trailer::{DrawbarKind, TrailerBrakes},
        upfit::{Extension, Upfit},
        vehicle::SpringBarRule,
    },
    rules::run::fixture::*,
    units::{Force, Length},
};

fn extended(plan: &mut Upfit, tongue: Option<f64>) {
    let rating = LinkRating { trailer: Some(kg(2500.0)), tongue: tongue.map(kg) };
    plan.extension = Some(Extension { rating, length: Some(mm(100.0)) });
}

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "extension-unrated",
        "an extension carries both ratings",
        |p| extended(p, None),
        |p| extended(p, Some(250.0)),
    ),
    answer(
        "rating-missing",
        "every link's rating is known",
        |p| receiver(p).carrying.trailer = None,
        |p| {
            receiver(p).carrying.trailer = Some(kg(2267.0));
        },
    ),
    number("weakest-link-trailer", "trailer mass <= least rating of all links", 1500.0, 2200.0, |p, value| {
        receiver(p).carrying.trailer = Some(kg(value));
    }),
    number("weakest-link-tongue", "tongue load <= least rating of all links", 150.0, 226.0, |p, value| {
        receiver(p).carrying.tongue = Some(kg(value));
    }),
    answer(
        "fifth-wheel-on-ball",
        "the trailer hangs on a ball",
        |p| trailer(p).drawbar = Some(DrawbarKind::FifthWheel),
        |p| trailer(p).drawbar = Some(DrawbarKind::CentreAxle),
    ),
    answer(
        "ball-size",
        "ball = coupler, exact nominal",
        |p| ball(p).diameter = Some(mm(50.0)),
        |p| {
            ball(p).diameter = Some(Length::from_in(2.0));
        },
    ),
    answer(
        "ball-shank",
        "ball shank = hole of the mount, exact nominal",
        |p| ball(p).shank = Some(Length::from_in(0.75)),
        |p| {
            ball(p).shank = Some(Length::from_in(1.0));
        },
    ),
    answer(
        "shank-size",
        "mount shank = receiver opening, exact nominal",
        |p| mount(p).shank = Some(Length::from_in(1.25)),
        |p| {
            mount(p).shank = Some(Length::from_in(2.0));
        },
    ),
    answer(
        "hitch-class-over-vehicle",
        "receiver class <= vehicle class",
        |p| receiver(p).hitch_class = Some(4),
        |p| {
            receiver(p).hitch_class = Some(3);
        },
    ),
    number(
        "spring-bars-needed",
        "bars are planned, or trailer mass <= the vehicle's limit without",
        1500.0,
        2500.0,
        |p, value| {
            vehicle(p).spring_bars = Some(SpringBarRule::RequiredAbove(kg(value)));
        },
    ),
    answer(
        "spring-bars-forbidden",
        "no bars where vehicle or coupler forbids them",
        |p| {
            p.spring_bars = Some(true);
            coupler(p).forbids_spring_bars = Some(true);
        },
        |p| {
            p.spring_bars = Some(true);
            coupler(p).forbids_spring_bars = Some(false);
        },
    ),
    number("d-value", "D = g T R / (T + R) <= certified D", 8.0, 14.0, |p, value| {
        europe(p);
        receiver(p).d_value = Some(Force::from_kn(value));
    }),
    number("s-value", "tongue load <= certified S", 100.0, 230.0, |p, value| {
        europe(p);
        receiver(p).s_value = Some(kg(value));
    }),
    number("v-value", "V the drawbar needs <= certified V, above 3.5 t", 8.0, 12.0, |p, value| {
        europe(p);
        trailer(p).gvwr = Some(kg(3600.0));
        trailer(p).v_value_needed = Some(Force::from_kn(10.368));
        receiver(p).v_value = Some(Force::from_kn(value));
    }),
    number("chain-strength", "breaking force of each chain >= trailer's gross weight", 10.0, 25.0, |p, value| {
        chains(p).rating_each = Some(Force::from_kn(value));
    }),
    answer(
        "chain-working-load",
        "chains are rated by breaking force",
        |p| chains(p).rating_kind = Some(ChainRatingKind::WorkingLoad),
        |p| chains(p).rating_kind = Some(ChainRatingKind::Breaking),
    ),
    number("brakes-required", "brakes, or trailer <= local threshold", 2500.0, 1500.0, |p, value| {
        let trailer = trailer(p);
        trailer.brakes = Some(TrailerBrakes::None);
        trailer.gvwr = Some(kg(value));
        p.trailer_mass = Some(kg(600.0));
    }),
    answer(
        "breakaway-missing",
        "a braked trailer has a breakaway device",
        |p| trailer(p).breakaway = Some(false),
        |p| {
            trailer(p).breakaway = Some(true);
        },
    ),
    answer(
        "brake-controller-missing",
        "electric brakes have a controller and a brake circuit",
        |p| p.brake_controller = Some(false),
        |p| p.brake_controller = Some(true),
    ),
];
