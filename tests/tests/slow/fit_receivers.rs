//! A ranking of receivers against asking the whole rule book about each receiver in turn.

use baybook_core::{
    calc::{
        axles::Station,
        fit_receivers::{FitInput, Suits, Wish, fit_receivers},
    },
    model::receiver::Receiver,
    rules::{self, Severity, run::fixture},
    units::{Angle, Force, Length, Mass},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// The rules that speak of what a receiver is, weighs, bears and clears.
const ABOUT: [&str; 14] = [
    "fit-list",
    "shank-size",
    "weakest-link-trailer",
    "weakest-link-tongue",
    "gvwr",
    "gawr-front",
    "gawr-rear",
    "gcwr",
    "departure-angle-unladen",
    "departure-angle-laden",
    "hitch-height-laden",
    "d-value",
    "s-value",
    "approval-mark",
];

#[test]
fn a_ranking_agrees_with_the_rule_book_asked_of_each() {
    let (mut yes, mut no) = (0, 0);
    for seed in first_seed()..first_seed() + cases(60) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut plan = fixture::plan();
        // Half of them under the UN/EU coupling rules, where plates count and stamps need not be there.
        let european = seed.is_multiple_of(2);
        if european {
            fixture::europe(&mut plan);
        }
        let wish = Wish {
            departure_min: Some(Angle::from_deg(random.random_range(7.0..12.0))),
            departure_laden_min: plan.limits.departure_laden_min,
            hitch_height_min: plan.limits.hitch_height_min,
        };
        plan.limits.departure_min = wish.departure_min;
        let receivers: Vec<Receiver> = (0..20)
            .map(|_| {
                let mut one = fixture::receiver(&mut plan).clone();
                one.mass = Some(Mass::from_kg(random.random_range(20.0..200.0)));
                one.carrying.trailer = Some(Mass::from_kg(random.random_range(1700.0..2600.0)));
                one.carrying.tongue = Some(Mass::from_kg(random.random_range(170.0..260.0)));
                if european {
                    one.d_value = random.random_bool(0.9).then(|| Force::from_kn(random.random_range(11.0..16.0)));
                    one.s_value = random.random_bool(0.9).then(|| Mass::from_kg(random.random_range(180.0..260.0)));
                    if random.random_bool(0.1) {
                        one.approval_mark = None;
                    }
                }
                if random.random_bool(0.1) {
                    one.opening = Some(Length::from_in(2.5));
                }
                if let Some(fit) = one.fits.first_mut() {
                    if random.random_bool(0.1) {
                        fit.vehicle = "vehicles/another".to_owned();
                    }
                    for point in &mut fit.points {
                        point.height = Length::from_mm(random.random_range(180.0..290.0));
                    }
                }
                one
            })
            .collect();
        let stations = plan.items.iter().map(|item| item.mass.zip(item.station));
        let items: Vec<Station> = stations.flatten().map(|(mass, station)| Station { mass, station }).collect();
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
            european,
            spring_bars: false,
            trailer_mass: Mass::from_kg(2000.0),
            tongue: Mass::from_kg(210.0),
            at_ball: Mass::from_kg(9.0),
            wish,
        };
        let ranked = fit_receivers(&input, &receivers).expect("everything is in its range");
        for one in ranked {
            let mut with = plan.clone();
            *fixture::receiver(&mut with) = receivers.get(one.index).expect("its own index").clone();
            // A receiver that hangs higher than the ball mount is held by the mount in the rule book, and not here.
            fixture::mount(&mut with).depth_below_platform = Some(Length::ZERO);
            let report = rules::check(&with);
            let objects: Vec<_> = report
                .findings
                .iter()
                .filter(|finding| finding.severity >= Severity::Review && ABOUT.contains(&finding.rule.id))
                .map(|finding| format!("{}: {}", finding.rule.id, finding.message))
                .collect();
            let fits = one.suits == Suits::Yes;
            assert_eq!(fits, objects.is_empty(), "seed {seed}, {}: {:?}; {objects:?}", one.index, one.reasons);
            if fits { yes += 1 } else { no += 1 }
        }
    }
    assert!(0 < yes && 0 < no, "{yes} suit, {no} do not: both have to be tried");
}
