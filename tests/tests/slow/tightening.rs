//! The order of tightening by other routes: on a circle by reading the bolt's turn backwards digit by digit, in rows,
//! grids and anywhere by measuring, the count of operations by walking through all passes, and a turn
//! by winding it up degree by degree.

#![expect(clippy::indexing_slicing, reason = "the indices are those of the loops around them")]

use std::collections::BTreeSet;

use baybook_core::{
    calc::{
        passes::{
            PassPlan, Pattern,
            plan::{Layout, PlanInput, plan},
            tightening_order,
        },
        turn_angle::{Springs, preload_of, turn_for},
    },
    model::thread::Thread,
    units::{Angle, Length, Rate, Torque},
};
use rand::{Rng as _, SeedableRng as _, seq::SliceRandom as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// The bolt of a turn on a circle: the count is split into factors, two as long as it goes; each turn is a number in
/// that mixed base, and its digits read from the other end say how far round to go. What is odd in the end is walked in
/// steps of nearly half.
fn by_digits(bolts: usize) -> Vec<usize> {
    // Fours are taken at once: the four of a group are 0, 1/2, 1/4 and 3/4 round.
    let (mut odd, mut groups) = (bolts, Vec::new());
    while odd % 4 == 0 {
        odd /= 4;
        groups.push(4);
    }
    if odd % 2 == 0 {
        odd /= 2;
        groups.push(2);
    }
    let step = (odd / 2).max(1);
    (0..bolts)
        .map(|turn| {
            let (mut rest, mut place, mut left) = (turn, 0, bolts);
            for group in &groups {
                let digit = rest % group;
                rest /= group;
                let quarter = [0, 2, 1, 3][digit];
                place += if *group == 4 { left / 4 * quarter } else { left / 2 * digit };
                left /= group;
            }
            place + rest * step % odd + 1
        })
        .collect()
}

#[test]
fn a_circle_is_the_turns_number_read_backwards() {
    for bolts in 1..=64 {
        assert_eq!(tightening_order(Pattern::Circle { bolts }), Ok(by_digits(bolts)), "{bolts} bolts");
    }
}

/// Powers of two: the binary digits of the turn, read backwards.
#[test]
fn a_circle_of_a_power_of_two_is_binary_read_backwards() {
    for power in 0..=6_u32 {
        let bolts = 1_usize << power;
        let reversed: Vec<usize> = (0..bolts)
            .map(|turn| if power == 0 { 1 } else { (turn.reverse_bits() >> (usize::BITS - power)) + 1 })
            .collect();
        assert_eq!(tightening_order(Pattern::Circle { bolts }), Ok(reversed), "{bolts} bolts");
    }
}

/// Takes again and again the bolt that lies nearest to the middle, the one numbered lowest among equals.
fn nearest_first(spots: &[[f64; 2]]) -> Vec<usize> {
    let n = spots.len() as f64;
    let middle = [0, 1].map(|axis| spots.iter().map(|spot| spot[axis]).sum::<f64>() / n);
    let far = |at: usize| (spots[at][0] - middle[0]).hypot(spots[at][1] - middle[1]);
    let mut left: BTreeSet<usize> = (0..spots.len()).collect();
    let mut order = Vec::new();
    while let Some(&first) = left.iter().next() {
        let next = left.iter().copied().fold(first, |best, at| if far(at) + 1e-9 < far(best) { at } else { best });
        left.remove(&next);
        order.push(next + 1);
    }
    order
}

#[test]
fn rows_and_grids_start_nearest_the_middle() {
    for rows in 1..=8 {
        for columns in 1..=8_usize {
            let spots: Vec<_> = (0..rows * columns).map(|at| [(at % columns) as f64, (at / columns) as f64]).collect();
            let pattern = Pattern::Grid { rows, columns };
            assert_eq!(tightening_order(pattern), Ok(nearest_first(&spots)), "{pattern:?}");
        }
    }
    for bolts in 1..=64 {
        let spots: Vec<_> = (0..bolts).map(|at| [at as f64, 0.0]).collect();
        assert_eq!(tightening_order(Pattern::Row { bolts }), Ok(nearest_first(&spots)), "{bolts} in a row");
    }
}

fn mm(spots: &[[f64; 2]]) -> Vec<[Length; 2]> {
    spots.iter().map(|spot| spot.map(Length::from_mm)).collect()
}

/// Bolts on rings about a middle, at angles and distances that leave no doubt which ring each is on.
fn rings(random: &mut ChaCha8Rng) -> Vec<Vec<[f64; 2]>> {
    let rings = random.random_range(1..=4);
    (1..=rings)
        .map(|ring| {
            let (bolts, start) = (random.random_range(2..=8), random.random_range(0.0..std::f64::consts::TAU));
            let spot = |at: usize| {
                let (sin, cos) = (start + std::f64::consts::TAU * at as f64 / bolts as f64).sin_cos();
                [cos, sin].map(|part| part * 100.0 * f64::from(ring))
            };
            (0..bolts).map(spot).collect()
        })
        .collect()
}

#[test]
fn bolts_anywhere_go_ring_by_ring_and_turning_the_plate_changes_nothing() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let rings = rings(&mut random);
        // Numbered as they come to hand, not ring by ring.
        let mut spots: Vec<(usize, [f64; 2])> =
            rings.iter().enumerate().flat_map(|(ring, spots)| spots.iter().map(move |spot| (ring, *spot))).collect();
        spots.shuffle(&mut random);
        let places: Vec<_> = spots.iter().map(|(_, spot)| *spot).collect();
        let order = Layout::Spots(mm(&places)).order().expect("no two lie in one place");
        let visited: Vec<usize> = order.iter().map(|bolt| spots[bolt - 1].0).collect();
        assert!(visited.is_sorted(), "seed {seed}: {visited:?}");
        let once: BTreeSet<_> = order.iter().copied().collect();
        assert_eq!(once, (1..=spots.len()).collect(), "seed {seed}");
        // Moved and turned as a whole; a mirror image or another numbering would be another plate.
        let (sin, cos) = random.random_range(0.0..std::f64::consts::TAU).sin_cos();
        let moved: Vec<_> =
            places.iter().map(|[x, y]| [x * cos - y * sin + 350.0, x * sin + y * cos - 120.0]).collect();
        assert_eq!(Layout::Spots(mm(&moved)).order(), Ok(order), "seed {seed}");
    }
}

/// Walks through every pass, bolt by bolt.
#[test]
fn passes_are_walked_bolt_by_bolt() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let full = random.random_range(5.0..600.0);
        let (steps, shares): (_, &[f64]) = match random.random_range(0..4) {
            0 => (PassPlan::Single, &[1.0]),
            1 => (PassPlan::ThirtySeventyHundred, &[0.3, 0.7, 1.0]),
            2 if 41.0 < full => (PassPlan::SeventyHundred, &[0.7, 1.0]),
            2 => (PassPlan::SeventyHundred, &[1.0]),
            _ => (PassPlan::FiftyEightyHundred, &[0.5, 0.8, 1.0]),
        };
        let bolts = random.random_range(1..=64);
        let asked = random.random_bool(0.5).then(|| random.random_range(0..=4));
        let checks = asked.unwrap_or(u32::from(shares.len() == 3));
        let told = plan(&PlanInput {
            layout: Layout::Pattern(Pattern::Circle { bolts }),
            steps,
            torque: Some(Torque::from_n_m(full)),
            check_rounds: asked,
        })
        .expect("everything is in its range");
        let mut held = vec![0.0; bolts];
        let mut touched = 0;
        for round in &told.rounds {
            for bolt in &told.order {
                let torque = round.torque.expect("a torque was given").n_m();
                // A check moves nothing: every bolt is at the full torque already.
                assert!(!round.check_only || (held[bolt - 1] - full).abs() < 1e-9, "seed {seed}");
                assert!(held[bolt - 1] <= torque + 1e-9, "seed {seed}: no pass loosens");
                held[bolt - 1] = torque;
                touched += 1;
            }
        }
        assert_eq!(
            (touched, told.operations),
            (told.operations, bolts * (shares.len() + checks as usize)),
            "seed {seed}"
        );
        let told: Vec<_> = told.rounds.iter().filter(|round| !round.check_only).map(|round| round.share).collect();
        assert!(
            told.iter().zip(shares).all(|(a, b)| (a - b).abs() < 1e-12) && told.len() == shares.len(),
            "seed {seed}"
        );
    }
}

/// Winds a nut down degree by degree on a bolt that stretches and parts that give, and finds the balance by halving.
#[test]
fn a_turn_winds_two_springs_against_each_other() {
    for seed in first_seed()..first_seed() + cases(200) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let thread = Thread::metric(12.0, [1.0, 1.25, 1.5, 1.75][random.random_range(0..4)]).expect("a thread");
        let (bolt, parts) = (random.random_range(1e5..2e6), random.random_range(2e5..9e6));
        let degrees = random.random_range(1..=90_u32);
        let (mut advance, mut force) = (0.0, 0.0);
        for _ in 0..degrees {
            advance += thread.pitch.mm() / 360.0;
            // The parts are squeezed by what the bolt is not stretched by.
            let (mut low, mut high) = (0.0, advance);
            for _ in 0..200 {
                let squeeze = f64::midpoint(low, high);
                if parts * squeeze < bolt * (advance - squeeze) { low = squeeze } else { high = squeeze }
            }
            force = parts * low;
        }
        let springs = Springs { bolt: Rate::from_n_per_mm(bolt), parts: Rate::from_n_per_mm(parts) };
        let turn = Angle::from_deg(f64::from(degrees));
        let fast = preload_of(turn, &thread, &springs).expect("everything is in its range");
        assert!((fast.n() / force - 1.0).abs() < 1e-9, "seed {seed}: {force} {fast:?}");
        let back = turn_for(fast, &thread, &springs).expect("everything is in its range");
        assert!((back.deg() / f64::from(degrees) - 1.0).abs() < 1e-9, "seed {seed}");
    }
}
