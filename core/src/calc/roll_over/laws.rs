//! Laws, and a slow model: circles laid on thousands of samples of the ground, a bisected front hub, a dense sweep.

use proptest::prelude::*;

use super::{
    handbook::{profile, roll, terrain},
    *,
};
use crate::{
    calc::{clearance::Wheels, example_van::WHEELS},
    model::profile::Profile,
};

const L: f64 = 3640.0;

/// The ground's height, by looking for the piece from the left.
fn height(ground: &[(f64, f64)], x: f64) -> f64 {
    if x <= ground[0].0 {
        return ground[0].1;
    }
    for pair in ground.windows(2) {
        if x <= pair[1].0 {
            return pair[0].1 + (pair[1].1 - pair[0].1) * (x - pair[0].0) / (pair[1].0 - pair[0].0);
        }
    }
    ground[ground.len() - 1].1
}

/// The hub's height: the highest of many circles that stand under it.
fn hub(ground: &[(f64, f64)], x: f64, r: f64, samples: u32) -> f64 {
    let lift = |at: f64| height(ground, at) + (r * r - (x - at) * (x - at)).max(0.0).sqrt();
    let even = (0..=samples).map(|step| lift(x - r + 2.0 * r * f64::from(step) / f64::from(samples)));
    let corners = ground.iter().filter(|corner| (corner.0 - x).abs() <= r).map(|corner| lift(corner.0));
    even.chain(corners).fold(f64::NEG_INFINITY, f64::max)
}

/// Walks down from the furthest place the front hub may be, then halves.
fn front(ground: &[(f64, f64)], rear: (f64, f64), r: f64, samples: u32) -> (f64, f64) {
    let off = |x: f64| (x - rear.0).hypot(hub(ground, x, r, samples) - rear.1) - L;
    let mut high = rear.0 + L;
    let mut low = high;
    while off(low) > 0.0 {
        (high, low) = (low, low - L / 400.0);
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if off(middle) > 0.0 { high = middle } else { low = middle }
    }
    (low, hub(ground, low, r, samples))
}

/// The least gap at one stop, by sampling the vehicle's edges.
fn gap(ground: &[(f64, f64)], van: &[(f64, f64)], x: f64, r: f64, samples: u32, cuts: u32) -> f64 {
    let rear = (x, hub(ground, x, r, samples));
    let ahead = front(ground, rear, r, samples);
    let (sin, cos) = (ahead.1 - rear.1).atan2(ahead.0 - rear.0).sin_cos();
    let mut least = f64::INFINITY;
    for pair in van.windows(2) {
        for cut in 0..=cuts {
            let share = f64::from(cut) / f64::from(cuts);
            let (a, h) = (pair[0].0 + share * (pair[1].0 - pair[0].0), pair[0].1 + share * (pair[1].1 - pair[0].1) - r);
            let (px, pz) = (rear.0 + a * cos - h * sin, rear.1 + a * sin + h * cos);
            least = least.min(pz - height(ground, px));
        }
    }
    least
}

fn ours(profile: &Profile, ground: &[(f64, f64)], x: f64) -> Contact {
    let (underside, pose, terrain) = (Underside::of(profile), Pose::as_measured(WHEELS), terrain(ground));
    gap_at(&RollInput { underside: &underside, pose: &pose, terrain: &terrain }, Length::from_mm(x)).unwrap()
}

/// Grounds with kerbs, humps and ditches: pieces of 1 to 2500 mm that rise or fall by up to 200 mm, none a wall.
fn grounds() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((prop_oneof![Just(1.0), 30.0..2500.0_f64], -200.0..200.0_f64), 1..7).prop_map(|pieces| {
        let mut ground = vec![(0.0, 0.0)];
        for (run, rise) in pieces {
            let (x, z) = ground[ground.len() - 1];
            // Heights stay within what a wheel can climb in one step.
            ground.push((x + run, (z + rise).clamp(-150.0, 150.0)));
        }
        ground
    })
}

fn vans() -> impl Strategy<Value = Vec<(f64, f64)>> {
    (300.0..1500.0_f64, 300.0..900.0_f64, prop::collection::vec(180.0..400.0_f64, 5)).prop_map(
        |(tail, nose, heights)| {
            let places = [-tail, -300.0, 1820.0, 3300.0, L + nose];
            places.into_iter().zip(heights).collect()
        },
    )
}

/// Derived: 20,001 circles under the hub, none of which it may sink into.
#[test]
fn the_slow_hub_agrees_to_a_thousandth() {
    let ground = [(0.0, 0.0), (3000.0, 450.0)];
    let bare = profile(ProfileJoin::SeparatePoints, &[(0.0, 230.0)]);
    for step in -40..=360 {
        let x = f64::from(step) * 10.0;
        let exact = ours(&bare, &ground, x).stance.rear_hub.rise.mm();
        let slow = hub(&ground, x, 345.0, 20_000);
        assert!(exact >= slow - 1e-9 && exact - slow < 1e-3, "{x}: {exact} {slow}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_slow_stance_agrees(ground in grounds(), van in vans(), share in 0.0..1.0_f64) {
        let end = ground[ground.len() - 1].0;
        let x = -5000.0 + share * (end + 7000.0);
        let profile = profile(ProfileJoin::StraightEdges, &van);
        let exact = ours(&profile, &ground, x);
        let slow = gap(&ground, &van, x, 345.0, 4000, 2000);
        let rear = hub(&ground, x, 345.0, 4000);
        prop_assert!(exact.stance.rear_hub.rise.mm() >= rear - 1e-9, "below the ground's circles");
        prop_assert!(exact.stance.rear_hub.rise.mm() - rear < 0.01, "{} {rear}", exact.stance.rear_hub.rise.mm());
        let ahead = front(&ground, (x, rear), 345.0, 4000);
        prop_assert!((exact.stance.front_hub.run.mm() - ahead.0).abs() < 0.05, "{exact:?} {ahead:?}");
        // Samples of an edge miss the corner under it by at most half a cut times both slopes.
        prop_assert!((exact.gap.mm() - slow).abs() < 0.3 || exact.gap.mm() < slow, "{exact:?} {slow}");
    }

    #[test]
    fn no_stop_of_a_dense_sweep_lies_below_the_least(ground in grounds(), van in vans()) {
        let end = ground[ground.len() - 1].0;
        let profile = profile(ProfileJoin::StraightEdges, &van);
        let (under, pose, terrain) = (Underside::of(&profile), Pose::as_measured(WHEELS), terrain(&ground));
        let input = RollInput { underside: &under, pose: &pose, terrain: &terrain };
        let rolled = roll_over(&input).unwrap();
        let rolling = Rolling::of(&input).unwrap();
        let mut x = -5200.0;
        let mut dense = f64::INFINITY;
        let mut near = rolling.stand(x, 0, 0).unwrap();
        while x < end + 2000.0 {
            near = rolling.stand_near(x, &near).unwrap();
            dense = dense.min(rolling.least(&near).0);
            x += 0.73;
        }
        let least = rolled.least.gap.mm();
        prop_assert!(least <= dense + 0.01, "{least} {dense}");
        // And what was found is really there.
        let there = gap_at(&input, rolled.least.stance.rear_hub.run).unwrap().gap.mm();
        prop_assert!((there - least).abs() < 1e-6, "{there} {least}");
        let points = rolled.by_point.iter().map(|contact| contact.gap.mm()).fold(f64::INFINITY, f64::min);
        prop_assert!(least <= points + 1e-9);
        prop_assert_eq!(rolled.first_touch.is_some(), least <= 1e-9);
        if let Some(first) = rolled.first_touch {
            prop_assert!(first.stance.rear_hub.run.mm() <= rolled.least.stance.rear_hub.run.mm() + 1e-3);
        }
    }

    /// Lifting the ground lifts everything; a longer level before it changes nothing.
    #[test]
    fn neither_the_datum_nor_the_origin_counts(ground in grounds(), van in vans(), up in -500.0..500.0_f64, on in -900.0..900.0_f64) {
        let profile = profile(ProfileJoin::StraightEdges, &van);
        let moved: Vec<_> = ground.iter().map(|&(x, z)| (x + on, z + up)).collect();
        let (one, other) = (roll(WHEELS, &profile, &terrain(&ground)), roll(WHEELS, &profile, &terrain(&moved)));
        prop_assert!((one.least.gap - other.least.gap).mm().abs() < 1e-3, "{:?} {:?}", one.least, other.least);
    }

    /// A vehicle that looks the same from both ends meets the same on the way back.
    #[test]
    fn the_way_back_is_the_mirror(ground in grounds(), heights in prop::collection::vec(180.0..400.0_f64, 3)) {
        let [low, middle, high] = [heights[0], heights[1], heights[2]];
        let van = [(-900.0, high), (600.0, low), (L / 2.0, middle), (L - 600.0, low), (L + 900.0, high)];
        let profile = profile(ProfileJoin::StraightEdges, &van);
        let there = terrain(&ground);
        let (out, back) = (roll(WHEELS, &profile, &there), roll(WHEELS, &profile, &reversed(&there)));
        prop_assert!((out.least.gap - back.least.gap).mm().abs() < 0.01, "{:?} {:?}", out.least, back.least);
    }

    /// What hangs lower, by the same everywhere, never comes less near, and a margin is a matter of the least gap.
    #[test]
    fn lower_is_nearer(ground in grounds(), van in vans(), down in 0.0..80.0_f64) {
        let lower: Vec<_> = van.iter().map(|&(a, z)| (a, z - down)).collect();
        let ground = terrain(&ground);
        let of = |points: &[(f64, f64)]| roll(WHEELS, &profile(ProfileJoin::StraightEdges, points), &ground).least.gap.mm();
        let (high, low) = (of(&van), of(&lower));
        prop_assert!(low <= high + 1e-6);
        // A pitched body drops by a little less than the measure, or by more beside a steep face.
        prop_assert!(high - low >= down * 0.9 - 1e-6, "{high} {low} {down}");
    }

    /// Points that stand alone are never nearer than the same points joined.
    #[test]
    fn edges_only_ever_come_nearer(ground in grounds(), van in vans()) {
        let ground = terrain(&ground);
        let of = |join| roll(WHEELS, &profile(join, &van), &ground).least.gap.mm();
        prop_assert!(of(ProfileJoin::StraightEdges) <= of(ProfileJoin::SeparatePoints) + 1e-6);
    }

    #[test]
    fn unequal_wheels_stand_level_on_level_ground(front in 250.0..500.0_f64, rear in 250.0..500.0_f64, van in vans()) {
        let wheels = Wheels { front_radius: Length::from_mm(front), rear_radius: Length::from_mm(rear), ..WHEELS };
        let rolled = roll(wheels, &profile(ProfileJoin::StraightEdges, &van), &terrain(&[(0.0, 0.0), (900.0, 0.0)]));
        prop_assert!(rolled.least.stance.pitch.deg().abs() < 1e-9);
        for (contact, (_, z)) in rolled.by_point.iter().zip(van.iter().rev()) {
            prop_assert!((contact.gap.mm() - z).abs() < 1e-8);
        }
    }
}
