//! The printed tables.

use super::*;
use crate::calc::printed::prints;

/// Class, trailer in lb and kg, ball in mm, longitudinal, transverse, vertical in lb, chain in lb and kN.
#[rustfmt::skip]
const CLASSES: &[(i32, f64, [&str; 7])] = &[
    (1, 2000.0, ["907.185", "47.625",   "6000", "2000", "2500", "2000",  "8.9"]),
    (2, 3500.0, ["1587.573",   "50.8", "10 500", "3000", "4500", "3500", "15.6"]),
    (3, 5000.0, ["2267.962",   "50.8", "15 000", "4000", "7000", "5000", "22.2"]),
];

#[test]
fn classes_are_the_printed_ones() {
    for (number, trailer_lb, [trailer_kg, ball, longitudinal, transverse, vertical, chain_lb, chain_kn]) in CLASSES {
        let source = format!("{SOURCE}, opened, class {number}");
        let class = class(*number).unwrap();
        prints(&source, trailer_kg, class.trailer.kg());
        prints(&source, ball, class.ball_min.unwrap().mm());
        let gross = Mass::from_lb(*trailer_lb);
        prints(&source, longitudinal, class.longitudinal.of(gross).lbf());
        prints(&source, transverse, class.transverse.of(gross).lbf());
        prints(&source, vertical, class.vertical_tension.of(gross).lbf());
        prints(&source, vertical, class.vertical_compression.of(gross).lbf());
        prints(&format!("{CHAIN_SOURCE}, opened, class {number}"), chain_lb, class.chain_each.of(gross).lbf());
        prints(&format!("{CHAIN_SOURCE}, opened, class {number}"), chain_kn, class.chain_each.of(gross).kn());
        // A class takes its own limit and not a pound more.
        assert_eq!(class_for(gross).unwrap().number, *number);
        assert_eq!(class_for(Mass::from_lb(trailer_lb + 1.0)).unwrap().number, number + 1);
    }
    let four = class(4).unwrap();
    let gross = Mass::from_lb(8000.0);
    prints("SAE J684 as read through a state regulation, opened, class 4", "4535.924", four.trailer.kg());
    prints(
        "SAE J684 as read through a state regulation, opened, class 4, 3.0 times",
        "24 000",
        four.longitudinal.of(gross).lbf(),
    );
    prints(
        "SAE J684 as read through a state regulation, opened, class 4, 1.0 times",
        "8000",
        four.transverse.of(gross).lbf(),
    );
    prints(
        "SAE J684 as read through a state regulation, opened, class 4, 1.3 times",
        "10 400",
        four.vertical_tension.of(gross).lbf(),
    );
    prints(
        "SAE J684 as read through a state regulation, opened, class 4, 1.4 times",
        "11 200",
        four.vertical_compression.of(gross).lbf(),
    );
    prints(
        "SAE J684 as read through a state regulation, opened, class 4, chain",
        "8000",
        chain_each(gross).unwrap().lbf(),
    );
    assert_eq!(four.ball_min, None);
    assert!(class_for(Mass::from_lb(10_001.0)).is_none() && class(5).is_none());
}

/// Rating, then the six test forces in lb.
#[rustfmt::skip]
const TESTS: &[(f64, [&str; 6])] = &[
    (2000.0,   ["1420", "1990",  "300",  "900", "1740",   "2204"]),
    (3500.0,   ["2125", "2335",  "525", "1200", "1807.5", "2304.5"]),
    (5000.0,   ["2830", "2680",  "750", "1500", "1875",   "2405"]),
    (10_000.0, ["5180", "3830", "1500", "2500", "2100",   "2740"]),
];

#[test]
fn hitch_test_forces_are_the_printed_ones() {
    for (rated, forces) in TESTS {
        let test = hitch_test(Mass::from_lb(*rated)).unwrap();
        let got = [
            test.first,
            test.lengthwise,
            test.vertical,
            test.crosswise,
            test.spring_bars_vertical,
            test.spring_bars_lengthwise,
        ];
        for (printed, force) in forces.iter().zip(got) {
            prints(&format!("COMAR 11.13.08.10, formula opened, figure derived, {rated} lb"), printed, force.lbf());
        }
    }
    assert!(hitch_test(Mass::from_lb(10_001.0)).is_none());
}
