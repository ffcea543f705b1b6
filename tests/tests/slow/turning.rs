//! Seen from above: the vehicle is driven round in small steps, and the trailer is swung until something touches.

use baybook_core::{
    calc::swing::{JackKnife, Meets, PlanPoint, TailSwing, jack_knife, tail_swing},
    units::Length,
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// How far the vehicle turns from stop to stop, radians.
const TURN: f64 = 1e-4;

#[test]
fn a_tail_is_driven_round_in_small_steps() {
    for seed in first_seed()..first_seed() + cases(100) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (turn, half, over) =
            (random.random_range(3500.0..9000.0), random.random_range(700.0..1200.0), random.random_range(0.0..2600.0));
        // The turning centre is the origin; the vehicle begins level with it, its outer side `turn + half` away.
        let mut furthest = f64::NEG_INFINITY;
        let mut angle = 0.0_f64;
        while angle < 1.0 {
            let (sin, cos) = angle.sin_cos();
            // The corner, `over` behind the axle, turned about the centre.
            furthest = furthest.max((turn + half) * cos + over * sin);
            angle += TURN;
        }
        let slow = furthest - (turn + half);
        let mm = Length::from_mm;
        let fast = tail_swing(&TailSwing { turn_radius: mm(turn), half_width: mm(half), overhang: mm(over) });
        let fast = fast.expect("everything is in its range").mm();
        // Half a step off the furthest place: the radius times half its square.
        let missed = (turn + half).hypot(over) * TURN * TURN / 2.0;
        assert!(slow <= fast + 1e-9 && fast - missed <= slow, "seed {seed}: {fast} {slow}");
    }
}

type Spot = (f64, f64);

/// Whether two straight pieces cross.
fn cross(a: [Spot; 2], b: [Spot; 2]) -> bool {
    let side = |p: Spot, q: Spot, r: Spot| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let parted =
        |one: [Spot; 2], other: [Spot; 2]| side(one[0], one[1], other[0]) * side(one[0], one[1], other[1]) > 0.0;
    !parted(a, b) && !parted(b, a)
}

/// The outline of something long: two sides and a front, open at the far end.
fn outline(front: f64, half: f64, far: f64) -> [[Spot; 2]; 3] {
    [[(front, -half), (front, half)], [(front, half), (far, half)], [(front, -half), (far, -half)]]
}

/// How far the trailer swings from stop to stop, degrees.
const STEP: f64 = 0.01;

#[test]
fn a_trailer_is_swung_until_it_touches() {
    let (mut touched, mut free) = (0, 0);
    for seed in first_seed()..first_seed() + cases(120) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (gap, half) = (random.random_range(50.0..900.0), random.random_range(700.0..1100.0));
        let (d, b) = (random.random_range(150.0..2600.0), random.random_range(500.0..1250.0));
        let handle = random.random_bool(0.4).then(|| (random.random_range(0.0..d), random.random_range(0.0..500.0)));
        // The ball is the origin, rearward is positive: the vehicle lies ahead of its rear face.
        let vehicle = outline(-gap, half, -30_000.0);
        let inside = |(x, y): Spot| x <= -gap && y.abs() <= half;
        let turned = |(x, y): Spot, angle: f64| {
            let (sin, cos) = angle.sin_cos();
            (x * cos - y * sin, x * sin + y * cos)
        };
        let hits = |angle: f64| {
            let edges = outline(d, b, 30_000.0).map(|edge| edge.map(|spot| turned(spot, angle)));
            let bodies = edges.iter().any(|edge| vehicle.iter().any(|other| cross(*edge, *other)));
            // A handle stands on one side; the trailer may be swung either way.
            let jack = handle.is_some_and(|(x, y)| inside(turned((x, y), angle)) || inside(turned((x, y), -angle)));
            bodies || jack
        };
        let mut slow = 0.0;
        while slow <= 135.0 && !hits(f64::to_radians(slow)) {
            slow += STEP;
        }
        let mm = Length::from_mm;
        let points: Vec<PlanPoint> =
            handle.map(|(x, y)| PlanPoint { behind: mm(x), aside: mm(y) }).into_iter().collect();
        let found = jack_knife(&JackKnife {
            face_to_ball: mm(gap),
            half_width: mm(half),
            corner: PlanPoint { behind: mm(d), aside: mm(b) },
            points: &points,
        });
        let first = found.expect("everything is in its range").first;
        match first {
            Some((fast, meets)) => {
                touched += 1;
                let fast = fast.deg();
                let off = slow - fast;
                // The walk stops at most a step behind the contact, and never before it.
                assert!((-1e-6..=STEP + 1e-6).contains(&off), "seed {seed}: {fast} {slow} {meets:?}");
                assert!(handle.is_some() || !matches!(meets, Meets::Point(_)), "seed {seed}");
            }
            None => {
                free += 1;
                assert!(135.0 < slow, "seed {seed}: {slow}");
            }
        }
    }
    assert!(0 < touched, "{touched} touched, {free} did not");
}
