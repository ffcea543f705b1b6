//! Nut factors that friction amounts to.

use super::*;
use crate::{calc::torque::handbook::Printed, model::thread::Thread};

/// Size, pitch, bearing face and hole (ISO 4014 and ISO 273 medium, from memory), then K by friction.
type Row = (f64, f64, f64, f64, [&'static str; 6]);

const FRICTIONS: [f64; 6] = [0.08, 0.10, 0.12, 0.14, 0.16, 0.20];

/// Derived from the long form, to the digits given.
#[rustfmt::skip]
const DERIVED: &[Row] = &[
    (6.0, 1.0, 8.88, 6.6, ["0.1193", "0.1425", "0.1657", "0.1889", "0.2121", "0.2585"]),
    (8.0, 1.25, 11.63, 9.0, ["0.1179", "0.1412", "0.1645", "0.1878", "0.2110", "0.2576"]),
    (10.0, 1.5, 14.63, 11.0, ["0.1168", "0.1401", "0.1633", "0.1865", "0.2098", "0.2562"]),
    (12.0, 1.75, 16.63, 13.5, ["0.1152", "0.1382", "0.1613", "0.1843", "0.2073", "0.2533"]),
    (14.0, 2.0, 19.64, 15.5, ["0.1148", "0.1379", "0.1609", "0.1839", "0.2069", "0.2530"]),
    (16.0, 2.0, 22.49, 17.5, ["0.1123", "0.1354", "0.1585", "0.1816", "0.2047", "0.2510"]),
    (18.0, 2.5, 25.34, 20.0, ["0.1145", "0.1376", "0.1607", "0.1838", "0.2069", "0.2531"]),
    (20.0, 2.5, 28.19, 22.0, ["0.1125", "0.1357", "0.1588", "0.1820", "0.2052", "0.2515"]),
    (24.0, 3.0, 33.61, 26.0, ["0.1120", "0.1350", "0.1581", "0.1811", "0.2041", "0.2502"]),
];

fn screw(&(d, pitch, outer, hole, _): &Row) -> Screw {
    let face = Face::Ring { outer: Length::from_mm(outer), hole: Length::from_mm(hole) };
    Screw::new(&Thread::metric(d, pitch).unwrap(), face, None).unwrap()
}

#[test]
fn nut_factors_from_friction() {
    for row in DERIVED {
        let screw = screw(row);
        for (friction, printed) in FRICTIONS.iter().zip(row.4) {
            let band = Band::exactly(*friction);
            let arms = screw.arms(&Condition::Friction { thread: band, face: band }).unwrap();
            let got = screw.nut_factor(&arms).nominal;
            Printed(printed).is(&format!("derived, M{}, friction {friction}", row.0), got);
        }
    }
}

#[test]
fn friction_from_nut_factors() {
    for row in DERIVED {
        for (friction, printed) in FRICTIONS.iter().zip(row.4) {
            let printed = Printed(printed);
            let got = screw(row).friction(printed.value()).unwrap();
            // A unit of K is at least 1.14 units of friction, so half a digit of K is less than half a digit of friction.
            assert!((got - friction).abs() <= printed.half_digit(), "M{}: {got}", row.0);
        }
    }
}

/// Derived: for a standard hexagon K is nearly 1.155 μ + 0.0235, whatever the size; so one K per finish works.
#[test]
fn nut_factors_hardly_depend_on_size() {
    for row in DERIVED {
        let values: Vec<f64> = row.4.iter().map(|printed| Printed(printed).value()).collect();
        let slope = (values[5] - values[0]) / (FRICTIONS[5] - FRICTIONS[0]);
        let foot = values[0] - slope * FRICTIONS[0];
        assert!((1.145..=1.165).contains(&slope) && (0.019..=0.0275).contains(&foot), "M{}: {slope} {foot}", row.0);
    }
}
