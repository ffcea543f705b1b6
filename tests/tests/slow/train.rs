//! Axle loads, tongue loads and spring bars as one linear system: the forces and moments of two bodies, solved by
//! elimination. And what is solved back, found by halving.

use baybook_core::{
    calc::{
        axles::{
            AxleInput, AxleLoads, Station, axle_loads,
            centre::{TiltWeighing, centre_height},
            room::{RoomInput, tongue_room},
            tongue::{Balance, LeverWeighing, tongue_by_lever, tongue_from_balance},
            train::{TrainInput, train_loads},
        },
        ratings::LinkLimit,
        spring_bars::{SpringBarInput, check::check, loads},
    },
    units::{Angle, G, Length, Mass, Torque},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// Solves a square system by elimination with pivoting; each row ends with its right side.
fn solve(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let size = rows.len();
    for column in 0..size {
        let pivot = (column..size).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()));
        rows.swap(column, pivot.unwrap_or(column));
        let head = rows[column].clone();
        for row in rows.iter_mut().skip(column + 1) {
            let factor = row[column] / head[column];
            row.iter_mut().zip(&head).for_each(|(cell, above)| *cell -= factor * above);
        }
    }
    let mut found = vec![0.0; size];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|at| rows[row][at] * found[at]).sum();
        found[row] = (rows[row][size] - known) / rows[row][row];
    }
    found
}

/// A train: stations in millimetres behind the front axle, masses in kilograms.
struct Train {
    wheelbase: f64,
    kerb: [f64; 2],
    items: Vec<(f64, f64)>,
    ball: f64,
    trailer: f64,
    to_axle: f64,
    to_centre: f64,
    couple: f64,
}

fn random_train(random: &mut ChaCha8Rng) -> Train {
    let wheelbase = random.random_range(2200.0..4800.0);
    let to_axle = random.random_range(1800.0..7000.0);
    let items = (0..random.random_range(0..9))
        .map(|_| (random.random_range(1.0..500.0), random.random_range(-800.0..wheelbase + 1500.0)))
        .collect();
    Train {
        wheelbase,
        kerb: [random.random_range(700.0..2500.0), random.random_range(500.0..2200.0)],
        items,
        ball: wheelbase + random.random_range(300.0..2000.0),
        trailer: random.random_range(300.0..4500.0),
        to_axle,
        to_centre: to_axle * random.random_range(0.75..0.99),
        couple: random.random_range(0.0..6000.0),
    }
}

/// Front and rear axle, force on the ball and trailer's axle, newtons: four balances of two bodies.
fn balances(train: &Train) -> [f64; 4] {
    // The vehicle's own weight stands where its axles say: as two forces at the axles.
    let own = [(train.kerb[0], 0.0), (train.kerb[1], train.wheelbase)];
    let on = own.into_iter().chain(train.items.iter().copied());
    let (mut weight, mut moment) = (0.0, 0.0);
    for (kg, at) in on {
        weight += kg * G;
        moment += kg * G * at / 1000.0;
    }
    let (ball, axle) = (train.ball / 1000.0, train.to_axle / 1000.0);
    let trailer = train.trailer * G;
    let solved = solve(vec![
        // Vehicle: what the ground pushes up carries what weighs and what the ball presses down.
        vec![1.0, 1.0, -1.0, 0.0, weight],
        // About the front axle; the bars turn the vehicle's nose down.
        vec![0.0, train.wheelbase / 1000.0, -ball, 0.0, moment - train.couple],
        // Trailer: ball and axle carry it.
        vec![0.0, 0.0, 1.0, 1.0, trailer],
        // About the ball; the bars turn the trailer's tail down.
        vec![0.0, 0.0, 0.0, axle, trailer * train.to_centre / 1000.0 + train.couple],
    ]);
    [solved[0], solved[1], solved[2], solved[3]]
}

#[test]
fn one_linear_system_gives_every_load_of_a_train() {
    let (mm, kg) = (Length::from_mm, Mass::from_kg);
    for seed in first_seed()..first_seed() + cases(2000) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let train = random_train(&mut random);
        let near = |what: &str, fast: Mass, newtons: f64| {
            assert!((fast.kg() - newtons / G).abs() < 1e-7, "seed {seed}, {what}: {} {}", fast.kg(), newtons / G);
        };
        let balance = Balance {
            mass: kg(train.trailer),
            coupler_to_axle: mm(train.to_axle),
            coupler_to_centre: mm(train.to_centre),
        };
        let split = tongue_from_balance(&balance).expect("everything is in its range");
        let items: Vec<Station> =
            train.items.iter().map(|&(mass, at)| Station { mass: kg(mass), station: mm(at) }).collect();
        let found = axle_loads(&AxleInput {
            wheelbase: mm(train.wheelbase),
            kerb_front: kg(train.kerb[0]),
            kerb_rear: kg(train.kerb[1]),
            items: &items,
            tongue: Some(Station { mass: split.tongue, station: mm(train.ball) }),
        })
        .expect("everything is in its range");
        let [front, rear, ball, axle] = balances(&Train { couple: 0.0, items: train.items.clone(), ..train });
        near("front", found.front, front);
        near("rear", found.rear, rear);
        near("tongue", split.tongue, ball);
        near("trailer's axle", split.axle, axle);
        // What all wheels carry is the train's mass: the tongue load counts once.
        let whole = train_loads(&TrainInput {
            loads: Some(found),
            trailer: Some(kg(train.trailer)),
            tongue: Some(split.tongue),
            ..TrainInput::default()
        });
        near("train", whole.train.value.expect("everything is known"), front + rear + axle);

        let bars = SpringBarInput {
            wheelbase: mm(train.wheelbase),
            overhang: mm(train.ball - train.wheelbase),
            coupler_to_axle: mm(train.to_axle),
            tongue: split.tongue,
        };
        let couple = Torque::from_n_m(train.couple);
        let barred = check(&bars, &found, couple, None, None).expect("everything is in its range");
        let [front, rear, ball, axle] = balances(&train);
        near("front with bars", barred.with.front, front);
        near("rear with bars", barred.with.rear, rear);
        near("trailer's axle with bars", split.axle + barred.trailer, axle);
        near("left on the ball", loads(&bars, couple).expect("in range").net_hitch, ball);
    }
}

#[test]
fn a_lever_is_two_forces_and_two_moments() {
    for seed in first_seed()..first_seed() + cases(500) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (a, b) = (random.random_range(100.0..900.0), random.random_range(100.0..1500.0));
        let tongue: f64 = random.random_range(20.0..400.0);
        // Support and scale carry the tongue between them; moments about the support.
        let carried = solve(vec![vec![1.0, 1.0, tongue], vec![0.0, a + b, tongue * a]]);
        let weighing = LeverWeighing {
            support_to_coupler: Length::from_mm(a),
            coupler_to_scale: Length::from_mm(b),
            reading: Mass::from_kg(carried[1]),
        };
        let found = tongue_by_lever(&weighing).expect("everything is in its range");
        assert!((found.kg() - tongue).abs() < 1e-9, "seed {seed}: {} {tongue}", found.kg());
    }
}

/// A body whose centre of mass is known is turned, and its axles are weighed where they then stand.
#[test]
fn a_tilted_vehicle_tells_its_height() {
    for seed in first_seed()..first_seed() + cases(1000) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (wheelbase, radius) = (random.random_range(2200.0..4800.0), random.random_range(280.0..450.0));
        let (at, high) = (wheelbase * random.random_range(0.3..0.7), random.random_range(400.0..1500.0));
        let (mass, tilt): (f64, f64) = (random.random_range(1000.0..5000.0), random.random_range(5.0..45.0));
        // Rearward and up from the front hub, nose up: what lay rearward sinks, what lay high moves rearward.
        let (sin, cos) = tilt.to_radians().sin_cos();
        let place = |rearward: f64, up: f64| rearward * cos + up * sin;
        let rear = |angle_is_zero: bool| {
            let (centre, hub) =
                if angle_is_zero { (at, wheelbase) } else { (place(at, high - radius), place(wheelbase, 0.0)) };
            solve(vec![vec![1.0, 1.0, mass], vec![0.0, hub, mass * centre]])
        };
        let (level, tilted) = (rear(true), rear(false));
        let found = centre_height(&TiltWeighing {
            wheelbase: Length::from_mm(wheelbase),
            loaded_radius: Length::from_mm(radius),
            front_level: Mass::from_kg(level[0]),
            rear_level: Mass::from_kg(level[1]),
            rear_tilted: Mass::from_kg(tilted[1]),
            tilt: Angle::from_deg(tilt),
        });
        let found = found.expect("everything is in its range").mm();
        assert!((found - high).abs() < 1e-6, "seed {seed}: {found} {high}");
    }
}

/// Returns the greatest load that still holds, by halving.
pub fn greatest(most: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut good, mut bad) = (0.0, most);
    for _ in 0..200 {
        let middle = f64::midpoint(good, bad);
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}

#[test]
fn the_room_for_a_tongue_load_is_found_by_halving() {
    let (mm, kg) = (Length::from_mm, Mass::from_kg);
    for seed in first_seed()..first_seed() + cases(500) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let train = random_train(&mut random);
        let before = [train.kerb[0], train.kerb[1]].map(kg);
        let gawr = before[1] + kg(random.random_range(0.0..900.0));
        let tyres = before[1] + kg(random.random_range(0.0..900.0));
        let gvwr = before[0] + before[1] + kg(random.random_range(0.0..900.0));
        let share = random.random_range(0.1..0.5);
        // Behind the bumper, or in a bed ahead of the rear axle, where the load presses on both.
        let (front_gawr, ahead) = (before[0] + kg(random.random_range(0.0..400.0)), random.random_range(0.6..0.99));
        let ball = if random.random_bool(0.4) { train.wheelbase * ahead } else { train.ball };
        let [front_before, rear_before] = before;
        let room = tongue_room(&RoomInput {
            loads: AxleLoads { front_before, rear_before, front: front_before, rear: rear_before },
            wheelbase: mm(train.wheelbase),
            ball: mm(ball),
            front_gawr: Some(front_gawr),
            rear_gawr: Some(gawr),
            gvwr: Some(gvwr),
            rear_tyres: Some(tyres),
            front_share_min: Some(share),
        });
        let hitched = |tongue: f64| {
            axle_loads(&AxleInput {
                wheelbase: mm(train.wheelbase),
                kerb_front: front_before,
                kerb_rear: rear_before,
                items: &[],
                tongue: Some(Station { mass: kg(tongue), station: mm(ball) }),
            })
            .expect("in range")
        };
        assert_eq!(room.iter().any(|link| link.path == "vehicle.front.gawr"), ball < train.wheelbase, "seed {seed}");
        for link in room {
            let slow = greatest(9999.0, |tongue| {
                let loads = hitched(tongue);
                match link.path {
                    "vehicle.rear.gawr" => loads.rear <= gawr,
                    "vehicle.gvwr" => loads.total() <= gvwr,
                    "vehicle.rear.tyres" => loads.rear <= tyres,
                    "vehicle.front.gawr" => loads.front <= front_gawr,
                    _ => share <= loads.front_share(),
                }
            });
            let LinkLimit::Known(fast) = link.limit else {
                // No load takes the front's share below a small one. A front that is too light unhitched is too light under a
                // small load and not under a great one: then every load must add to its share.
                let light = hitched(0.0).front_share() < share;
                let helped = hitched(0.0).front_share() <= hitched(9999.0).front_share();
                let free = if light { helped } else { 9998.0 < slow };
                assert!(link.limit == LinkLimit::NotLimiting && free, "seed {seed}: {link:?}, {slow}");
                continue;
            };
            // Loads are tried up to what the sum is given for.
            let fast = fast.kg().min(9999.0);
            assert!((fast - slow).abs() < 1e-6, "seed {seed}, {}: {fast} {slow}", link.path);
        }
    }
}
