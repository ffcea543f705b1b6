//! Worked examples and laws.

use proptest::prelude::*;

use super::*;
use crate::calc::{
    example_van::{SOURCE, TONGUE as T, WHEELBASE as L},
    printed::prints,
};

fn van() -> SpringBarInput {
    SpringBarInput {
        wheelbase: L,
        overhang: Length::from_mm(1280.0),
        coupler_to_axle: Length::from_mm(4300.0),
        tongue: T,
    }
}

/// Restoration, moment, change of front, rear and trailer axle, net hitch load.
#[rustfmt::skip]
const ROWS: &[(f64, [&str; 5])] = &[
    (0.0, [     "0", "-73.846", "283.846",  "0.000", "210.000"]),
    (0.5, ["1015.7", "-36.923", "222.837", "24.086", "185.914"]),
    (1.0, ["2031.3",   "0.000", "161.828", "48.172", "161.828"]),
];

#[test]
fn bars_move_the_load_as_printed() {
    for (restoration, [moment, front, rear, trailer, net]) in ROWS {
        let couple = moment_for(&van(), *restoration).unwrap();
        let got = loads(&van(), couple).unwrap();
        let source = format!("{SOURCE}, restoration {restoration}");
        prints(&source, moment, couple.n_m());
        prints(&source, front, got.front.kg());
        prints(&source, rear, got.rear.kg());
        prints(&source, trailer, got.trailer.kg());
        prints(&source, net, got.net_hitch.kg());
        assert!((got.restoration - restoration).abs() < 1e-12);
    }
}

#[test]
fn the_published_example_in_pounds_and_inches_comes_out() {
    let input = SpringBarInput {
        wheelbase: Length::from_in(130.0),
        overhang: Length::from_in(65.0),
        coupler_to_axle: Length::from_in(200.0),
        tongue: T,
    };
    let couple = Torque::from_lb_in(60_000.0);
    // What the bars alone do: the train with them less the train without.
    let (with, without) = (loads(&input, couple).unwrap(), loads(&input, Torque::ZERO).unwrap());
    let source = "public derivation of spring bars, trailer opened, axles derived";
    prints(source, "611.538", (with.front - without.front).lb());
    prints(source, "300.000", (with.trailer - without.trailer).lb());
    prints(source, "-911.538", (with.rear - without.rear).lb());
    prints(source, "2000", bar_pull(couple, Length::from_in(30.0)).unwrap().lbf());
}

proptest! {
    #[test]
    fn the_changes_add_up_to_the_tongue(
        overhang in 500.0..2500.0_f64, to_axle in 2000.0..9000.0_f64, tongue in 20.0..900.0_f64, moment in 0.0..20_000.0_f64,
    ) {
        let input = SpringBarInput {
            overhang: Length::from_mm(overhang), coupler_to_axle: Length::from_mm(to_axle),
            tongue: Mass::from_kg(tongue), ..van()
        };
        let got = loads(&input, Torque::from_n_m(moment)).unwrap();
        prop_assert!((got.front + got.rear + got.trailer - input.tongue).kg().abs() < 1e-9);
        // Tighter bars load the front axle and the trailer, and relieve the rear axle.
        let more = loads(&input, Torque::from_n_m(moment + 100.0)).unwrap();
        prop_assert!(more.front > got.front && more.trailer > got.trailer && more.rear < got.rear);
    }

    #[test]
    fn restoration_solves_for_the_moment(share in 0.0..2.0_f64) {
        let got = loads(&van(), moment_for(&van(), share).unwrap()).unwrap();
        prop_assert!((got.restoration - share).abs() < 1e-12);
    }
}
