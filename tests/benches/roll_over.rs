//! Rolling over a terrain: seven points over four corners, and fifty over two hundred, both to 0.01 mm.

use std::{hint::black_box, time::Instant};

use baybook_core::{
    calc::{
        clearance::{Underside, Wheels},
        roll_over::{RollInput, roll_over},
        sag::Pose,
    },
    model::{
        profile::{Profile, ProfileJoin, ProfilePoint},
        terrain::{GroundPoint, Terrain},
    },
    units::Length,
};
use criterion::{Criterion, criterion_group, criterion_main};

const fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

const WHEELS: Wheels = Wheels { wheelbase: mm(3640.0), front_radius: mm(345.0), rear_radius: mm(345.0) };

fn profile(points: &[(f64, f64)]) -> Profile {
    let points = points
        .iter()
        .map(|&(station, height)| ProfilePoint { label: String::new(), station: mm(station), height: mm(height) })
        .collect();
    Profile { points, join: ProfileJoin::StraightEdges }
}

fn terrain(points: &[(f64, f64)]) -> Terrain {
    let points = points.iter().map(|&(run, rise)| GroundPoint { run: mm(run), rise: mm(rise) }).collect();
    Terrain { name: String::new(), label: String::new(), points }
}

/// The invented van of the worked sweeps, over the worked hump.
fn small() -> (Profile, Terrain) {
    let van = [
        (-820.0, 260.0),
        (0.0, 220.0),
        (1820.0, 200.0),
        (3640.0, 230.0),
        (4820.0, 255.0),
        (4920.0, 255.0),
        (4930.0, 330.0),
    ];
    (profile(&van), terrain(&[(0.0, 0.0), (1000.0, 100.0), (1500.0, 100.0), (2500.0, 0.0)]))
}

/// Fifty points that wave a little, over two hundred corners of a rough track of 40 m.
fn large() -> (Profile, Terrain) {
    let van: Vec<(f64, f64)> = (0..50)
        .map(|at| f64::from(at) / 49.0)
        .map(|share| (-820.0 + share * 5750.0, 230.0 + 25.0 * (share * 17.0).sin()))
        .collect();
    let track: Vec<(f64, f64)> =
        (0..200).map(f64::from).map(|at| (at * 200.0, 60.0 * (at * 0.7).sin() + 40.0 * (at * 0.23).cos())).collect();
    (profile(&van), terrain(&track))
}

fn rolls(c: &mut Criterion) {
    let mut group = c.benchmark_group("roll over");
    let cases = [("7 points over 4 corners", small(), 1.0), ("50 points over 200 corners", large(), 50.0)];
    for (name, (profile, terrain), bar_ms) in cases {
        let (underside, pose) = (Underside::of(&profile), Pose::as_measured(WHEELS));
        let input = RollInput { underside: &underside, pose: &pose, terrain: &terrain };
        #[expect(clippy::expect_used, reason = "a bench that cannot go on has failed")]
        let roll = || roll_over(black_box(&input)).expect("it can be rolled over");
        group.bench_function(name, |b| b.iter(roll));
        let mut times: Vec<f64> = (0..21)
            .map(|_| {
                let started = Instant::now();
                black_box(roll());
                started.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        times.sort_by(f64::total_cmp);
        let middle = times[times.len() / 2];
        #[expect(clippy::print_stdout, reason = "a bench tells what it saw")]
        {
            println!("{name:34} {middle:10.3} ms, of {bar_ms} ms ratio {:5.3}, bar <= 1", middle / bar_ms);
        }
    }
    group.finish();
}

criterion_group!(benches, rolls);
criterion_main!(benches);
