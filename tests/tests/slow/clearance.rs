//! Angles by tilting a line until it touches, edges cut into crumbs, and the laden pose by turning the body until its
//! hubs stand where the springs put them.

use baybook_core::{
    calc::{
        clearance::{Point, Underside, Wheels, approach, departure, lowest, ramp, tape_uncertainty},
        off_road::measures,
        sag::{AxleSpring, Pose, SagInput, sag},
    },
    model::profile::{Profile, ProfileJoin, ProfilePoint},
    units::{G, Length, Mass, Rate},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// Whether a point `u` ahead of a wheel's centre and `z` high is clear of the line that touches the tyre from below and
/// rises at that angle: the line passes the hub, `r` high, at the distance `r`.
fn clear(u: f64, z: f64, r: f64, angle: f64) -> bool {
    u * angle.tan() + r - r / angle.cos() <= z
}

/// The angle at which the line meets the point: it is tilted in steps, then halved.
fn tilted(u: f64, z: f64, r: f64) -> f64 {
    let mut bad = 0.0;
    while clear(u, z, r, bad) && bad < 1.57 {
        bad += 0.01;
    }
    let mut good = (bad - 0.01_f64).max(0.0);
    for _ in 0..60 {
        let middle = f64::midpoint(good, bad);
        if clear(u, z, r, middle) { good = middle } else { bad = middle }
    }
    good.to_degrees()
}

/// A vehicle with points ahead of, between and behind its axles, all clear of the tyres.
struct Van {
    wheels: Wheels,
    ahead: Vec<(f64, f64)>,
    between: Vec<(f64, f64)>,
    behind: Vec<(f64, f64)>,
}

fn random_van(random: &mut ChaCha8Rng) -> Van {
    let wheelbase = random.random_range(2400.0..4600.0);
    let (front, rear) = (random.random_range(290.0..420.0), random.random_range(290.0..420.0));
    let mut some = |from: f64, to: f64, most: usize| {
        let count = random.random_range(1..=most);
        let mut points: Vec<(f64, f64)> =
            (0..count).map(|_| (random.random_range(from..to), random.random_range(120.0..500.0))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points
    };
    let ahead = some(-1400.0, -1.2 * front, 3);
    let between = some(1.4 * front, wheelbase - 1.4 * rear, 6);
    let behind = some(wheelbase + 1.2 * rear, wheelbase + 1900.0, 4);
    let mm = Length::from_mm;
    Van {
        wheels: Wheels { wheelbase: mm(wheelbase), front_radius: mm(front), rear_radius: mm(rear) },
        ahead,
        between,
        behind,
    }
}

fn profile<'a>(points: impl Iterator<Item = &'a (f64, f64)>, join: ProfileJoin) -> Profile {
    let place = |&(s, z): &(f64, f64)| ProfilePoint {
        label: String::new(),
        station: Length::from_mm(s),
        height: Length::from_mm(z),
    };
    Profile { points: points.map(place).collect(), join }
}

#[test]
fn a_line_is_tilted_until_it_touches() {
    for seed in first_seed()..first_seed() + cases(300) {
        let van = random_van(&mut ChaCha8Rng::seed_from_u64(seed));
        let all = van.ahead.iter().chain(&van.between).chain(&van.behind);
        let profile = profile(all.clone(), ProfileJoin::SeparatePoints);
        let (underside, pose) = (Underside::of(&profile), Pose::as_measured(van.wheels));
        let [base, front, rear] =
            [van.wheels.wheelbase, van.wheels.front_radius, van.wheels.rear_radius].map(Length::mm);
        let least = |angles: &mut dyn Iterator<Item = f64>| angles.fold(f64::INFINITY, f64::min);
        let near = |what: &str, fast: f64, slow: f64| {
            assert!((fast - slow).abs() < 1e-9, "seed {seed}, {what}: {fast} {slow}");
        };
        let slow = least(&mut van.ahead.iter().map(|&(s, z)| tilted(-s, z, front)));
        near("approach", approach(&underside, &pose).expect("points lie ahead").angle.deg(), slow);
        let slow = least(&mut van.behind.iter().map(|&(s, z)| tilted(s - base, z, rear)));
        near("departure", departure(&underside, &pose).expect("points lie behind").angle.deg(), slow);
        let slow = least(&mut van.between.iter().map(|&(s, z)| tilted(s, z, front) + tilted(base - s, z, rear)));
        near("ramp", ramp(&underside, &pose).expect("points lie between").angle.deg(), slow);
        let slow = all.map(|&(_, z)| z).fold(f64::INFINITY, f64::min);
        near("lowest", lowest(&underside, &pose).expect("it has points").at.height.mm(), slow);
        // The off-road measures are these same angles.
        let taken = measures(&underside, &pose).expect("everything is in its range");
        let angle = taken.departure.expect("points lie behind").deg();
        near("measure", angle, departure(&underside, &pose).expect("points lie behind").angle.deg());
    }
}

/// Crumbs of each edge.
const CRUMBS: u32 = 4000;
/// How far a crumb may lie off, degrees: an edge of at most 4000 mm is cut every millimetre, so the least place is missed by
/// half of one; the angle bends by at most 2 z / u³ a square millimetre on either side, z ≤ 500 and u ≥ 1.4 · 290, which
/// makes 2 · 0.5² / 2 · 1.5e-5 rad, 2.2e-4 degrees.
const CRUMB: f64 = 2.2e-4;

#[test]
fn an_edge_is_cut_into_crumbs() {
    for seed in first_seed()..first_seed() + cases(12) {
        let van = random_van(&mut ChaCha8Rng::seed_from_u64(seed ^ 0xed6e));
        let profile = profile(van.between.iter(), ProfileJoin::StraightEdges);
        let [base, front, rear] =
            [van.wheels.wheelbase, van.wheels.front_radius, van.wheels.rear_radius].map(Length::mm);
        let at = |(s, z): (f64, f64)| tilted(s, z, front) + tilted(base - s, z, rear);
        let corners = van.between.iter().copied().map(at).fold(f64::INFINITY, f64::min);
        let crumbs = van.between.windows(2).flat_map(|pair| {
            (1..CRUMBS).map(move |crumb| {
                let share = f64::from(crumb) / f64::from(CRUMBS);
                (pair[0].0 + share * (pair[1].0 - pair[0].0), pair[0].1 + share * (pair[1].1 - pair[0].1))
            })
        });
        let slow = crumbs.map(at).fold(corners, f64::min);
        let fast = ramp(&Underside::of(&profile), &Pose::as_measured(van.wheels)).expect("points lie between");
        let fast = fast.angle.deg();
        assert!(fast <= slow + 1e-9 && slow - CRUMB <= fast, "seed {seed}: {fast} {slow}");
    }
}

/// Where the springs put the hubs, and where a point of the body then is.
#[test]
fn a_laden_body_is_turned_until_its_hubs_stand_right() {
    for seed in first_seed()..first_seed() + cases(500) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let van = random_van(&mut random);
        let spring = |random: &mut ChaCha8Rng| AxleSpring {
            suspension: Rate::from_n_per_mm(random.random_range(40.0..150.0)),
            tyre: Rate::from_n_per_mm(random.random_range(180.0..320.0)),
            tyre_count: 2,
            self_levelling: false,
        };
        let (front, rear) = (spring(&mut random), spring(&mut random));
        let gained = [random.random_range(-200.0..400.0), random.random_range(0.0..900.0)];
        let input = SagInput {
            wheels: van.wheels,
            front,
            rear,
            front_change: Mass::from_kg(gained[0]),
            rear_change: Mass::from_kg(gained[1]),
        };
        let Ok(found) = sag(&input) else { continue };
        // Two springs one on the other give way by the sum.
        let slow = |spring: AxleSpring, kg: f64| {
            let newtons = kg * G;
            newtons / spring.suspension.n_per_mm() + newtons / (2.0 * spring.tyre.n_per_mm())
        };
        let sunk = [slow(front, gained[0]), slow(rear, gained[1])];
        assert!((found.front.mm() - sunk[0]).abs() < 1e-9 && (found.rear.mm() - sunk[1]).abs() < 1e-9, "seed {seed}");

        let [base, r_front, r_rear] =
            [van.wheels.wheelbase, van.wheels.front_radius, van.wheels.rear_radius].map(Length::mm);
        // Height of the rear hub over the front one, the body turned by an angle, tail down.
        let over = |angle: f64| -base * angle.sin() + (r_rear - r_front) * angle.cos();
        let wanted = (r_rear - sunk[1]) - (r_front - sunk[0]);
        let (mut low, mut high) = (-0.5, 0.5);
        for _ in 0..80 {
            let middle = f64::midpoint(low, high);
            if over(middle) > wanted { low = middle } else { high = middle }
        }
        let (sin, cos) = f64::midpoint(low, high).sin_cos();
        let pose = Pose::rigid_body(&found);
        for &(s, z) in van.ahead.iter().chain(&van.between).chain(&van.behind) {
            let up = z - r_front;
            let slow = (s * cos + up * sin, r_front - sunk[0] - s * sin + up * cos);
            let fast = pose.place(Point::from_mm(s, z));
            let off = (fast.station.mm() - slow.0).hypot(fast.height.mm() - slow.1);
            assert!(off < 1e-6, "seed {seed}: {fast:?} {slow:?}");
        }
    }
}

/// Measures are drawn within their tape's error: none of the angles lies further off than what is told.
#[test]
fn no_draw_lies_further_off_than_the_tape_says() {
    for seed in first_seed()..first_seed() + cases(60) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (u, z, r) = (random.random_range(500.0..1900.0), random.random_range(150.0..450.0), 345.0);
        let tape = random.random_range(0.5..4.0);
        let mm = Length::from_mm;
        let told = tape_uncertainty(mm(u), mm(z), mm(r), mm(tape)).expect("in range").deg();
        let nominal = tilted(u, z, r);
        let mut furthest = 0.0_f64;
        for _ in 0..400 {
            let mut off = || random.random_range(-tape..=tape);
            let drawn = tilted(u + off(), z + off(), r + off());
            furthest = furthest.max((drawn - nominal).abs());
        }
        // The slopes themselves change over the tape's width: by less than a hundredth of the whole here.
        assert!(furthest <= told * 1.02, "seed {seed}: {furthest} {told}");
        assert!(told * 0.4 < furthest, "seed {seed}: {furthest} {told}");
    }
}
