//! The chances of a preload by two other routes: the density of the nut factor integrated step by step against a general
//! library's normal law, and torque and nut factor drawn one after the other.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

use baybook_core::{
    calc::torque::scatter::{
        LimitsInput,
        chance::{Spread, SpreadInput, spread},
        preload_limits,
    },
    units::{Force, Length, Torque},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{Continuous as _, ContinuousCDF as _, Normal};

use crate::{cases, first_seed};

/// How many steps the density of the nut factor is cut into; even, as Simpson's rule asks.
const STEPS: usize = 2_000;
/// How far out it is followed, in standard deviations: what lies beyond is below 1e-15.
const OUT: f64 = 8.0;
/// How many draws a case makes.
const DRAWS: usize = 20_000;

struct Tightening {
    nominal: f64,
    torque: Normal,
    nut_factor: Normal,
}

impl Tightening {
    fn new(nominal: f64, torque: f64, nut_factor: f64) -> Self {
        let normal = |deviation: f64| Normal::new(1.0, deviation).expect("a deviation above nothing");
        Self { nominal, torque: normal(torque), nut_factor: normal(nut_factor) }
    }

    /// The chance of a preload below `f`, by Simpson's rule over the nut factor: for each of its values the torque must
    /// stay below `k f`.
    fn below(&self, force: f64) -> f64 {
        let f = force / self.nominal;
        let deviation = 1.0 / self.nut_factor.pdf(1.0) / (2.0 * std::f64::consts::PI).sqrt();
        let (from, step) = (1.0 - OUT * deviation, 2.0 * OUT * deviation / STEPS as f64);
        let weighed = (0..=STEPS).map(|at| {
            let k = from + step * at as f64;
            let weight = if at == 0 || at == STEPS {
                1.0
            } else if at % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * self.nut_factor.pdf(k) * self.torque.cdf(k * f)
        });
        weighed.sum::<f64>() * step / 3.0
    }

    /// A preload as it may turn out.
    fn draw(&self, random: &mut ChaCha8Rng) -> f64 {
        let mut one = |normal: &Normal| normal.inverse_cdf(random.random_range(f64::EPSILON..1.0));
        let (torque, nut_factor) = (one(&self.torque), one(&self.nut_factor));
        self.nominal * torque / nut_factor
    }
}

fn case(random: &mut ChaCha8Rng) -> SpreadInput {
    let nominal = random.random_range(5.0..200.0);
    let count = random.random_range(1..4);
    SpreadInput {
        preload: Force::from_kn(nominal),
        torque_shares: (0..count).map(|_| random.random_range(0.01..0.12)).collect(),
        nut_factor_share: random.random_range(0.05..0.45),
        deviations: random.random_range(2.5..4.0),
        needed: Some(Force::from_kn(nominal * random.random_range(0.6..1.0))),
        proof: Some(Force::from_kn(nominal * random.random_range(1.0..1.8))),
    }
}

#[test]
fn chances_agree_with_an_integral_and_with_draws() {
    for seed in first_seed()..first_seed() + cases(40) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let input = case(&mut random);
        let told = spread(&input).expect("everything is in its range");
        let squares: f64 = input.torque_shares.iter().map(|share| share * share).sum();
        let (torque, nut_factor) = (squares.sqrt() / input.deviations, input.nut_factor_share / input.deviations);
        let slow = Tightening::new(input.preload.kn(), torque, nut_factor);
        let kn = |force: Option<Force>| force.expect("it was asked").kn();
        let under = slow.below(kn(input.needed));
        let over = 1.0 - slow.below(kn(input.proof));
        // Simpson's error with a 250th of a deviation a step is below 1e-10; the library's normal law holds ten digits.
        let (told_under, told_over) = (told.under_needed.expect("asked"), told.over_proof.expect("asked"));
        assert!((under - told_under).abs() < 1e-9, "seed {seed}: {under} {told_under}");
        assert!((over - told_over).abs() < 1e-9, "seed {seed}: {over} {told_over}");
        ends(seed, &input, &told, &slow);
        draws(seed, &input, &told, &slow, &mut random);
        let sum = squares + input.nut_factor_share * input.nut_factor_share;
        assert!((told.rss_share * told.rss_share - sum).abs() < 1e-12, "seed {seed}");
    }
}

/// The band holds what so many deviations hold, and lies within the worst of everything.
fn ends(seed: u64, input: &SpreadInput, told: &Spread, slow: &Tightening) {
    let unit = Normal::new(0.0, 1.0).expect("the standard law");
    let tail = unit.cdf(-input.deviations);
    assert!((slow.below(told.low.kn()) - tail).abs() < 1e-9, "seed {seed}: the band's lower end");
    assert!((1.0 - slow.below(told.high.kn()) - tail).abs() < 1e-9, "seed {seed}: the band's upper end");
    // Every corner of the shares, by trying them all.
    let all = input.torque_shares.len() + 1;
    let (mut least, mut greatest) = (f64::INFINITY, 0.0_f64);
    for corner in 0..1_u32 << all {
        let sign = |at: usize| if corner >> at & 1 == 1 { 1.0 } else { -1.0 };
        let torque: f64 = 1.0 + input.torque_shares.iter().enumerate().map(|(at, share)| sign(at) * share).sum::<f64>();
        let preload = input.preload.kn() * torque / (1.0 + sign(all - 1) * input.nut_factor_share);
        (least, greatest) = (least.min(preload), greatest.max(preload));
    }
    assert!((told.least.kn() / least - 1.0).abs() < 1e-12, "seed {seed}: {least} {:?}", told.least);
    assert!((told.greatest.kn() / greatest - 1.0).abs() < 1e-12, "seed {seed}: {greatest} {:?}", told.greatest);
}

/// Draws agree within five standard errors of the count: one case in a million may stray further.
fn draws(seed: u64, input: &SpreadInput, told: &Spread, slow: &Tightening, random: &mut ChaCha8Rng) {
    let (mut under, mut over) = (0_usize, 0_usize);
    let [needed, proof] = [input.needed, input.proof].map(|force| force.map_or(0.0, Force::kn));
    for _ in 0..DRAWS {
        let preload = slow.draw(random);
        under += usize::from(preload < needed);
        over += usize::from(proof < preload);
    }
    for (count, chance) in [(under, told.under_needed), (over, told.over_proof)] {
        let (drawn, chance) = (count as f64 / DRAWS as f64, chance.unwrap_or(f64::NAN));
        let error = (chance * (1.0 - chance) / DRAWS as f64).sqrt();
        assert!((drawn - chance).abs() < 5.0 * error + 5.0 / DRAWS as f64, "seed {seed}: drawn {drawn}, told {chance}");
    }
}

/// Limits by trying torque, variation and relaxation at each of their ends.
#[test]
fn limits_agree_with_every_corner_tried() {
    for seed in first_seed()..first_seed() + cases(200) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let input = LimitsInput {
            torque: Torque::from_n_m(random.random_range(5.0..500.0)),
            nut_factor: random.random_range(0.1..0.35),
            diameter: Length::from_mm(random.random_range(6.0..30.0)),
            control_min: random.random_range(0.8..1.0),
            control_max: random.random_range(1.0..1.2),
            variation: random.random_range(0.05..0.4),
            fasteners: random.random_bool(0.5).then(|| random.random_range(1..20)),
            relaxation: random.random_range(0.0..0.1),
            creep: Force::from_n(random.random_range(0.0..400.0)),
            thermal_gain: Force::from_n(random.random_range(0.0..900.0)),
            thermal_loss: Force::from_n(random.random_range(0.0..900.0)),
        };
        let told = preload_limits(&input).expect("everything is in its range");
        let variation = |up: bool| match (up, input.fasteners) {
            (true, _) => 1.0 + input.variation,
            (false, None) => 1.0 - input.variation,
            (false, Some(count)) => 1.0 - input.variation / f64::from(count).sqrt(),
        };
        let mut all = Vec::new();
        for control in [input.control_min, input.control_max] {
            for up in [false, true] {
                let newtons = input.torque.n_m() * control * 1000.0 / (input.nut_factor * input.diameter.mm());
                all.push(newtons * variation(up));
            }
        }
        let least = all.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = all.iter().copied().fold(0.0, f64::max);
        let lost = least * input.relaxation + input.creep.n() + input.thermal_loss.n();
        let ends = [
            (least, told.min),
            (greatest + input.thermal_gain.n(), told.max),
            ((least - lost).max(0.0), told.min_relaxed),
        ];
        for (slow, fast) in ends {
            assert!((fast.n() - slow).abs() <= 1e-12 * greatest, "seed {seed}: {slow} {fast:?}");
        }
    }
}
