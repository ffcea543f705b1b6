use proptest::prelude::*;

use super::*;
use crate::error::CalcError;
use crate::tables;

#[test]
fn reads_what_is_stamped_and_spoken() {
    for (text, shown) in [
        ("8.8", "8.8"),
        ("10.9", "10.9"),
        ("class 12.9", "12.9"),
        ("Class: 4.6", "4.6"),
        ("ISO 898-1 10.9", "10.9"),
        ("SAE 5", "SAE 5"),
        ("sae grade 8", "SAE 8"),
        ("Grade 8", "SAE 8"),
        ("Gr. 5.2", "SAE 5.2"),
        ("gr5", "SAE 5"),
        ("J429 grade 2", "SAE 2"),
        ("A2-70", "stainless 70"),
        ("A4-80", "stainless 80"),
        ("stainless A2-50", "stainless 50"),
    ] {
        assert_eq!(BoltClass::read(text).map(|class| class.to_string()).as_deref(), Ok(shown), "{text}");
    }
    for (text, shown) in [
        ("8", "8"),
        ("10", "10"),
        ("class 12", "12"),
        ("04", "04"),
        ("05", "05"),
        ("Grade 8", "SAE 8"),
        ("SAE 5", "SAE 5"),
        ("A4-80", "stainless 80"),
    ] {
        assert_eq!(NutClass::read(text).map(|class| class.to_string()).as_deref(), Ok(shown), "{text}");
    }
}

#[test]
fn marks_that_do_not_exist_are_refused_with_those_that_do() {
    for text in ["8.7", "11.9", "8", "5.2", "SAE 3", "SAE 8.8", "A2-60", "ISO 8", "x"] {
        match BoltClass::read(text) {
            Err(CalcError::NoSuchRow { field: "class", rows, .. }) => {
                assert!(rows.starts_with("4.6, 4.8") && rows.contains("SAE 5.2"), "{rows}");
            }
            other => panic!("{text}: {other:?}"),
        }
    }
    for text in ["7", "8.8", "SAE 4", "A2-040", "040"] {
        assert!(matches!(NutClass::read(text), Err(CalcError::NoSuchRow { .. })), "{text}");
    }
}

#[test]
fn reduced_loadability_and_commas_are_refused_with_the_reason() {
    // ISO 898-1:2013: a leading 0 marks reduced loadability.
    let zero = BoltClass::read("08.8").unwrap_err().to_string();
    assert!(zero.contains("reduced loadability"), "{zero}");
    let comma = BoltClass::read("8,8").unwrap_err().to_string();
    assert!(comma.contains("write a point, not a comma: 8.8"), "{comma}");
    for empty in ["", " ", "\u{a0}"] {
        assert!(matches!(BoltClass::read(empty), Err(CalcError::Unreadable { .. })));
        assert!(matches!(NutClass::read(empty), Err(CalcError::Unreadable { .. })));
    }
}

#[test]
fn radial_lines_are_grades() {
    // SAE J429 line marks: 3 lines at 120° and 6 lines at 60°; the lines are the grade less two.
    assert_eq!(BoltClass::from_radial_lines(3), Some(BoltClass::Sae(SaeGrade::G5)));
    assert_eq!(BoltClass::from_radial_lines(6), Some(BoltClass::Sae(SaeGrade::G8)));
    for lines in [0, 1, 2, 4, 5, 7] {
        assert_eq!(BoltClass::from_radial_lines(lines), None, "{lines}");
    }
}

#[test]
fn every_class_reads_back_as_itself() {
    for class in BoltClass::all() {
        assert_eq!(BoltClass::read(&class.to_string()), Ok(class));
    }
    for class in NutClass::ALL {
        assert_eq!(NutClass::read(&class.to_string()), Ok(class));
    }
}

#[test]
fn nuts_match_bolts_by_number_within_a_system() {
    use tables::NutMatch::{OtherSystem, Same, Stronger, Weaker};
    // ISO 898-2, table 1 (from memory); SAE J995: the nut's grade is at least the bolt's.
    for (bolt, nut, expected) in [
        ("8.8", "8", Same),
        ("10.9", "10", Same),
        ("12.9", "12", Same),
        ("8.8", "10", Stronger),
        ("4.6", "5", Stronger),
        ("5.8", "5", Same),
        ("10.9", "8", Weaker),
        ("9.8", "8", Weaker),
        ("8.8", "04", Weaker),
        ("4.6", "05", Weaker),
        ("SAE 5", "SAE 5", Same),
        ("SAE 5.2", "SAE 5", Same),
        ("SAE 5", "SAE 8", Stronger),
        ("SAE 8", "SAE 5", Weaker),
        ("A2-70", "A2-70", Same),
        ("A2-70", "A2-50", Weaker),
        ("A2-50", "A4-80", Stronger),
        ("8.8", "SAE 8", OtherSystem),
        ("SAE 8", "8", OtherSystem),
        ("A2-70", "8", OtherSystem),
        ("SAE 5", "05", OtherSystem),
    ] {
        let found = tables::nut_matches(BoltClass::read(bolt).unwrap(), NutClass::read(nut).unwrap());
        assert_eq!(found, expected, "{bolt} with {nut}");
    }
}

proptest! {
    #[test]
    fn no_text_panics(text in ".{0,80}") {
        let _ = BoltClass::read(&text);
        let _ = NutClass::read(&text);
    }
}
