//! Examples of rules over loads, tyres and wheels.

use super::{Example, answer, number};
use crate::{
    model::{
        tyre::TyreKind,
        upfit::{TongueLoad, Upfit},
    },
    rules::run::fixture::*,
};

fn cargo(plan: &mut Upfit, value: f64) {
    plan.items[1].mass = Some(kg(value));
}

fn tongue(plan: &mut Upfit, value: f64) {
    plan.tongue = Some(TongueLoad::Load(kg(value)));
}

pub(super) const EXAMPLES: &[Example] = &[
    number("gvwr", "front + rear axle load, hitched <= gross rating", 800.0, 400.0, cargo),
    number("gawr-front", "front axle load <= front axle rating", 1200.0, 1550.0, |p, value| {
        vehicle(p).front.gawr = Some(kg(value));
    }),
    number("gawr-rear", "rear axle load, hitched <= rear axle rating", 800.0, 400.0, cargo),
    number(
        "rear-axle-without-bars",
        "rear axle load without help from bars <= rear axle rating",
        800.0,
        400.0,
        |p, value| {
            p.spring_bars = Some(true);
            cargo(p, value);
        },
    ),
    number("gcwr", "vehicle + trailer, tongue counted once <= combination rating", 4000.0, 5800.0, |p, value| {
        vehicle(p).gcwr = Some(kg(value));
    }),
    answer(
        "tongue-counted-twice",
        "the train stated on the order = vehicle before hitching + trailer",
        |p| p.stated_train = Some(kg(4857.0 + 210.0)),
        |p| p.stated_train = Some(kg(4857.0)),
    ),
    number("restoration-over-one", "front load given back by bars / front load lost <= 1", 1.4, 0.5, |p, value| {
        p.spring_bars = Some(true);
        p.restoration = Some(value);
    }),
    answer(
        "tyre-diameter-changed",
        "|new diameter / old diameter - 1| <= 3 %",
        |p| {
            p.maker_tyres.rear = Some("225/75R16C 121/120R".to_owned());
        },
        |p| {
            p.maker_tyres.rear = Some("235/65R16C 121/120R".to_owned());
        },
    ),
    number("payload-gone", "upfit < gross rating - kerb mass", 1500.0, 38.0, |p, value| {
        receiver(p).mass = Some(kg(value))
    }),
    number("front-axle-light", "front axle's loss by hitching <= 10 % of its load", 500.0, 210.0, tongue),
    number("tyre-load-front", "tyres x load >= axle load and axle rating", 95.0, 115.0, |p, value| {
        let tyres = front_tyres(p);
        tyres.designation.clear();
        tyres.load_index = Some(value as i32);
    }),
    number("tyre-load-rear", "tyres x load >= axle load and axle rating", 95.0, 115.0, |p, value| {
        let tyres = rear_tyres(p);
        tyres.designation.clear();
        tyres.load_index = Some(value as i32);
    }),
    number("car-tyre-on-truck", "tyres x load / 1.10 >= axle rating", 100.0, 115.0, |p, value| {
        let tyres = rear_tyres(p);
        tyres.kind = Some(TyreKind::PassengerCar);
        tyres.designation.clear();
        tyres.load_index = Some(value as i32);
    }),
    answer(
        "tyre-marks-disagree",
        "load index given = load index in the designation",
        |p| {
            rear_tyres(p).load_index = Some(121);
        },
        |p| {
            rear_tyres(p).load_index = Some(115);
        },
    ),
    answer(
        "tyre-mix",
        "same size and load index across an axle",
        |p| rear_tyres(p).same_across_axle = Some(false),
        |p| {
            rear_tyres(p).same_across_axle = Some(true);
        },
    ),
    number("wheel-rating", "axle load / wheels <= wheel rating", 700.0, 1200.0, |p, value| {
        rear_tyres(p).wheel_rating = Some(kg(value));
    }),
    answer(
        "temporary-spare",
        "no temporary spare is fitted",
        |p| rear_tyres(p).temporary_spare = Some(true),
        |p| {
            rear_tyres(p).temporary_spare = Some(false);
        },
    ),
    number("trailer-over-own-rating", "trailer mass <= trailer's gross rating", 2400.0, 2000.0, |p, value| {
        p.trailer_mass = Some(kg(value));
    }),
    number("trailer-axle", "trailer mass - tongue load <= trailer axle rating", 1700.0, 2300.0, |p, value| {
        trailer(p).gawr = Some(kg(value));
    }),
    number("trailer-tyres", "trailer mass - tongue load <= tyres x load", 60.0, 100.0, |p, value| {
        let tyres = trailer_tyres(p);
        tyres.designation.clear();
        tyres.load_index = Some(value as i32);
    }),
    number("jack-overloaded", "tongue load <= jack rating", 150.0, 500.0, |p, value| {
        trailer(p).jack_rating = Some(kg(value));
    }),
    number("tongue-share-low", "tongue load / trailer mass >= least share", 0.05, 0.105, |p, value| {
        p.tongue = Some(TongueLoad::Share(value));
    }),
    number("tongue-share-high", "tongue load / trailer mass <= greatest share", 1200.0, 2000.0, |p, value| {
        p.trailer_mass = Some(kg(value));
    }),
    number("near-limit", "|value - limit| > 0.5 % of the limit", 3067.0, 3200.0, |p, value| {
        vehicle(p).gvwr = Some(kg(value));
    }),
    number("margin-of-policy", "load <= (1 - margin) x rating", 0.20, 0.01, |p, value| {
        let policy = crate::model::policy::Policy { rating_margin: Some(value), ..Default::default() };
        p.policy = Some(std::sync::Arc::new(policy));
    }),
];
