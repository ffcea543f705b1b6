//! Torque by other routes: the work of one turn against all frictions instead of arms, preload found by halving, the worst
//! of a friction band by trying it point for point, stresses by their principal axes, and a crowfoot by moments.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::f64::consts::PI;

use baybook_core::{
    calc::{
        adapter::Adapter,
        assess_torque::{AppliedInput, Outcome, Service, assess_torque},
        condition::{Condition, Face},
        torque::{Target, TorqueInput, Window, WrenchScale, adjust_torque},
    },
    model::{
        fastener::{BoltClass, IsoClass},
        finish::Band,
        joint::TighteningMethod,
        thread::Thread,
    },
    units::{Angle, Length, Torque},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// How many points of each side of a friction band are tried.
const POINTS: usize = 9;

/// A bolt in a hole, in millimetres, newtons and megapascals.
struct Bolt {
    d: f64,
    pitch: f64,
    outer: f64,
    hole: f64,
}

impl Bolt {
    fn random(random: &mut ChaCha8Rng) -> Self {
        const SIZES: [[f64; 2]; 8] =
            [[6.0, 1.0], [8.0, 1.25], [10.0, 1.25], [10.0, 1.5], [12.0, 1.75], [16.0, 2.0], [20.0, 2.5], [24.0, 3.0]];
        let [d, pitch] = SIZES.get(random.random_range(0..SIZES.len())).copied().expect("a size");
        Self { d, pitch, hole: d * random.random_range(1.05..1.15), outer: d * random.random_range(1.35..1.9) }
    }

    fn thread(&self) -> Thread {
        Thread::metric(self.d, self.pitch).expect("a thread")
    }

    fn face(&self) -> Face {
        Face::Ring { outer: Length::from_mm(self.outer), hole: Length::from_mm(self.hole) }
    }

    /// Newton metres that one turn takes, over the angle of a turn: the bolt is stretched by a pitch, the threads slide
    /// round on their flanks, the head slides round on its ring.
    fn torque(&self, preload: f64, [in_thread, under_head]: [f64; 2]) -> f64 {
        let around = |diameter: f64| PI * diameter;
        let flank = preload / (PI / 6.0).cos();
        let d2 = self.d - 0.75 * self.pitch * 3.0_f64.sqrt() / 2.0;
        let ring = f64::midpoint(self.outer, self.hole);
        let work = preload * self.pitch + in_thread * flank * around(d2) + under_head * preload * around(ring);
        work / (2.0 * PI) / 1000.0
    }

    /// The preload that a torque makes, by halving.
    fn preload(&self, torque: f64, friction: [f64; 2]) -> f64 {
        let (mut low, mut high) = (0.0, 1e8);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if self.torque(middle, friction) < torque { low = middle } else { high = middle }
        }
        low
    }

    /// Stress over yield from both principal stresses; the twist is borne by a shank that is plastic throughout.
    fn yield_share(&self, torque: f64, friction: [f64; 2], yields: f64) -> f64 {
        let preload = self.preload(torque, friction);
        let height = self.pitch * 3.0_f64.sqrt() / 2.0;
        let d0 = f64::midpoint(self.d - 0.75 * height, self.d - 17.0 / 12.0 * height);
        let pull = preload / (PI / 4.0 * d0 * d0);
        let twist = self.torque(preload, [friction[0], 0.0]) * 1000.0 / (PI / 12.0 * d0.powi(3));
        let half = pull / 2.0;
        let radius = half.hypot(twist);
        let [one, other] = [half + radius, half - radius];
        (one * one - one * other + other * other).sqrt() / yields
    }
}

fn band(random: &mut ChaCha8Rng) -> Band {
    let low = random.random_range(0.06..0.14);
    let nominal = low * random.random_range(1.0..1.4);
    Band { low, nominal, high: nominal * random.random_range(1.0..1.4) }
}

/// Every pair of frictions of two bands, corners among them.
fn pairs(thread: Band, face: Band) -> Vec<[f64; 2]> {
    let points =
        |band: Band| (0..POINTS).map(move |at| band.low + (band.high - band.low) * at as f64 / (POINTS - 1) as f64);
    points(thread).flat_map(|one| points(face).map(move |other| [one, other])).collect()
}

fn alike(seed: u64, what: &str, fast: f64, slow: f64) {
    assert!((fast - slow).abs() <= 1e-9 * slow.abs(), "seed {seed}: {what} {fast} against {slow}");
}

#[test]
fn a_converted_torque_leaves_the_preload_as_it_was() {
    for seed in first_seed()..first_seed() + cases(150) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let bolt = Bolt::random(&mut random);
        let [meant, real] = [[band(&mut random), band(&mut random)], [band(&mut random), band(&mut random)]];
        let condition = |[thread, face]: [Band; 2]| Condition::Friction { thread, face };
        let (printed, window, off) =
            (random.random_range(5.0..300.0), random.random_range(0.0..0.2), random.random_range(0.01..0.06));
        // A locking nut takes its part of every turn and clamps nothing with it; a printed torque may hold that part.
        let locks = random.random_bool(0.5).then(|| printed * random.random_range(0.0..0.3));
        let contained = locks.map(|_| random.random_bool(0.5));
        let input = TorqueInput {
            thread: bolt.thread(),
            class: BoltClass::Iso(IsoClass::C10_9),
            face: bolt.face(),
            washer: None,
            mate: None,
            hot_dip_galvanised: Some(false),
            target: Target::Specified {
                torque: Torque::from_n_m(printed),
                condition: condition(meant),
                includes_prevailing: contained,
            },
            actual: condition(real),
            prevailing: locks.map(Torque::from_n_m),
            method: TighteningMethod::Torque,
            adapter: None,
            wrench: Some(WrenchScale { min: None, max: None, accuracy_share: Some(off) }),
            window: Some(Window::Share(window)),
            passes: None,
        };
        let fast = adjust_torque(&input).expect("a torque");
        let likely = |[thread, face]: [Band; 2]| [thread.nominal, face.nominal];
        let drag = locks.unwrap_or(0.0);
        let clamps = if contained == Some(true) { printed - drag } else { printed };
        let preload = bolt.preload(clamps, likely(meant));
        let slow = bolt.torque(preload, likely(real)) + drag;
        alike(seed, "torque", fast.fastener.nominal.n_m(), slow);
        alike(seed, "preload", fast.preload.nominal.force.n(), preload);
        let [least, most] =
            [(1.0 - window) * (1.0 - off), (1.0 + window) * (1.0 + off)].map(|share| slow * share - drag);
        let all = pairs(real[0], real[1]);
        let worst = all.iter().map(|pair| bolt.preload(least, *pair)).fold(f64::INFINITY, f64::min);
        let best = all.iter().map(|pair| bolt.preload(most, *pair)).fold(0.0, f64::max);
        alike(seed, "least preload", fast.extremes.min.force.n(), worst);
        alike(seed, "greatest preload", fast.extremes.max.force.n(), best);
    }
}

#[test]
fn what_a_torque_did_is_the_worst_of_every_friction_tried() {
    for seed in first_seed()..first_seed() + cases(150) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let bolt = Bolt::random(&mut random);
        // ISO 898-1, table 3 (opened): least yield, tensile strength and proof stress of both classes; 8.8 up to 16 mm.
        let (class, [yields, breaks, proof]) = match random.random_bool(0.5) && bolt.d <= 16.0 {
            true => (IsoClass::C8_8, [640.0, 800.0, 580.0]),
            false => (IsoClass::C10_9, [940.0, 1040.0, 830.0]),
        };
        let (thread, face) = (band(&mut random), band(&mut random));
        let applied =
            bolt.torque(bolt.thread().stress_area().mm2() * yields, [0.1, 0.1]) * random.random_range(0.3..1.4);
        let off = random.random_range(0.0..0.06);
        let service = if random.random_bool(0.5) { Service::Reusable } else { Service::Permanent };
        let fast = assess_torque(&AppliedInput {
            thread: bolt.thread(),
            class: BoltClass::Iso(class),
            face: bolt.face(),
            washer: None,
            mate: None,
            hot_dip_galvanised: Some(false),
            reading: Torque::from_n_m(applied),
            adapter: None,
            accuracy_share: Some(off),
            actual: Condition::Friction { thread, face },
            prevailing: None,
            service,
        })
        .expect("an outcome");
        let greatest = applied * (1.0 + off);
        let area = bolt.thread().stress_area().mm2();
        let target = if service == Service::Reusable { 0.75 } else { 0.9 } * proof * area;
        let (mut worst, mut share, mut near) = (Outcome::Ok, 0.0_f64, false);
        for pair in pairs(thread, face) {
            let preload = bolt.preload(greatest, pair);
            let here = bolt.yield_share(greatest, pair, yields);
            share = share.max(here);
            let limits = [preload / (breaks * area), here, preload / (proof * area), preload / target];
            near |= limits.iter().any(|limit| (limit - 1.0).abs() < 1e-9);
            worst = worst.max(match limits {
                [broken, ..] if 1.0 <= broken => Outcome::FractureRisk,
                [_, yielded, ..] if 1.0 <= yielded => Outcome::Yielded,
                [_, _, over, _] if 1.0 < over => Outcome::ProofExceeded,
                [.., high] if 1.0 < high => Outcome::High,
                _ => Outcome::Ok,
            });
        }
        alike(seed, "share of yield", fast.worst_yield_share, share);
        assert!(near || fast.outcome == worst, "seed {seed}: {:?} against {worst:?}", fast.outcome);
    }
}

/// A hand on the grip, a drive, a fastener beside it: moments about the drive are what the wrench shows, moments about the
/// fastener what it gets.
#[test]
fn a_crowfoot_is_moments_about_two_points() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (lever, extension) = (random.random_range(150.0..1200.0), random.random_range(0.0..120.0));
        let angle = random.random_range(0.0..180.0_f64);
        let (sin, cos) = angle.to_radians().sin_cos();
        let (drive, fastener) = ([lever, 0.0], [lever + extension * cos, extension * sin]);
        let push = [0.0, random.random_range(50.0..900.0)];
        let about = |[x, y]: [f64; 2]| (x * push[1] - y * push[0]) / 1000.0;
        let adapter = Adapter {
            lever: Length::from_mm(lever),
            extension: Length::from_mm(extension),
            angle: Angle::from_deg(angle),
        };
        let set = adapter.setting_for(Torque::from_n_m(about(fastener))).expect("enough lever is left");
        alike(seed, "setting", set.n_m(), about(drive));
    }
}
