//! A circuit as a network of resistors: every node's potential by elimination, one lump of wire after the other; a load
//! that is given as a current is driven into the network. The fuse is tried step by step against the printed table.

#![expect(clippy::indexing_slicing, reason = "the indices are those of the loops around them")]

use baybook_core::{
    calc::wiring::{Sizing, Tap, ladder, size, size::limit},
    model::wiring::{Circuit, ReturnPath, Wire},
    units::{Amps, Length, Ohms, Volts},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// How many lumps each wire is cut into.
const LUMPS: usize = 12;

/// Solves a linear system by elimination with the largest pivot.
fn solve(mut rows: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let n = right.len();
    for at in 0..n {
        let pivot = (at..n).fold(at, |best, row| if rows[row][at].abs() > rows[best][at].abs() { row } else { best });
        rows.swap(at, pivot);
        right.swap(at, pivot);
        for below in at + 1..n {
            let factor = rows[below][at] / rows[at][at];
            let above = rows[at].clone();
            for (cell, over) in rows[below].iter_mut().zip(&above).skip(at) {
                *cell -= factor * over;
            }
            right[below] -= factor * right[at];
        }
    }
    for at in (0..n).rev() {
        let known: f64 = (at + 1..n).map(|column| rows[at][column] * right[column]).sum();
        right[at] = (right[at] - known) / rows[at][at];
    }
    right
}

/// A network between a supply (its last node but one) and earth (its last).
struct Network {
    free: usize,
    rows: Vec<Vec<f64>>,
    right: Vec<f64>,
    supply: f64,
}

impl Network {
    fn new(free: usize, supply: f64) -> Self {
        Self { free, rows: vec![vec![0.0; free]; free], right: vec![0.0; free], supply }
    }

    /// Joins two nodes; node `free` is the supply, `free + 1` is earth.
    fn join(&mut self, one: usize, other: usize, ohm: f64) {
        for (here, there) in [(one, other), (other, one)] {
            if here >= self.free {
                continue;
            }
            self.rows[here][here] += 1.0 / ohm;
            match there {
                there if there < self.free => self.rows[here][there] -= 1.0 / ohm,
                there if there == self.free => self.right[here] += self.supply / ohm,
                _ => {}
            }
        }
    }

    /// Draws a current from one node into another.
    fn draw(&mut self, from: usize, into: usize, a: f64) {
        if from < self.free {
            self.right[from] -= a;
        }
        if into < self.free {
            self.right[into] += a;
        }
    }
}

/// Resistance of a metre of a gauge, from the gauge's own law and copper's resistivity.
fn per_metre(gauge: i32, celsius: f64) -> f64 {
    let diameter = 0.127 * ((36.0 - f64::from(gauge)) / 39.0 * 92_f64.ln()).exp();
    let area = std::f64::consts::PI * diameter * diameter / 4.0;
    0.017_241 / area * (0.003_93 * (celsius - 20.0) + 1.0)
}

/// The voltage over a load at the end of a run, wire out and wire back; `ohm` or a current.
fn at_end(supply: f64, lump: f64, ohm: Option<f64>, a: f64) -> f64 {
    let mut network = Network::new(2 * LUMPS, supply);
    let (source, earth) = (2 * LUMPS, 2 * LUMPS + 1);
    for at in 0..LUMPS {
        network.join(if at == 0 { source } else { at - 1 }, at, lump);
        network.join(if at == 0 { earth } else { LUMPS + at - 1 }, LUMPS + at, lump);
    }
    let (out, back) = (LUMPS - 1, 2 * LUMPS - 1);
    match ohm {
        Some(ohm) => network.join(out, back, ohm),
        None => network.draw(out, back, a),
    }
    let volts = solve(network.rows, network.right);
    volts[out] - volts[back]
}

fn near(one: f64, other: f64) -> bool {
    // Elimination over two dozen nodes and conductances of up to 10⁶ to one leaves ten digits.
    (one - other).abs() <= 1e-8 * one.abs().max(1.0)
}

#[test]
fn a_run_is_the_network_of_its_resistors() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (supply, metres) = (random.random_range(10.0..28.0), random.random_range(0.5..20.0));
        let (gauge, celsius) = (2 * random.random_range(0..10), random.random_range(-20.0..120.0));
        let (load, ohm) = (random.random_range(0.1..20.0), random.random_range(0.5..200.0));
        let circuit = Circuit {
            load: Some(Amps::from_a(load)),
            load_resistance: Some(Ohms::from_ohm(ohm)),
            supply: Some(Volts::from_v(supply)),
            length: Some(Length::from_m(metres)),
            wire: Some(Wire::Awg(gauge)),
            celsius: Some(celsius),
            back: Some(ReturnPath::Wire),
            safety_relevant: Some(random.random_bool(0.5)),
            ..Circuit::default()
        };
        let sizing = Sizing::of(&circuit).expect("nothing is missing");
        let found = size(&sizing, limit(&circuit), 0.75).expect("everything is in its range");
        let lump = per_metre(gauge, celsius) * metres / LUMPS as f64;
        let given = at_end(supply, lump, None, load);
        let solved = at_end(supply, lump, Some(ohm), 0.0);
        let (fast_given, fast_solved) = (found.given.expect("a current"), found.solved.expect("a resistance"));
        assert!(near(given, fast_given.at_load.v()), "seed {seed}: {given} against {fast_given:?}");
        assert!(near(solved, fast_solved.at_load.v()), "seed {seed}: {solved} against {fast_solved:?}");
        // Each size in its place, by the same network.
        for size in &found.sizes {
            let Wire::Awg(other) = size.wire else { continue };
            let lump = per_metre(other, celsius) * metres / LUMPS as f64;
            let least = at_end(supply, lump, None, load).min(at_end(supply, lump, Some(ohm), 0.0));
            assert!(near(least, size.drop.at_load.v()), "seed {seed}: {other} AWG, {least} against {:?}", size.drop);
        }
        // The fuse by trying every step there is: load over fill, up to what the wire takes.
        let carried = load.max(solved / ohm);
        let needed = carried / 0.75;
        let table = [(18, 7.5), (16, 10.0), (14, 15.0), (12, 20.0), (10, 30.0)];
        let most = table.iter().filter(|row| gauge <= row.0).map(|row| row.1).fold(0.0, f64::max);
        let steps = [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0];
        let mut fits: Option<f64> = None;
        for step in steps {
            if fits.is_none() && needed <= step * (1.0 + 1e-12) {
                fits = Some(step);
            }
        }
        let fits = fits.filter(|step| *step <= most);
        assert_eq!(found.wire.fuse.map(Amps::a), fits, "seed {seed}: {carried} A on {gauge} AWG");
    }
}

#[test]
fn loads_along_a_run_are_the_network_of_their_resistors() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (supply, gauge, celsius) =
            (random.random_range(10.0..28.0), 2 * random.random_range(1..10), random.random_range(-20.0..120.0));
        let n = random.random_range(1..9_usize);
        let mut at = 0.0;
        let taps: Vec<Tap> = (0..n)
            .map(|_| {
                at += random.random_range(0.1..4.0);
                Tap { at: Length::from_m(at), load: Ohms::from_ohm(random.random_range(1.0..200.0)) }
            })
            .collect();
        let fast = ladder(Volts::from_v(supply), Wire::Awg(gauge), celsius, &taps).expect("in range");
        let mut network = Network::new(2 * n, supply);
        let mut before = 0.0;
        for (index, tap) in taps.iter().enumerate() {
            let stretch = per_metre(gauge, celsius) * (tap.at.m() - before);
            before = tap.at.m();
            network.join(if index == 0 { 2 * n } else { index - 1 }, index, stretch);
            network.join(if index == 0 { 2 * n + 1 } else { n + index - 1 }, n + index, stretch);
            network.join(index, n + index, tap.load.ohm());
        }
        let volts = solve(network.rows, network.right);
        let mut total = 0.0;
        for (index, tap) in taps.iter().enumerate() {
            let across = volts[index] - volts[n + index];
            total += across / tap.load.ohm();
            assert!(near(across, fast.volts[index].v()), "seed {seed}: load {index}, {across}");
        }
        assert!(near(total, fast.total.a()), "seed {seed}: {total} A against {:?}", fast.total);
    }
}
