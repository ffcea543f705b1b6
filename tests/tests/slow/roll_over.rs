//! Rolling over a terrain by brute force: a wheel is lowered until none of its rim is in the ground, the front hub is
//! bisected, every edge is cut into crumbs, and the way is walked in small steps.

use baybook_core::{
    calc::{
        clearance::{Underside, Wheels},
        roll_over::{RollInput, gap_at, roll_over},
        sag::Pose,
    },
    model::{
        profile::{Profile, ProfileJoin, ProfilePoint},
        terrain::{GroundPoint, Terrain},
    },
    units::Length,
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// Height of the ground: the piece is looked for from the left.
fn ground_at(ground: &[(f64, f64)], x: f64) -> f64 {
    let (first, last) = (ground[0], ground[ground.len() - 1]);
    if x <= first.0 {
        return first.1;
    }
    let over = ground.windows(2).find(|pair| x <= pair[1].0);
    over.map_or(last.1, |pair| pair[0].1 + (x - pair[0].0) * (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0))
}

/// How many places of the ground are looked at under a wheel.
const RIM: u32 = 1000;

/// Height of a hub: a wheel is held over every place of the ground under it, corners included, and the highest counts.
fn hub_at(ground: &[(f64, f64)], x: f64, r: f64) -> f64 {
    let held = |at: f64| ground_at(ground, at) + (r * r - (at - x) * (at - x)).max(0.0).sqrt();
    let rim = (0..=RIM).map(|step| held(x - r + 2.0 * r * f64::from(step) / f64::from(RIM)));
    let corners = ground.iter().filter(|corner| (corner.0 - x).abs() < r).map(|corner| held(corner.0));
    rim.chain(corners).fold(f64::NEG_INFINITY, f64::max)
}

/// The vehicle: wheelbase, radii, and points forward of the rear axle with their heights.
struct Van {
    wheelbase: f64,
    front: f64,
    rear: f64,
    points: Vec<(f64, f64)>,
    joined: bool,
}

/// Where everything is with the rear hub at `x`: the hub, the sine and the cosine of the pitch.
fn stand(van: &Van, ground: &[(f64, f64)], x: f64) -> ((f64, f64), f64, f64) {
    let rear = (x, hub_at(ground, x, van.rear));
    let between = van.wheelbase.hypot(van.front - van.rear);
    let too_far = |at: f64| (at - rear.0).hypot(hub_at(ground, at, van.front) - rear.1) > between;
    let (mut near, mut far) = (rear.0 + between, rear.0 + between + 1e-9);
    while too_far(near) {
        far = near;
        near -= between / 1000.0;
    }
    for _ in 0..50 {
        let middle = f64::midpoint(near, far);
        if too_far(middle) { far = middle } else { near = middle }
    }
    let ahead = (near, hub_at(ground, near, van.front));
    let level = (van.front - van.rear).atan2(van.wheelbase);
    let (sin, cos) = ((ahead.1 - rear.1).atan2(ahead.0 - rear.0) - level).sin_cos();
    (rear, sin, cos)
}

/// How finely an edge is cut.
const CRUMBS: u32 = 1200;

/// The least gap with the rear hub at `x`, over points and crumbs of edges.
fn slow_gap(van: &Van, ground: &[(f64, f64)], x: f64) -> f64 {
    let (rear, sin, cos) = stand(van, ground, x);
    let gap = |(a, z): (f64, f64)| {
        let up = z - van.rear;
        rear.1 + a * sin + up * cos - ground_at(ground, rear.0 + a * cos - up * sin)
    };
    let points = van.points.iter().copied().map(gap).fold(f64::INFINITY, f64::min);
    if !van.joined {
        return points;
    }
    let crumbs = van.points.windows(2).flat_map(|pair| {
        (0..=CRUMBS).map(move |crumb| {
            let share = f64::from(crumb) / f64::from(CRUMBS);
            (pair[0].0 + share * (pair[1].0 - pair[0].0), pair[0].1 + share * (pair[1].1 - pair[0].1))
        })
    });
    crumbs.map(gap).fold(points, f64::min)
}

fn random_van(random: &mut ChaCha8Rng) -> Van {
    let wheelbase = random.random_range(2400.0..4400.0);
    let mut at = -random.random_range(500.0..1500.0);
    let mut points = Vec::new();
    while at < wheelbase + 1000.0 && points.len() < 9 {
        points.push((at, random.random_range(170.0..420.0)));
        at += random.random_range(300.0..1400.0);
    }
    let front = random.random_range(300.0..420.0);
    Van { wheelbase, front, rear: front + random.random_range(-30.0..30.0), points, joined: random.random_bool(0.7) }
}

/// Ramps, kerbs, humps and ditches of 60 to 2500 mm a piece, kerbs of 1 mm among them, none higher than a wheel climbs.
fn random_ground(random: &mut ChaCha8Rng) -> Vec<(f64, f64)> {
    let mut ground = vec![(0.0, 0.0)];
    let pieces = random.random_range(1..8);
    for _ in 0..pieces {
        let (x, z) = ground[ground.len() - 1];
        let kerb = random.random_bool(0.15);
        let run = if kerb { 1.0 } else { random.random_range(60.0..2500.0) };
        let most: f64 = if kerb { 120.0 } else { (run * 0.35_f64).min(300.0) };
        ground.push((x + run, (z + random.random_range(-most..most)).clamp(-250.0, 250.0)));
    }
    ground
}

fn profile(van: &Van) -> Profile {
    let place = |&(a, z): &(f64, f64)| ProfilePoint {
        label: String::new(),
        station: Length::from_mm(van.wheelbase - a),
        height: Length::from_mm(z),
    };
    let join = if van.joined { ProfileJoin::StraightEdges } else { ProfileJoin::SeparatePoints };
    Profile { points: van.points.iter().rev().map(place).collect(), join }
}

fn terrain(ground: &[(f64, f64)]) -> Terrain {
    let corner = |&(x, z): &(f64, f64)| GroundPoint { run: Length::from_mm(x), rise: Length::from_mm(z) };
    Terrain { name: String::new(), label: String::new(), points: ground.iter().map(corner).collect() }
}

/// How far the slow gap may lie off, and why.
///
/// The hub: between two places of the rim, `2 r / RIM` apart, a line lifted to a circle is missed by at most
/// `(r / RIM)² / (2 r)` over the cube of the steepest cosine; with a slope of at most 0.35 (kerbs are met on their
/// corners, which are looked at) that is under 4e-4 mm. Either hub moves a point by at most its lever, `1 + 1500 / 2400`
/// and as much again, so the pose moves it by under 1e-3 mm up and down. Along the ground it then moves by less, over a
/// slope of at most 120 (a kerb), where a point that stands beside a kerb's face may see it: those stops are left out.
/// An edge's crumbs: half a crumb, `1400 / CRUMBS / 2`, times the slopes of edge and ground together, at most 1.2: 0.7 mm
/// too high where the corner itself is met, never too low.
const POSE: f64 = 2e-3;
const CRUMB: f64 = 1400.0 / CRUMBS as f64 / 2.0 * 1.2;

/// Whether a point or an edge's end stands so near to a kerb's face that a thousandth along the ground counts.
fn beside_a_kerb(van: &Van, ground: &[(f64, f64)], x: f64) -> bool {
    let faces = ground.windows(2).filter(|pair| pair[1].0 - pair[0].0 < 2.0);
    if faces.clone().count() == 0 {
        return false;
    }
    let (rear, sin, cos) = stand(van, ground, x);
    let mut edges = faces.flat_map(|pair| [pair[0].0, pair[1].0]);
    edges.any(|face| van.points.iter().any(|&(a, z)| (rear.0 + a * cos - (z - van.rear) * sin - face).abs() < 2.0))
}

#[test]
fn one_stop_after_the_other() {
    let first = first_seed();
    for seed in first..first + cases(40) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (van, ground) = (random_van(&mut random), random_ground(&mut random));
        let (profile, terrain) = (profile(&van), terrain(&ground));
        let mm = Length::from_mm;
        let wheels = Wheels { wheelbase: mm(van.wheelbase), front_radius: mm(van.front), rear_radius: mm(van.rear) };
        let (underside, pose) = (Underside::of(&profile), Pose::as_measured(wheels));
        let input = RollInput { underside: &underside, pose: &pose, terrain: &terrain };
        for _ in 0..3 {
            let x = random.random_range(-van.wheelbase - 800.0..ground[ground.len() - 1].0 + 1500.0);
            if beside_a_kerb(&van, &ground, x) {
                continue;
            }
            let fast = gap_at(&input, mm(x)).map(|contact| contact.gap.mm());
            let fast = fast.unwrap_or_else(|error| panic!("seed {seed}, rear hub {x}: {error}"));
            let slow = slow_gap(&van, &ground, x);
            let most = if van.joined { POSE + CRUMB } else { POSE };
            // Crumbs near a kerb's face see it or not; there only the side that is never wrong is held.
            let kerb = van.joined && ground.windows(2).any(|pair| pair[1].0 - pair[0].0 < 2.0);
            assert!(fast <= slow + POSE, "seed {seed}, rear hub {x}: fast {fast}, slow {slow}");
            assert!(kerb || slow - most <= fast, "seed {seed}, rear hub {x}: fast {fast}, slow {slow}");
        }
    }
}

/// Stops of the slow walk, mm apart.
const WALK: f64 = 40.0;

#[test]
fn the_whole_way() {
    let first = first_seed();
    for seed in first..first + cases(3) {
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ 0x5eed);
        let (van, ground) = (random_van(&mut random), random_ground(&mut random));
        let (profile, terrain) = (profile(&van), terrain(&ground));
        let mm = Length::from_mm;
        let wheels = Wheels { wheelbase: mm(van.wheelbase), front_radius: mm(van.front), rear_radius: mm(van.rear) };
        let (underside, pose) = (Underside::of(&profile), Pose::as_measured(wheels));
        let rolled = roll_over(&RollInput { underside: &underside, pose: &pose, terrain: &terrain });
        let rolled = rolled.unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        let least = rolled.least.gap.mm();
        // The place that was found is really so near.
        let x = rolled.least.stance.rear_hub.run.mm();
        if !van.joined && !beside_a_kerb(&van, &ground, x) {
            let there = slow_gap(&van, &ground, x);
            assert!((there - least).abs() <= POSE, "seed {seed}: {there} {least} at {x}");
        }
        // And nothing on the way is nearer.
        let mut x = -van.wheelbase - 2000.0;
        let mut nearest = f64::INFINITY;
        while x < ground[ground.len() - 1].0 + 2000.0 {
            nearest = nearest.min(slow_gap(&van, &ground, x));
            x += WALK;
        }
        assert!(least <= nearest + POSE, "seed {seed}: {least} {nearest}");
        // A walk of 40 mm passes the worst by 20 mm at most; a point moves up by less than its slope of 0.35 and the
        // pitch's, and over a kerb by all of it.
        let kerb = ground.windows(2).any(|pair| pair[1].0 - pair[0].0 < 2.0);
        assert!(kerb || nearest - least <= WALK / 2.0 * 1.5 + CRUMB, "seed {seed}: {least} {nearest}");
    }
}
