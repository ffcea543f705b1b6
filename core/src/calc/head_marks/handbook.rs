//! Printed marks, and what must be refused.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::printed::{prints, says},
    model::thread::Thread,
    tables,
};

const METRIC: ThreadSystem = ThreadSystem::Metric;
const INCH: ThreadSystem = ThreadSystem::Unified;

fn head(text: &str) -> Result<HeadReading, CalcError> {
    read_head(HeadMark::Text(text), METRIC)
}

/// ISO 898-1:2013, table 3 and marking, opened: mark, nominal tensile strength, nominal yield, MPa.
const PRINTED: &[(&str, f64, f64)] = &[
    ("4.6", 400.0, 240.0),
    ("5.8", 500.0, 400.0),
    ("8.8", 800.0, 640.0),
    ("10.9", 1000.0, 900.0),
    ("12.9", 1200.0, 1080.0),
];

#[test]
fn metric_marks_name_their_strength() {
    let m12 = Thread::metric(12.0, 1.75).unwrap();
    for (mark, tensile, yields) in PRINTED {
        let read = head(mark).unwrap();
        let strength = tables::bolt_strength(read.class, &m12).unwrap();
        let source = format!("ISO 898-1:2013, marking, opened, {mark}");
        prints(&source, &tensile.to_string(), strength.tensile_nominal.unwrap().mpa());
        prints(&source, &yields.to_string(), strength.yield_nominal.unwrap().mpa());
        assert!(read.full_strength() && read.note.is_none());
        // The mark itself says both: its first number is a hundredth, its second ten times the ratio.
        let (first, second) = mark.split_once('.').unwrap();
        let (first, second): (f64, f64) = (first.parse().unwrap(), second.parse().unwrap());
        assert!((first * 100.0 - tensile).abs() < 1e-9 && (first * second * 10.0 - yields).abs() < 1e-9);
    }
}

/// ISO 898-1:2013, table 3, opened: 8.8 to 16 mm and above.
#[test]
fn one_mark_has_two_rows_by_size() {
    let class = head("8.8").unwrap().class;
    for (d, p, row) in [(12.0, 1.75, [800.0, 640.0, 580.0]), (20.0, 2.5, [830.0, 660.0, 600.0])] {
        let strength = tables::bolt_strength(class, &Thread::metric(d, p).unwrap()).unwrap();
        assert_eq!([strength.tensile_min.mpa(), strength.yield_min.mpa(), strength.proof.unwrap().mpa()], row);
    }
}

/// ISO 3506-1, opened: A2-70 of 700 and 450 MPa, A4-80 of 800 and 600 MPa.
#[test]
fn stainless_marks_name_steel_and_strength() {
    let m12 = Thread::metric(12.0, 1.75).unwrap();
    for (mark, steel, tensile, yields) in [("A2-70", Steel::A2, 700.0, 450.0), ("A4-80", Steel::A4, 800.0, 600.0)] {
        let read = head(mark).unwrap();
        let strength = tables::bolt_strength(read.class, &m12).unwrap();
        let source = format!("ISO 3506-1, marking, opened, {mark}");
        prints(&source, &tensile.to_string(), strength.tensile_min.mpa());
        prints(&source, &yields.to_string(), strength.yield_min.mpa());
        assert_eq!(read.steel, Some(steel));
    }
}

#[test]
fn a_leading_nought_takes_the_full_strength() {
    let read = head("08.8").unwrap();
    assert_eq!((read.class, read.note), (BoltClass::Iso(IsoClass::C8_8), Some(MarkNote::ReducedLoad)));
    assert!(!read.full_strength());
}

/// SAE J429 in a trade magazine, opened: 3 lines at 120° grade 5, 6 lines at 60° grade 8; lines are the grade less two.
#[test]
fn lines_are_grades() {
    for (lines, grade) in [(3, SaeGrade::G5), (6, SaeGrade::G8)] {
        let source = "SAE J429, line marks in a trade magazine, opened";
        says(source, &BoltClass::Sae(grade), &read_head(HeadMark::Lines(lines), INCH).unwrap().class);
        assert_eq!(grade.number() - 2, lines);
    }
    for lines in [0, 1, 2, 4, 5, 7] {
        assert_eq!(read_head(HeadMark::Lines(lines), INCH).unwrap_err().field(), "mark");
    }
    assert!(read_head(HeadMark::ClusteredLines(3), INCH).is_err());
    assert!(matches!(read_head(HeadMark::Lines(3), METRIC), Err(CalcError::Conflict { .. })));
}

/// A trade article, opened, for inch heads; common practice for metric ones.
#[test]
fn no_mark_is_the_lowest_class() {
    let inch = read_head(HeadMark::Nothing, INCH).unwrap();
    let half = Thread::unified(0.5, 13.0).unwrap();
    let strength = tables::bolt_strength(inch.class, &half).unwrap();
    assert!((strength.proof.unwrap().ksi() - 33.0).abs() < 1e-9);
    assert_eq!(inch.note, Some(MarkNote::Assumed));
    assert_eq!(read_head(HeadMark::Nothing, METRIC).unwrap().class, BoltClass::Iso(IsoClass::C4_6));
    // Nothing published is weaker.
    for class in BoltClass::all().filter(|class| class.system() == ClassSystem::Sae) {
        assert!(strength.proof <= tables::bolt_strength(class, &half).unwrap().proof);
    }
}

#[test]
fn unknown_marks_are_refused_and_a_comma_is_read() {
    for mark in ["8.7", "11.9", "8", "A325", "A307A", "B7", "L7", "A2-60", "08", "8,,8", "8.8.8", "88", "00", "SAE 5"] {
        assert!(matches!(head(mark), Err(CalcError::NoSuchRow { field: "mark", .. })), "{mark}");
    }
    for mark in ["", "  "] {
        assert!(matches!(head(mark), Err(CalcError::Unreadable { field: "mark", .. })));
    }
    let comma = head("8,8").unwrap();
    assert_eq!(
        (comma.class, comma.note, comma.comma_read),
        (BoltClass::Iso(IsoClass::C8_8), Some(MarkNote::CommaRead), true)
    );
    let both = head("08,8").unwrap();
    assert!(!both.full_strength() && both.comma_read);
    assert!(matches!(read_head(HeadMark::Text("8.8"), INCH), Err(CalcError::Conflict { .. })));
    let low = read_head(HeadMark::Underlined("8.8"), METRIC).unwrap();
    assert_eq!(low.note, Some(MarkNote::LowCarbon));
    assert!(read_head(HeadMark::Underlined("A2-70"), METRIC).is_err());
}

/// ISO 898-2 and SAE J995, from memory.
#[test]
fn nuts_are_read() {
    for (mark, class) in [("8", NutClass::Iso8), ("10", NutClass::Iso10), ("12", NutClass::Iso12)] {
        let read = read_nut(NutMark::Text(mark), METRIC).unwrap();
        assert_eq!((read.class, read.note), (class, None));
    }
    for (mark, class) in [("04", NutClass::Iso04), ("05", NutClass::Iso05)] {
        let read = read_nut(NutMark::Text(mark), METRIC).unwrap();
        assert_eq!((read.class, read.note), (class, Some(MarkNote::ThinNut)));
        // A thin nut develops no bolt at all.
        for bolt in IsoClass::ALL {
            assert_eq!(tables::nut_matches(BoltClass::Iso(bolt), class), tables::NutMatch::Weaker);
        }
    }
    assert_eq!(read_nut(NutMark::Apart(120), INCH).unwrap().class, NutClass::Sae5);
    assert_eq!(read_nut(NutMark::Apart(60), INCH).unwrap().class, NutClass::Sae8);
    assert_eq!(read_nut(NutMark::Nothing, METRIC).unwrap().note, Some(MarkNote::Assumed));
    for (mark, system) in [
        (NutMark::Apart(90), INCH),
        (NutMark::Apart(60), METRIC),
        (NutMark::Text("8"), INCH),
        (NutMark::Text("7"), METRIC),
        (NutMark::Text(""), METRIC),
    ] {
        assert_eq!(read_nut(mark, system).unwrap_err().field(), "mark", "{mark:?}");
    }
}

#[test]
fn every_class_with_a_mark_reads_back() {
    for class in BoltClass::all() {
        let read = match mark_of(class) {
            Expected::Text(text) => head(&text).unwrap().class,
            Expected::Stainless(number) => head(&format!("A4-{number}")).unwrap().class,
            Expected::Lines(lines) => read_head(HeadMark::Lines(lines), INCH).unwrap().class,
            // Grades 1 and 2 bear nothing, so the lower of them is what is read.
            Expected::Nothing => {
                assert_eq!(read_head(HeadMark::Nothing, INCH).unwrap().class, BoltClass::Sae(SaeGrade::G1));
                continue;
            }
            Expected::NotSeen => continue,
        };
        assert_eq!(read, class);
    }
}

proptest! {
    #[test]
    fn no_text_panics_and_none_is_guessed(text in ".{0,60}") {
        if let Ok(read) = head(&text) {
            prop_assert!(!text.trim().is_empty());
            prop_assert_eq!(read_nut(NutMark::Nothing, METRIC).unwrap().class, NutClass::Iso4);
            prop_assert!(BoltClass::all().any(|class| class == read.class));
        }
        let _ = read_nut(NutMark::Text(&text), METRIC);
    }
}
