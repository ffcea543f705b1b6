//! Printed figures of threads, with the source and the digits it prints; then our own past output, apart.

use std::f64::consts::FRAC_PI_2;

use super::*;
use crate::calc::printed::{pinned, prints_within};

fn check(source: &str, what: &str, printed: &str, got: f64, allowance: f64) {
    prints_within(&format!("{source}, {what}"), printed, got, allowance);
}

const AREAS: &str = "ISO 898-1, nominal stress area, coarse thread as reproduced on a data sheet, opened";
const FINE: &str = "ISO 724, fine threads as reproduced in an open reference table, opened";
const RECALLED: &str = "from memory of ISO 898-1, tables 6 and 7";

/// Thread, stress area in mm² as printed, source. Tolerance: half of the last printed digit.
#[rustfmt::skip]
const PRINTED_METRIC_AREAS: &[(&str, &str, &str)] = &[
    ("M4x0.7",   "8.78", AREAS), ("M5x0.8",   "14.2", AREAS), ("M6x1",     "20.1", AREAS), ("M7x1",     "28.9", AREAS),
    ("M8x1.25",  "36.6", AREAS), ("M10x1.5",  "58.0", AREAS), ("M12x1.75", "84.3", AREAS), ("M14x2",    "115",  AREAS),
    ("M16x2",    "157",  AREAS), ("M18x2.5",  "192",  AREAS), ("M20x2.5",  "245",  AREAS), ("M22x2.5",  "303",  AREAS),
    ("M24x3",    "353",  AREAS), ("M27x3",    "459",  AREAS), ("M30x3.5",  "561",  AREAS), ("M33x3.5",  "694",  AREAS),
    ("M36x4",    "817",  AREAS),
    ("M8x1",     "39.2", FINE),  ("M10x1",    "64.5", FINE),  ("M10x1.25", "61.2", FINE),  ("M12x1.25", "92.1", FINE),
    ("M12x1.5",  "88.1", FINE),  ("M14x1.5",  "125",  FINE),  ("M16x1.5",  "167",  FINE),
    ("M18x1.5",  "216",  RECALLED), ("M20x1.5", "272", RECALLED), ("M20x2", "258", RECALLED),
    ("M22x1.5",  "333",  RECALLED), ("M24x2",   "384", RECALLED), ("M27x2", "496", RECALLED),
    ("M30x2",    "621",  RECALLED), ("M33x2",   "761", RECALLED), ("M36x3", "865", RECALLED),
];

/// Thread, then pitch, minor and internal minor diameter in mm as printed by [`FINE`].
#[rustfmt::skip]
const PRINTED_METRIC_DIAMETERS: &[(&str, [&str; 3])] = &[
    ("M8x1",     ["7.350",  "6.773",  "6.917"]),
    ("M10x1",    ["9.350",  "8.773",  "8.917"]),
    ("M10x1.25", ["9.188",  "8.466",  "8.647"]),
    ("M12x1.25", ["11.188", "10.466", "10.647"]),
    ("M12x1.5",  ["11.026", "10.160", "10.376"]),
    ("M14x1.5",  ["13.026", "12.160", "12.376"]),
    ("M16x1.5",  ["15.026", "14.160", "14.376"]),
];

#[test]
fn metric_stress_areas_round_to_the_printed_figures() {
    for (thread, printed, source) in PRINTED_METRIC_AREAS {
        check(source, thread, printed, Thread::read(thread).unwrap().stress_area().mm2(), 0.0);
    }
}

#[test]
fn metric_diameters_round_to_the_printed_figures() {
    for (text, [pitch, minor, internal]) in PRINTED_METRIC_DIAMETERS {
        let thread = Thread::read(text).unwrap();
        check(FINE, text, pitch, thread.pitch_diameter().mm(), 0.0);
        check(FINE, text, minor, thread.minor_diameter().mm(), 0.0);
        check(FINE, text, internal, thread.internal_minor_diameter().mm(), 0.0);
    }
}

const UNC: &str = "ASME B1.1, UNC as reproduced on two open pages, opened";
const UNC_RECALLED: &str = "from memory of ASME B1.1, UNC";
const UNF: &str = "ASME B1.1, UNF as reproduced on an open page, opened";

/// Thread, pitch diameter (in), stress area and minor area (in²) as printed, source of the areas.
///
/// Tolerance of the areas: half of the last printed digit, and half of the fourth decimal of the diameter under them.
/// The tables print diameters to 0.0001 in and their areas follow from those: `dA = π/2 · d · 0.00005 in`.
#[rustfmt::skip]
const PRINTED_UNIFIED: &[(&str, &str, &str, &str, &str)] = &[
    ("#6-32",     "0.1177", "0.00909", "0.00745", UNC_RECALLED),
    ("#8-32",     "0.1437", "0.0140",  "0.01196", UNC_RECALLED),
    ("#10-24",    "0.1629", "0.0175",  "0.01450", UNC_RECALLED),
    ("#12-24",    "0.1889", "0.0242",  "0.0206",  UNC_RECALLED),
    ("1/4-20",    "0.2175", "0.0318",  "0.0269",  UNC_RECALLED),
    ("5/16-18",   "0.2764", "0.0524",  "0.0454",  UNC_RECALLED),
    ("3/8-16",    "0.3344", "0.0775",  "0.0678",  UNC),
    ("7/16-14",   "0.3911", "0.1063",  "0.0933",  UNC),
    ("1/2-13",    "0.4500", "0.1419",  "0.1257",  UNC),
    ("9/16-12",   "0.5084", "0.182",   "0.162",   UNC),
    ("5/8-11",    "0.5660", "0.226",   "0.202",   UNC),
    ("3/4-10",    "0.6850", "0.334",   "0.302",   UNC),
    ("7/8-9",     "0.8028", "0.462",   "0.419",   UNC),
    ("1-8",       "0.9188", "0.606",   "0.551",   UNC),
    ("1-1/8-7",   "1.0322", "0.763",   "0.693",   UNC),
    ("1-1/4-7",   "1.1572", "0.969",   "0.890",   UNC),
    ("1-3/8-6",   "1.2667", "1.155",   "1.054",   UNC),
    ("1-1/2-6",   "1.3917", "1.405",   "1.294",   UNC),
    ("#6-40",     "0.1218", "0.01015", "0.00874", UNF),
    ("#8-36",     "0.1460", "0.01474", "0.01285", UNF),
    ("#10-32",    "0.1697", "0.0200",  "0.0175",  UNF),
    ("#12-28",    "0.1928", "0.0258",  "0.0226",  UNF),
    ("1/4-28",    "0.2268", "0.0364",  "0.0326",  UNF),
    ("5/16-24",   "0.2854", "0.0580",  "0.0524",  UNF),
    ("3/8-24",    "0.3479", "0.0878",  "0.0809",  UNF),
    ("7/16-20",   "0.4050", "0.1187",  "0.109",   UNF),
    ("1/2-20",    "0.4675", "0.1599",  "0.1486",  UNF),
    ("9/16-18",   "0.5264", "0.203",   "0.189",   UNF),
    ("5/8-18",    "0.5889", "0.256",   "0.240",   UNF),
    ("3/4-16",    "0.7094", "0.373",   "0.351",   UNF),
    ("7/8-14",    "0.8286", "0.509",   "0.480",   UNF),
    ("1-12",      "0.9459", "0.663",   "0.625",   UNF),
    ("1-1/8-12",  "1.0709", "0.856",   "0.812",   UNF),
    ("1-1/4-12",  "1.1959", "1.073",   "1.024",   UNF),
    ("1-3/8-12",  "1.3209", "1.315",   "1.260",   UNF),
    ("1-1/2-12",  "1.4459", "1.581",   "1.521",   UNF),
];

#[test]
fn unified_figures_round_to_the_printed_figures() {
    for (text, pitch, stress, minor, source) in PRINTED_UNIFIED {
        let thread = Thread::read(text).unwrap();
        check(source, text, pitch, thread.pitch_diameter().inches(), 0.0);
        let carried = |diameter: Length| FRAC_PI_2 * diameter.inches() * 0.000_05;
        check(source, text, stress, thread.stress_area().in2(), carried(thread.stress_diameter()));
        check(source, text, minor, thread.minor_area().in2(), carried(thread.minor_diameter()));
    }
}

#[test]
fn one_inch_fourteen_is_printed_a_digit_low() {
    // From memory of ASME B1.1, 1-14 UNS: prints 0.679 where its own formula gives 0.6799; the figure was cut, not
    // rounded. Tolerance: one whole last digit.
    let area = Thread::read("1-14 UNS").unwrap().stress_area().in2();
    check("from memory of ASME B1.1", "1-14", "0.679", area, 0.000_5);
}

#[test]
fn published_solution_of_a_class_problem_has_the_same_area() {
    // Published solution of Shigley, problem 8-22: M12, Ad = 113 mm², At = 84.3 mm².
    let thread = Thread::read("M12").unwrap();
    let source = "published solution of Shigley, problem 8-22, opened";
    check(source, "Ad", "113", circle(thread.diameter).mm2(), 0.0);
    check(source, "At", "84.3", thread.stress_area().mm2(), 0.0);
}

/// Our own past output, which follows from the formulas of ISO 724 and ISO 898-1; no publication stands behind the
/// digits. Thread; d2, d3, D1 in mm; As, A3 in mm².
#[rustfmt::skip]
const PINNED_METRIC: &[(&str, [&str; 5])] = &[
    ("M4x0.7",   ["3.545",  "3.141",  "3.242",  "8.78",   "7.75"]),
    ("M5x0.8",   ["4.480",  "4.019",  "4.134",  "14.18",  "12.68"]),
    ("M6x1",     ["5.350",  "4.773",  "4.917",  "20.12",  "17.89"]),
    ("M7x1",     ["6.350",  "5.773",  "5.917",  "28.86",  "26.18"]),
    ("M8x1.25",  ["7.188",  "6.466",  "6.647",  "36.61",  "32.84"]),
    ("M10x1.5",  ["9.026",  "8.160",  "8.376",  "57.99",  "52.29"]),
    ("M12x1.75", ["10.863", "9.853",  "10.106", "84.27",  "76.25"]),
    ("M14x2",    ["12.701", "11.546", "11.835", "115.44", "104.71"]),
    ("M16x2",    ["14.701", "13.546", "13.835", "156.67", "144.12"]),
    ("M18x2.5",  ["16.376", "14.933", "15.294", "192.47", "175.14"]),
    ("M20x2.5",  ["18.376", "16.933", "17.294", "244.79", "225.19"]),
    ("M22x2.5",  ["20.376", "18.933", "19.294", "303.40", "281.53"]),
    ("M24x3",    ["22.051", "20.319", "20.752", "352.50", "324.27"]),
    ("M27x3",    ["25.051", "23.319", "23.752", "459.41", "427.09"]),
    ("M30x3.5",  ["27.727", "25.706", "26.211", "560.59", "518.99"]),
    ("M33x3.5",  ["30.727", "28.706", "29.211", "693.55", "647.19"]),
    ("M36x4",    ["33.402", "31.093", "31.670", "816.72", "759.28"]),
    ("M8x1",     ["7.350",  "6.773",  "6.917",  "39.17",  "36.03"]),
    ("M10x1",    ["9.350",  "8.773",  "8.917",  "64.49",  "60.45"]),
    ("M10x1.25", ["9.188",  "8.466",  "8.647",  "61.20",  "56.30"]),
    ("M12x1.25", ["11.188", "10.466", "10.647", "92.07",  "86.04"]),
    ("M12x1.5",  ["11.026", "10.160", "10.376", "88.13",  "81.07"]),
    ("M14x1.5",  ["13.026", "12.160", "12.376", "124.55", "116.13"]),
    ("M16x1.5",  ["15.026", "14.160", "14.376", "167.25", "157.47"]),
    ("M18x1.5",  ["17.026", "16.160", "16.376", "216.23", "205.10"]),
    ("M18x2",    ["16.701", "15.546", "15.835", "204.18", "189.82"]),
    ("M20x1.5",  ["19.026", "18.160", "18.376", "271.50", "259.00"]),
    ("M20x2",    ["18.701", "17.546", "17.835", "257.98", "241.80"]),
    ("M22x1.5",  ["21.026", "20.160", "20.376", "333.06", "319.20"]),
    ("M22x2",    ["20.701", "19.546", "19.835", "318.05", "300.07"]),
    ("M24x1.5",  ["23.026", "22.160", "22.376", "400.89", "385.67"]),
    ("M24x2",    ["22.701", "21.546", "21.835", "384.42", "364.61"]),
    ("M27x2",    ["25.701", "24.546", "24.835", "495.74", "473.22"]),
    ("M30x2",    ["28.701", "27.546", "27.835", "621.20", "595.96"]),
    ("M33x2",    ["31.701", "30.546", "30.835", "760.80", "732.83"]),
    ("M36x3",    ["34.051", "32.319", "32.752", "864.94", "820.38"]),
];

/// Our own past output from the formulas of ASME B1.1: thread; At, Ar in in².
#[rustfmt::skip]
const PINNED_UNIFIED: &[(&str, [&str; 2])] = &[
    ("1/2-13",   ["0.14190", "0.12566"]), ("1/2-20", ["0.15995", "0.14862"]), ("5/8-11", ["0.22600", "0.20174"]),
    ("1-8",      ["0.60574", "0.55088"]), ("1-14",   ["0.6799",  "0.64631"]), ("1-1/2-12", ["1.58102", "1.52111"]),
];

#[test]
fn our_figures_have_not_moved() {
    for (text, [pitch, minor, internal, stress, core]) in PINNED_METRIC {
        let thread = Thread::read(text).unwrap();
        pinned(text, pitch, thread.pitch_diameter().mm());
        pinned(text, minor, thread.minor_diameter().mm());
        pinned(text, internal, thread.internal_minor_diameter().mm());
        pinned(text, stress, thread.stress_area().mm2());
        pinned(text, core, thread.minor_area().mm2());
    }
    for (text, [stress, core]) in PINNED_UNIFIED {
        let thread = Thread::read(text).unwrap();
        pinned(text, stress, thread.stress_area().in2());
        pinned(text, core, thread.minor_area().in2());
    }
}

#[test]
fn printed_constants_are_the_profile_s_own() {
    // ISO 68-1 and ISO 724, from memory: the constants as they are printed.
    for (printed, constant) in [
        ("0.866025404", iso_724::HEIGHT),
        ("0.649519", iso_724::PITCH_DIAMETER),
        ("1.082532", iso_724::INTERNAL_MINOR),
        ("1.226869", iso_724::ROUNDED_ROOT),
        ("0.938194", (iso_724::PITCH_DIAMETER + iso_724::ROUNDED_ROOT) / 2.0),
    ] {
        check("ISO 68-1 and ISO 724, from memory", "constant", printed, constant, 0.0);
    }
}
