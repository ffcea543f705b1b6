//! Joints by other routes: groups as least energy under equilibrium, tilting and cones by strips and slices, load share by
//! a chain of springs, preload at yield by halving, prying by trying every prying force.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::f64::consts::PI;

use baybook_core::{
    calc::{
        condition::{Condition, Face},
        joint::{group, hitch, load_share, prying::Stub, stiffness, tilting},
        torque::{Target, TorqueInput, adjust_torque},
    },
    model::{
        fastener::{BoltClass, IsoClass},
        finish::Band,
        joint::TighteningMethod,
        thread::Thread,
    },
    units::{Area, Force, Length, Stress},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// Runs a comparison on seeded random input; what differs names its seed.
fn each(few: u64, mut compare: impl FnMut(&mut ChaCha8Rng, u64)) {
    for seed in first_seed()..first_seed() + cases(few) {
        compare(&mut ChaCha8Rng::seed_from_u64(seed), seed);
    }
}

/// Fails when two figures differ by more than a share of the larger, plus a little that is nothing.
#[track_caller]
fn alike(seed: u64, what: &str, fast: f64, slow: f64, share: f64, nothing: f64) {
    let room = share * fast.abs().max(slow.abs()) + nothing;
    assert!((fast - slow).abs() <= room, "seed {seed}: {what} {fast} against {slow}");
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

/// Solves `a x = b` by elimination with the largest pivot.
fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()));
        let pivot = pivot.expect("there is a row left");
        a.swap(column, pivot);
        b.swap(column, pivot);
        for row in column + 1..n {
            let factor = a[row][column] / a[column][column];
            let above = a[column].clone();
            for (cell, above) in a[row].iter_mut().zip(above) {
                *cell -= factor * above;
            }
            b[row] -= factor * b[column];
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|k| a[row][k] * b[k]).sum();
        b[row] = (b[row] - known) / a[row][row];
    }
    b
}

/// Returns the forces on springs that balance a load with the least strain energy: their forces and the multipliers of
/// equilibrium as one linear system. `kept` are the equations: forces along x, y, z, then moments about them.
fn least_energy(spots: &[([f64; 3], f64)], force: [f64; 3], at: [f64; 3], kept: &[usize]) -> Vec<[f64; 3]> {
    let rows = |[x, y, z]: [f64; 3]| {
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]]
    };
    let n = spots.len() * 3;
    let size = n + kept.len();
    let mut a = vec![vec![0.0; size]; size];
    let mut b = vec![0.0; size];
    for (bolt, (spot, stiffness)) in spots.iter().enumerate() {
        let balance = rows(*spot);
        for at in bolt * 3..bolt * 3 + 3 {
            a[at][at] = 1.0 / stiffness;
            for (row, &which) in kept.iter().enumerate() {
                let arm = balance[which][at % 3];
                a[at][n + row] = arm;
                a[n + row][at] = arm;
            }
        }
    }
    let load = rows(at);
    for (row, &which) in kept.iter().enumerate() {
        b[n + row] = (0..3).map(|axis| load[which][axis] * force[axis]).sum();
    }
    let solved = solve(a, b);
    solved[..n].chunks(3).map(|force| [force[0], force[1], force[2]]).collect()
}

#[test]
fn a_group_in_its_plane_is_the_least_energy() {
    each(300, |random, seed| {
        let count = random.random_range(2..9);
        let mut at = |far: f64| [random.random_range(-far..far), random.random_range(-far..far)];
        let spots: Vec<[f64; 2]> = (0..count).map(|_| at(200.0)).collect();
        let (place, force) = (at(800.0), at(5e4));
        let areas: Vec<f64> = (0..count).map(|_| random.random_range(20.0..400.0)).collect();
        let bolts: Vec<group::Bolt> = spots
            .iter()
            .zip(&areas)
            .map(|(spot, area)| group::Bolt { at: spot.map(mm), area: Area::from_mm2(*area) })
            .collect();
        let load = group::Load { force: force.map(Force::from_n), at: place.map(mm) };
        let Ok(fast) = group::share(&bolts, &load) else { return };
        // Bolts nearly in one spot turn rounding into force.
        if fast.polar_mm4 < 100.0 * areas.iter().sum::<f64>() {
            return;
        }
        let stiff: Vec<_> = spots.iter().zip(&areas).map(|([x, y], area)| ([*x, *y, 0.0], *area)).collect();
        let slow = least_energy(&stiff, [force[0], force[1], 0.0], [place[0], place[1], 0.0], &[0, 1, 5]);
        for (fast, slow) in fast.bolts.iter().zip(slow) {
            alike(seed, "x", fast[0].n(), slow[0], 1e-7, 1e-3);
            alike(seed, "y", fast[1].n(), slow[1], 1e-7, 1e-3);
        }
    });
}

#[test]
fn a_bracket_of_springs_is_the_least_energy() {
    each(200, |random, seed| {
        let mut place = |far: f64| -> [f64; 3] { std::array::from_fn(|_| random.random_range(-far..far)) };
        let mut spots: Vec<[f64; 3]> = (0..4).map(|_| place(300.0)).collect();
        let (ball, force) = (place(600.0), place(2e4));
        // Four corners far apart keep the system far from singular.
        for (spot, [x, y, z]) in
            spots.iter_mut().zip([[1.0, 1.0, 1.0], [-1.0, 1.0, 0.0], [1.0, -1.0, 0.0], [-1.0, -1.0, 1.0]])
        {
            *spot = [spot[0] + 400.0 * x, spot[1] + 400.0 * y, spot[2] + 400.0 * z];
        }
        let taken: f64 = random.random_range(0.2..1.0);
        let along = random.random_range(0..3);
        let axis = [hitch::Axis::Lengthwise, hitch::Axis::Crosswise, hitch::Axis::Upright][along];
        let bracket = hitch::Bracket {
            positions: spots.iter().map(|spot| spot.map(mm)).collect(),
            axis,
            side: hitch::Side::Positive,
            load_at: ball.map(mm),
            share: taken,
            method: hitch::Method::Springs,
            area: Area::from_mm2(84.3),
        };
        let fast = hitch::bolt_loads(&bracket, force.map(Force::from_n)).expect("a bracket in space");
        let stiff: Vec<_> = spots.iter().map(|spot| (*spot, 1.0)).collect();
        let slow = least_energy(&stiff, force.map(|force| force * taken), ball, &[0, 1, 2, 3, 4, 5]);
        for (fast, slow) in fast.iter().zip(slow) {
            // A bracket on the rear, right or top side is pulled off that way.
            let across = slow.iter().enumerate().filter(|(axis, _)| *axis != along).map(|(_, force)| force * force);
            alike(seed, "tension", fast.tension.n(), slow[along].max(0.0), 1e-7, 1e-3);
            alike(seed, "shear", fast.shear.n(), across.sum::<f64>().sqrt(), 1e-7, 1e-3);
        }
    });
}

/// Into how many strips a plate, into how many slices a cone is cut.
const CUTS: u32 = 4000;

/// Sums a function over the middles of equal slices of a span.
fn slices(span: f64, of: impl Fn(f64) -> f64) -> f64 {
    let step = span / f64::from(CUTS);
    (0..CUTS).map(|cut| of((f64::from(cut) + 0.5) * step) * step).sum()
}

#[test]
fn a_tilting_plate_balances_strip_by_strip() {
    each(100, |random, seed| {
        let count = random.random_range(1..7);
        let rows: Vec<(f64, f64)> =
            (0..count).map(|_| (random.random_range(5.0..400.0), random.random_range(30.0..400.0))).collect();
        let (width, moment) = (random.random_range(20.0..300.0), random.random_range(10.0..20_000.0));
        let bolts: Vec<tilting::Row> =
            rows.iter().map(|(y, area)| tilting::Row { from_edge: mm(*y), area: Area::from_mm2(*area) }).collect();
        let fast = tilting::about_axis(&bolts, mm(width), moment).expect("the bolts have a lever");
        // By how much the bolts beyond an axis pull more than the strips before it press, per unit of turning.
        let pull = |axis: f64| rows.iter().map(|(y, area)| area * (y - axis).max(0.0)).sum::<f64>();
        let surplus = |axis: f64| pull(axis) - slices(axis, |y| width * (axis - y));
        let (mut low, mut high) = (0.0, rows.iter().map(|(y, _)| *y).fold(0.0, f64::max));
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if 0.0 < surplus(middle) { low = middle } else { high = middle }
        }
        // Moments about the edge, not about the axis: bolts lift, strips push back with their own lever.
        let lifts: f64 = rows.iter().map(|(y, area)| area * (y - low).max(0.0) * y).sum();
        let turning = moment * 1000.0 / (lifts - slices(low, |y| width * (low - y) * y));
        // The middles of slices are exact for straight lines; parabolas miss by a twelfth of a slice squared, 1e-8 here.
        alike(seed, "axis", fast.axis.mm(), low, 1e-7, 1e-6);
        alike(seed, "pressure", fast.edge_pressure.mpa(), turning * low, 1e-6, 1e-6);
        for (fast, (y, area)) in fast.bolts.iter().zip(&rows) {
            alike(seed, "bolt", fast.n(), turning * area * (y - low).max(0.0), 1e-6, 1e-2);
        }
    });
}

/// Returns the resilience of a cone that opens from `wide` by `tan` to either side over a depth, mm/N.
fn cone(wide: f64, hole: f64, tan: f64, depth: f64, modulus: f64) -> f64 {
    slices(depth, |z| {
        let outer = wide + 2.0 * z * tan;
        4.0 / (PI * (outer * outer - hole * hole) * modulus)
    })
}

/// A slice's own curvature is all that the sum misses: for cones no flatter than these well under 1e-5.
const SLICED: f64 = 1e-5;

#[test]
fn cones_are_summed_slice_by_slice() {
    each(100, |random, seed| {
        let d = random.random_range(6.0..24.0);
        let layers: Vec<stiffness::Layer> = (0..random.random_range(1..5))
            .map(|_| stiffness::Layer {
                thickness: mm(random.random_range(1.0..20.0)),
                modulus: Stress::from_mpa(if random.random_bool(0.5) { 205_000.0 } else { 70_000.0 }),
            })
            .collect();
        let fast = stiffness::frustum(mm(d), &layers).expect("a stack");
        let grip: f64 = layers.iter().map(|layer| layer.thickness.mm()).sum();
        let tan = 30.0_f64.to_radians().tan();
        // From the top, whatever the layer: the cone is as wide as the nearer end makes it.
        let mut top = 0.0;
        let mut slow = 0.0;
        for layer in &layers {
            let from = top;
            slow += slices(layer.thickness.mm(), |z| {
                let at = from + z;
                let outer = 1.5 * d + 2.0 * at.min(grip - at) * tan;
                4.0 / (PI * (outer * outer - d * d) * layer.modulus.mpa())
            });
            top += layer.thickness.mm();
        }
        alike(seed, "frusta", fast.n_per_mm(), 1.0 / slow, SLICED, 0.0);

        let (hole, bearing) = (1.1 * d, random.random_range(1.4..2.2) * d);
        let (grip, tapped) = (random.random_range(0.8..4.0) * d, random.random_bool(0.5));
        let outer = bearing * 3.0 + 4.0 * grip;
        let fast = stiffness::cone(&stiffness::Cone {
            bearing: mm(bearing),
            hole: mm(hole),
            grip: mm(grip),
            outer: mm(outer),
            modulus: Stress::from_mpa(205_000.0),
            tapped,
        });
        let tan = 0.362 + 0.032 * (grip / (2.0 * bearing)).ln() + 0.153 * (outer / bearing).ln();
        let slow = if tapped {
            cone(bearing, hole, tan, grip, 205_000.0)
        } else {
            2.0 * cone(bearing, hole, tan, grip / 2.0, 205_000.0)
        };
        alike(seed, "cone", fast.expect("wide parts"), slow, SLICED, 0.0);
    });
}

/// Returns the forces in the springs between consecutive places under loads on the places; the first place is held. Each
/// spring is two places, its stiffness, and by how much it is too short.
fn chain(places: usize, springs: &[(usize, usize, f64, f64)], loads: &[(usize, f64)]) -> Vec<f64> {
    let mut a = vec![vec![0.0; places]; places];
    let mut b = vec![0.0; places];
    for &(at, force) in loads {
        b[at] += force;
    }
    for &(from, to, k, short) in springs {
        for (row, column, sign) in [(from, from, 1.0), (to, to, 1.0), (from, to, -1.0), (to, from, -1.0)] {
            a[row][column] += sign * k;
        }
        // A spring that is too short pulls its ends together until it is stretched.
        b[from] += k * short;
        b[to] -= k * short;
    }
    a[0] = vec![0.0; places];
    a[0][0] = 1.0;
    b[0] = 0.0;
    let moved = solve(a, b);
    springs.iter().map(|&(from, to, k, short)| k * (moved[to] - moved[from] + short)).collect()
}

#[test]
fn load_share_is_a_chain_of_springs() {
    each(200, |random, seed| {
        let d = [8.0, 10.0, 12.0, 16.0, 20.0][random.random_range(0..5)];
        let pitch = [1.25, 1.5, 1.75, 2.0, 2.5]
            [[8.0, 10.0, 12.0, 16.0, 20.0].iter().position(|of| *of == d).expect("it is one")];
        let thread = Thread::metric(d, pitch).expect("a thread");
        let grip = random.random_range(1.0..4.0) * d;
        let threaded = grip * random.random_range(0.0..1.0);
        let modulus = Stress::from_mpa(205_000.0);
        let shank = stiffness::Shank { thread, grip: mm(grip), threaded: mm(threaded), modulus };
        let layer = stiffness::Layer { thickness: mm(grip), modulus };
        let (bolt, parts) =
            (stiffness::bolt(&shank).expect("a bolt"), stiffness::frustum(mm(d), &[layer]).expect("parts"));
        let share = load_share::of_rates(bolt, parts).expect("a share");
        let preload = random.random_range(5e3..1e5);
        let external = random.random_range(0.0..1.5) * preload;
        let fast = load_share::load(Force::from_n(preload), Force::from_n(external), share).expect("a load");

        // The bolt as twenty pieces of shank and twenty of thread, the parts as forty slices of their cones.
        const PIECES: usize = 20;
        let body = PI / 4.0 * d * d * 205_000.0;
        let stress = (d - 0.938_194 * pitch).powi(2) * PI / 4.0 * 205_000.0;
        let tan = 30.0_f64.to_radians().tan();
        let mut springs = Vec::new();
        let (head, nut) = (0, 1);
        let mut next = 2;
        let mut join = |from: usize, to: Option<usize>, k: f64| {
            let to = to.unwrap_or_else(|| {
                next += 1;
                next - 1
            });
            springs.push((from, to, k, 0.0));
            to
        };
        let mut at = head;
        let mut pieces = Vec::new();
        for piece in 0..2 * PIECES {
            let (length, area) = if piece < PIECES { (grip - threaded, body) } else { (threaded, stress) };
            pieces.push(area / (length.max(1e-9) / PIECES as f64));
        }
        for (piece, k) in pieces.iter().enumerate() {
            at = join(at, (piece + 1 == 2 * PIECES).then_some(nut), *k);
        }
        let mut at = head;
        for slice in 0..2 * PIECES {
            let step = grip / (2 * PIECES) as f64;
            let from = slice as f64 * step;
            // The exact resilience of the slice, by many more of its own.
            let give = slices(step, |z| {
                let outer = 1.5 * d + 2.0 * (from + z).min(grip - from - z) * tan;
                4.0 / (PI * (outer * outer - d * d) * 205_000.0)
            });
            at = join(at, (slice + 1 == 2 * PIECES).then_some(nut), 1.0 / give);
        }
        let places = next;
        // What the bolt is too short by, so that without a load it pulls with the preload.
        let give: f64 = springs.iter().map(|spring| 1.0 / spring.2).sum();
        springs[0].3 = preload * give;
        let loads = [(head, -external), (nut, external)];
        let forces = chain(places, &springs, &loads);
        let (mut in_bolt, mut clamp) = (forces[0], -forces[2 * PIECES]);
        if clamp < 0.0 {
            // The parts cannot pull: without them the bolt bears the load alone.
            (in_bolt, clamp) = (external, 0.0);
        }
        // Slices and pieces of up to 1e9 N/mm cost some digits in elimination.
        alike(seed, "bolt", fast.bolt.n(), in_bolt, 1e-5, 0.5);
        alike(seed, "clamp", fast.clamp.n(), clamp, 1e-4, 2.0);
    });
}

#[test]
fn preload_at_yield_is_found_by_halving() {
    const SIZES: [(f64, f64); 12] = [
        (6.0, 1.0),
        (8.0, 1.25),
        (8.0, 1.0),
        (10.0, 1.5),
        (10.0, 1.25),
        (12.0, 1.75),
        (12.0, 1.25),
        (14.0, 1.5),
        (16.0, 2.0),
        (16.0, 1.5),
        (20.0, 2.5),
        (24.0, 3.0),
    ];
    each(300, |random, seed| {
        let (d, pitch) = SIZES[random.random_range(0..SIZES.len())];
        // ISO 898-1:2013, table 3 (opened): Rp0.2 min; 8.8 splits at 16 mm.
        let (class, yields) = match random.random_range(0..3) {
            0 => (IsoClass::C8_8, if d <= 16.0 { 640.0 } else { 660.0 }),
            1 => (IsoClass::C10_9, 940.0),
            _ => (IsoClass::C12_9, 1100.0),
        };
        let (in_thread, under_face) = (random.random_range(0.06..0.25), random.random_range(0.06..0.25));
        let (outer, hole) = (1.5 * d, 1.1 * d);
        let share = random.random_range(0.3..0.95);
        let input = TorqueInput {
            thread: Thread::metric(d, pitch).expect("a thread"),
            class: BoltClass::Iso(class),
            face: Face::Ring { outer: mm(outer), hole: mm(hole) },
            washer: None,
            mate: None,
            hot_dip_galvanised: Some(false),
            target: Target::ShareOfYield(share),
            actual: Condition::Friction { thread: Band::exactly(in_thread), face: Band::exactly(under_face) },
            prevailing: None,
            method: TighteningMethod::Torque,
            adapter: None,
            wrench: None,
            window: None,
            passes: None,
        };
        let fast = adjust_torque(&input).expect("a torque");
        let height = pitch * 3.0_f64.sqrt() / 2.0;
        let (d2, d3) = (d - 0.75 * height, d - 17.0 / 12.0 * height);
        let d0 = f64::midpoint(d2, d3);
        let area = PI * d0 * d0 / 4.0;
        let twist = pitch / (2.0 * PI) + in_thread * d2 / (2.0 * 30.0_f64.to_radians().cos());
        // A round bar that is plastic throughout: the mean shear flow over its radius, summed ring by ring.
        let section = slices(d0 / 2.0, |r| 2.0 * PI * r * r);
        let stressed = |preload: f64| {
            let (pull, turn) = (preload / area, preload * twist / section);
            (pull * pull + 3.0 * turn * turn).sqrt()
        };
        let (mut low, mut high) = (0.0, 2e6);
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if stressed(middle) < share * yields { low = middle } else { high = middle }
        }
        let torque = low * (twist + under_face * (outer + hole) / 4.0) / 1000.0;
        // The profile's factors are printed to six digits.
        alike(seed, "preload", fast.preload.nominal.force.n(), low, 2e-5, 0.0);
        alike(seed, "torque", fast.fastener.nominal.n_m(), torque, 2e-5, 0.0);
    });
}

#[test]
fn prying_is_the_best_of_every_prying_force() {
    each(200, |random, seed| {
        let [length, thickness, yields] =
            [random.random_range(30.0..200.0), random.random_range(3.0..25.0), random.random_range(200.0..500.0)];
        let [to_web, to_edge] = [random.random_range(10.0..80.0), random.random_range(10.0..80.0)];
        let bolts = random.random_range(1e4..3e5);
        let stub = Stub {
            length: mm(length),
            thickness: mm(thickness),
            yields: Stress::from_mpa(yields),
            to_web: mm(to_web),
            to_edge: mm(to_edge),
            bolts: Force::from_n(bolts),
        };
        let fast = stub.resistance().expect("a plate").resistance.n();
        let plastic = length * thickness * thickness / 4.0 * yields;
        let lever = to_edge.min(1.25 * to_web);
        // Both halves alike: half the load at the web, the prying force at the edge, half the bolts between them.
        let most = (plastic / lever).min(bolts / 2.0);
        let steps = 20_000;
        let slow = (0..=steps)
            .map(|step| {
                let pry = most * f64::from(step) / f64::from(steps);
                let at_web = 2.0 * (plastic + pry * lever) / to_web;
                at_web.min(bolts - 2.0 * pry)
            })
            .fold(0.0, f64::max);
        // Between two steps the load changes by at most so much.
        let step = most / f64::from(steps) * (2.0 * lever / to_web).max(2.0);
        alike(seed, "prying", fast, slow, 1e-9, step);
        if fast < slow - 1e-6 * slow {
            panic!("seed {seed}: the three modes give {fast}, a prying force gives {slow}");
        }
    });
}
