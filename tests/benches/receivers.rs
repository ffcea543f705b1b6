//! Ten thousand receivers ranked for one van, one trailer and one clearance wish.
//!
//! The line that ends with a bar shows the middle of several rounds, in milliseconds; the ratio is that to a budget of
//! 100 ms.

#![expect(clippy::print_stdout, clippy::indexing_slicing, reason = "a benchmark prints what it measured")]

use std::{hint::black_box, time::Instant};

use baybook_core::{
    calc::{
        axles::Station,
        fit_receivers::{FitInput, Suits, Wish, fit_receivers},
    },
    model,
    rules::run::fixture,
    units,
};

/// How many receivers are ranked.
const COUNT: usize = 10_000;
/// What that may take, milliseconds.
const BUDGET_MS: f64 = 100.0;

fn main() {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let rounds = if quick { 7 } else { 31 };
    let mut plan = fixture::plan();
    let receivers: Vec<model::receiver::Receiver> = (0..COUNT)
        .map(|index| {
            let mut receiver = fixture::receiver(&mut plan).clone();
            // Spread so that none is like the next: masses, ratings, heights, and one in seven for another vehicle.
            let spread = |every: usize, step: f64| (index % every) as f64 * step;
            receiver.name = format!("receivers/number-{index}");
            receiver.mass = Some(units::Mass::from_kg(25.0 + spread(37, 0.7)));
            receiver.carrying.trailer = Some(units::Mass::from_kg(1800.0 + spread(101, 12.0)));
            receiver.carrying.tongue = Some(units::Mass::from_kg(180.0 + spread(53, 2.0)));
            let fit = &mut receiver.fits[0];
            fit.points[0].height = units::Length::from_mm(190.0 + spread(89, 1.5));
            if index.is_multiple_of(7) {
                fit.vehicle = "vehicles/another".to_owned();
            }
            receiver
        })
        .collect();
    let items: Vec<Station> =
        plan.items.iter().filter_map(|item| Some(Station { mass: item.mass?, station: item.station? })).collect();
    let input = FitInput {
        vehicle: &plan.vehicle,
        items: &items,
        ball_mount: plan.ball_mount.as_deref(),
        ball: plan.ball.as_deref(),
        coupler: plan.coupler.as_deref(),
        trailer: plan.trailer.as_deref(),
        extension: None,
        pin: None,
        brakes: None,
        european: false,
        spring_bars: false,
        trailer_mass: units::Mass::from_kg(2000.0),
        tongue: units::Mass::from_kg(210.0),
        at_ball: units::Mass::from_kg(9.0),
        wish: Wish {
            departure_min: Some(units::Angle::from_deg(9.0)),
            departure_laden_min: Some(units::Angle::from_deg(5.0)),
            hitch_height_min: Some(units::Length::from_mm(110.0)),
        },
    };
    let mut took: Vec<f64> = (0..rounds)
        .map(|_| {
            let begun = Instant::now();
            let ranked = fit_receivers(black_box(&input), black_box(&receivers));
            let took = begun.elapsed().as_secs_f64() * 1000.0;
            let suit = ranked.map(|ranked| ranked.iter().filter(|one| one.suits == Suits::Yes).count());
            assert!(suit.is_ok_and(|suit| 100 < suit && suit < COUNT), "some suit, not all");
            took
        })
        .collect();
    took.sort_by(f64::total_cmp);
    let (least, middle, most) = (took[0], took[took.len() / 2], took[took.len() - 1]);
    println!(
        "{:34} {middle:10.1} {:8} budget {BUDGET_MS:9.1} {:8} ratio {:5.2} ({:.2} to {:.2}), bar <= 1",
        "10,000 receivers ranked",
        "ms",
        "ms",
        middle / BUDGET_MS,
        least / BUDGET_MS,
        most / BUDGET_MS
    );
}
