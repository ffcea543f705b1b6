//! Laws of the bracket.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::joint::hitch::{Case, HitchLoads},
    units::Mass,
};

fn mm(at: [f64; 3]) -> [Length; 3] {
    at.map(Length::from_mm)
}

/// Two side plates of a receiver, two bolts each, through the webs of the frame rails.
fn receiver() -> Bracket {
    Bracket {
        positions: [[0.0, -430.0, 0.0], [160.0, -430.0, 10.0], [0.0, 430.0, 0.0], [160.0, 430.0, 10.0]]
            .map(mm)
            .to_vec(),
        axis: Axis::Crosswise,
        side: Side::Positive,
        load_at: mm([520.0, 0.0, -180.0]),
        share: 1.0,
        method: Method::Springs,
        area: Area::from_mm2(84.3),
    }
}

fn flange() -> Bracket {
    Bracket {
        positions: [[-80.0, -60.0, 0.0], [80.0, -60.0, 0.0], [-80.0, 60.0, 0.0], [80.0, 60.0, 0.0]].map(mm).to_vec(),
        axis: Axis::Upright,
        side: Side::Negative,
        load_at: mm([300.0, 0.0, -200.0]),
        share: 0.5,
        method: Method::Plate(Outline { least: mm([-110.0, -90.0, 0.0]), most: mm([110.0, 90.0, 0.0]) }),
        area: Area::from_mm2(84.3),
    }
}

fn forces() -> impl Strategy<Value = [f64; 3]> {
    [-5e4..5e4_f64, -5e4..5e4_f64, -5e4..5e4_f64]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn loads_scale_with_the_force_and_the_share(force in forces(), scale in 0.1..3.0_f64, share in 0.1..1.0_f64) {
        for bracket in [receiver(), flange()] {
            let base = bolt_loads(&bracket, force.map(Force::from_n)).unwrap();
            let more = bolt_loads(&bracket, force.map(|f| Force::from_n(f * scale))).unwrap();
            let part = Bracket { share, ..bracket.clone() };
            let part = bolt_loads(&part, force.map(Force::from_n)).unwrap();
            for ((base, more), part) in base.iter().zip(&more).zip(&part) {
                prop_assert!((more.tension - base.tension * scale).abs().n() < 1e-3 + 1e-6 * base.tension.n());
                prop_assert!((part.shear - base.shear * (share / bracket.share)).abs().n() < 1e-3);
            }
        }
    }

    /// On a plate the pull of the bolts bears at least the moment over its largest lever.
    #[test]
    fn a_plate_bears_its_moment(down in 1000.0..50_000.0_f64) {
        let loads = bolt_loads(&flange(), [0.0, 0.0, -down].map(Force::from_n)).unwrap();
        // Half of the load, 300 mm behind the middle: the rear row lies 190 mm from the front edge.
        let pull: f64 = loads.iter().map(|load| load.tension.n()).sum();
        prop_assert!(0.5 * down + 0.5 * down * 300.0 / 190.0 <= pull, "{pull}");
        // The rear bolts bear the most, left and right alike.
        prop_assert!(loads[0].tension < loads[1].tension && loads[1].tension == loads[3].tension);
    }
}

#[test]
fn a_tongue_load_pulls_the_rear_bolts_of_a_plate_below_the_frame() {
    let down = [0.0, 0.0, -10_000.0].map(Force::from_n);
    let below = bolt_loads(&flange(), down).unwrap();
    assert!(below[0].tension < below[1].tension);
    // Above the frame the same load presses the plate on; the front row is what then lifts.
    let above = Bracket { side: Side::Positive, ..flange() };
    let above = bolt_loads(&above, down).unwrap();
    assert!(above[1].tension < above[0].tension && above[0].tension < below[1].tension);
}

#[test]
fn a_load_to_the_right_pulls_the_right_bolts() {
    let right = Bracket { load_at: mm([0.0, 300.0, 0.0]), ..flange() };
    let loads = bolt_loads(&right, [0.0, 0.0, -10_000.0].map(Force::from_n)).unwrap();
    assert!(loads[0].tension < loads[2].tension && loads[2].tension == loads[3].tension);
    // The same about the middle of the plate by springs: a quarter of the load, and its moment over ±60 mm.
    let springs = Bracket { method: Method::Springs, ..right };
    let loads = bolt_loads(&springs, [0.0, 0.0, -10_000.0].map(Force::from_n)).unwrap();
    let hand = 5000.0 / 4.0 + 5000.0 * 300.0 / 60.0 / 4.0;
    assert!((loads[2].tension.n() - hand).abs() < 1e-6 && loads[0].tension == Force::ZERO);
}

#[test]
fn a_line_of_bolts_and_a_bent_plate_are_refused() {
    let line =
        Bracket { positions: [[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [200.0, 0.0, 0.0]].map(mm).to_vec(), ..receiver() };
    let down = [0.0, 0.0, -1000.0].map(Force::from_n);
    let sideways = [0.0, 1000.0, 0.0].map(Force::from_n);
    assert_eq!(bolt_loads(&line, sideways).unwrap_err().field(), "positions");
    // A load through the line itself turns nothing about it.
    let through = Bracket { load_at: mm([520.0, 0.0, 0.0]), ..line };
    let loads = bolt_loads(&through, down).unwrap();
    // By hand: a third of the load each, and 420 N·m over ±100 mm.
    let shear: Vec<f64> = loads.iter().map(|load| load.shear.n()).collect();
    for (got, hand) in shear.iter().zip([1000.0 / 3.0 - 2100.0, 1000.0 / 3.0, 1000.0 / 3.0 + 2100.0]) {
        assert!((got - f64::abs(hand)).abs() < 1e-6, "{got} {hand}");
    }
    let spot = Bracket { positions: vec![mm([0.0, 0.0, 0.0])], ..through };
    assert_eq!(bolt_loads(&spot, down).unwrap_err().field(), "positions");
    let mut bent = flange();
    bent.positions[0][2] = Length::from_mm(20.0);
    assert_eq!(bolt_loads(&bent, down).unwrap_err().field(), "positions");
    let mut outside = flange();
    outside.positions[0][0] = Length::from_mm(-200.0);
    assert_eq!(bolt_loads(&outside, down).unwrap_err().field(), "outline");
    assert_eq!(bolt_loads(&Bracket { share: 0.0, ..flange() }, down).unwrap_err().field(), "bracket_share");
    assert_eq!(bolt_loads(&receiver(), [Force::from_n(f64::NAN); 3]).unwrap_err().field(), "hitch_force_n");
}

#[test]
fn test_forces_come_in_six_cases_and_road_loads_in_five() {
    let test = HitchLoads::Test { rated: Mass::from_lb(5000.0) }.cases().unwrap();
    // SAE J684 as reprinted (opened), evaluated at 5000 lb: 2830 lb, 2680 lb with 750 lb, 1500 lb.
    let lbf: Vec<[f64; 3]> = test.iter().map(|case| case.force.map(|force| force.lbf().round())).collect();
    assert_eq!(lbf[0], [2830.0, 0.0, -2830.0]);
    assert_eq!(lbf[3], [-2680.0, 0.0, -750.0]);
    assert_eq!(lbf[4], [0.0, 1500.0, 0.0]);
    assert_eq!(test.len(), 6);
    let road = HitchLoads::Road {
        trailer: Mass::from_kg(2000.0),
        tongue: Mass::from_kg(200.0),
        lengthwise_g: 0.8,
        crosswise_g: 0.3,
        bounce: 1.0,
    };
    let cases = road.cases().unwrap();
    let lifted: &Case = cases.last().unwrap();
    assert!(lifted.force[2].abs().n() < 1e-9);
    assert!((cases[1].force[0].n() + 2000.0 * 9.806_65 * 0.8).abs() < 1e-6);
    let heavy = HitchLoads::Road {
        trailer: Mass::from_kg(100.0),
        tongue: Mass::from_kg(200.0),
        lengthwise_g: 0.8,
        crosswise_g: 0.3,
        bounce: 1.0,
    };
    assert_eq!(heavy.cases().unwrap_err().field(), "tongue_kg");
    assert_eq!(HitchLoads::Test { rated: Mass::from_lb(12_000.0) }.cases().unwrap_err().field(), "trailer_kg");
}
