//! Laws, and a linear system of all nodes as a second opinion on the solved loop.

use proptest::prelude::*;

use super::{
    drop::{current_for_drop, drop_with_load, length_for_drop},
    fuse::check_fuse,
    *,
};
use crate::{
    tables::fuses::STEPS,
    units::{Amps, Length, Ohms, Volts},
};

/// Solves a linear system by elimination with the largest pivot.
fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let n = right.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|&a, &b| matrix[a][column].abs().total_cmp(&matrix[b][column].abs())).unwrap();
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        for row in column + 1..n {
            let factor = matrix[row][column] / matrix[column][column];
            let above = matrix[column].clone();
            for (cell, over) in matrix[row].iter_mut().zip(&above).skip(column) {
                *cell -= factor * over;
            }
            right[row] -= factor * right[column];
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|at| matrix[row][at] * right[at]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    right
}

/// The voltages at the loads, from the potentials of every node of both wires.
fn by_nodes(supply: f64, per_metre: f64, taps: &[Tap]) -> Vec<f64> {
    let n = taps.len();
    // Nodes 0..n on the wire out, n..2n on the wire back; the supply stands at fixed potentials.
    let mut matrix = vec![vec![0.0; 2 * n]; 2 * n];
    let mut right = vec![0.0; 2 * n];
    let mut before = 0.0;
    for (index, tap) in taps.iter().enumerate() {
        let conductance = 1.0 / ((tap.at.m() - before) * per_metre);
        before = tap.at.m();
        for (side, potential) in [(0, supply), (n, 0.0)] {
            let here = side + index;
            matrix[here][here] += conductance;
            if index == 0 {
                right[here] += conductance * potential;
            } else {
                matrix[here - 1][here - 1] += conductance;
                matrix[here][here - 1] -= conductance;
                matrix[here - 1][here] -= conductance;
            }
        }
        let load = 1.0 / tap.load.ohm();
        matrix[index][index] += load;
        matrix[n + index][n + index] += load;
        matrix[index][n + index] -= load;
        matrix[n + index][index] -= load;
    }
    let potentials = solve(matrix, right);
    (0..n).map(|index| potentials[index] - potentials[n + index]).collect()
}

fn taps() -> impl Strategy<Value = Vec<Tap>> {
    prop::collection::vec((0.1..4.0_f64, 0.3..60.0_f64), 1..9).prop_map(|list| {
        let mut at = 0.0;
        list.into_iter()
            .map(|(step, ohm)| {
                at += step;
                Tap { at: Length::from_m(at), load: Ohms::from_ohm(ohm) }
            })
            .collect()
    })
}

fn gauges() -> impl Strategy<Value = Wire> {
    (2..=10_i32).prop_map(|half| Wire::Awg(2 * half))
}

fn run(wire: Wire, metres: f64, celsius: f64, back: Return) -> Run {
    Run { wire, length: Length::from_m(metres), celsius, back }
}

proptest! {
    #[test]
    fn the_ladder_is_the_linear_system(list in taps(), wire in gauges(), celsius in -20.0..90.0_f64) {
        let solved = ladder(Volts::from_v(12.6), wire, celsius, &list).unwrap();
        let nodes = by_nodes(12.6, wire.resistance_per_metre(celsius).unwrap().ohm(), &list);
        for (ours, theirs) in solved.volts.iter().zip(&nodes) {
            prop_assert!((ours.v() - theirs).abs() < 1e-9, "{solved:?} {nodes:?}");
        }
        let sum: f64 = solved.amps.iter().map(|amps| amps.a()).sum();
        prop_assert!((sum - solved.total.a()).abs() < 1e-9, "what goes out comes back");
        prop_assert!(solved.volts.is_sorted_by(|near, far| near >= far), "no load beyond another gets more");
    }

    /// The loop, solved by going round it until it stands still.
    #[test]
    fn a_solved_load_is_where_going_round_ends(ohm in 0.4..50.0_f64, metres in 0.5..20.0, wire in gauges(), joints in 0..4_i32) {
        let run = run(wire, metres, 40.0, Return::Body { joints });
        let solved = drop_with_load(&run, Ohms::from_ohm(ohm), Volts::from_v(12.6)).unwrap();
        let (mut low, mut high) = (0.0, 12.6 / ohm);
        for _ in 0..200 {
            let current = f64::midpoint(low, high);
            let lost = drop(&run, Amps::from_a(current.max(0.001)), Volts::from_v(12.6)).unwrap().lost.v();
            if 12.6 - lost > current * ohm { low = current } else { high = current }
        }
        prop_assert!((solved.current.a() - low).abs() < 1e-9, "{solved:?} {low}");
        prop_assert!(solved.current.a() <= 12.6 / ohm, "a wire never adds current");
    }

    #[test]
    fn a_drop_solves_for_each_unknown(a in 0.1..60.0_f64, metres in 0.1..30.0, celsius in -40.0..120.0, wire in gauges(), joints in 0..5_i32) {
        for back in [Return::Wire(wire), Return::Body { joints }] {
            let run = run(wire, metres, celsius, back);
            let lost = drop(&run, Amps::from_a(a), Volts::from_v(13.5)).unwrap().lost;
            prop_assume!(lost.v() > 0.001 && lost.v() < 60.0);
            prop_assert!((current_for_drop(&run, lost).unwrap().a() / a - 1.0).abs() < 1e-6);
            prop_assert!((length_for_drop(&run, Amps::from_a(a), lost).unwrap().m() / metres - 1.0).abs() < 1e-6);
        }
        let area = wire.area().unwrap();
        let lost = drop(&run(wire, metres, celsius, Return::Wire(wire)), Amps::from_a(a), Volts::from_v(13.5)).unwrap().lost;
        prop_assume!(lost.v() > 0.001 && lost.v() < 60.0);
        let back = drop::area_for_drop(Amps::from_a(a), Length::from_m(metres), celsius, lost).unwrap();
        prop_assert!((back / area - 1.0).abs() < 1e-9);
    }

    #[test]
    fn longer_hotter_thinner_or_more_current_loses_more(a in 0.1..30.0_f64, metres in 0.1..20.0, celsius in -40.0..100.0, half in 2..=9_i32, more in 0.01..20.0) {
        let wire = Wire::Awg(2 * half);
        let lost = |wire, a: f64, metres, celsius| {
            drop(&run(wire, metres, celsius, Return::Wire(wire)), Amps::from_a(a), Volts::from_v(13.5)).unwrap().lost
        };
        let base = lost(wire, a, metres, celsius);
        prop_assert!(lost(wire, a + more, metres, celsius) > base);
        prop_assert!(lost(wire, a, metres + more, celsius) > base);
        prop_assert!(lost(wire, a, metres, celsius + more) > base);
        prop_assert!(lost(Wire::Awg(2 * half + 2), a, metres, celsius) > base);
    }

    #[test]
    fn the_smallest_wire_keeps_the_drop_and_the_next_thinner_does_not(a in 0.5..25.0_f64, metres in 0.5..12.0, volts in 0.1..1.5_f64) {
        let (current, length, lost) = (Amps::from_a(a), Length::from_m(metres), Volts::from_v(volts));
        let found = smallest(current, length, 60.0, lost).unwrap();
        let keeps = |wire| {
            drop(&run(wire, metres, 60.0, Return::Wire(wire)), current, Volts::from_v(13.5)).unwrap().lost.v() <= volts + 1e-12
        };
        if let Some(gauge) = found.awg {
            prop_assert!(keeps(Wire::Awg(gauge)));
            prop_assert!(gauge == 20 || !keeps(Wire::Awg(gauge + 2)));
        }
        if let Some(area) = found.metric {
            prop_assert!(keeps(Wire::Metric(area)));
        }
    }

    /// Every step tried one by one comes to the same.
    #[test]
    fn a_fuse_is_the_least_that_serves(a in 0.1..45.0_f64, fill in 0.5..0.8_f64, gauge in 5..=9_i32) {
        let input = FuseInput { load: Amps::from_a(a), fill, wire: Wire::Awg(2 * gauge) };
        let good = STEPS.iter().find(|step| check_fuse(&input, step.rating).unwrap().good());
        match choose_fuse(&input).unwrap() {
            FuseChoice::Fits(fuse) => prop_assert_eq!(Some(&fuse), good),
            FuseChoice::WireTooThin { needed, wire_max, thicker } => {
                prop_assert!(good.is_none() && needed.rating > wire_max);
                if let Some(wire) = thicker {
                    let fits = matches!(choose_fuse(&FuseInput { wire, ..input }), Ok(FuseChoice::Fits(_)));
                    prop_assert!(fits);
                }
            }
            FuseChoice::BeyondSteps { needed } => prop_assert!(good.is_none() && needed.a() > 40.0),
        }
    }

    #[test]
    fn ranges_are_held(celsius in prop_oneof![Just(f64::NAN), -500.0..-41.0_f64, 151.0..900.0_f64]) {
        prop_assert_eq!(Wire::Awg(12).resistance_per_metre(celsius).unwrap_err().field(), CELSIUS.field);
    }
}
