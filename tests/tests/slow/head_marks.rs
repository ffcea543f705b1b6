//! Marks on heads and nuts a second time: the few marks that exist, written down, against everything that could be read.
//!
//! ISO 898-1 and ISO 3506-1, marks of bolts (opened); a nought in front by a fastener maker (opened); SAE J429: the lines
//! are the grade less two (opened); ISO 898-2 and SAE J995, marks of nuts (from memory); no mark: the lowest there is.

use std::collections::BTreeMap;

use baybook_core::{
    calc::head_marks::{Expected, HeadMark, MarkNote, NutMark, Steel, mark_of, read_head, read_nut},
    model::{fastener::BoltClass, thread::ThreadSystem},
};

const CLASSES: [&str; 9] = ["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"];
const BOTH: [ThreadSystem; 2] = [ThreadSystem::Metric, ThreadSystem::Unified];

/// Every text that is a mark of a head, with its class, steel, whether the load is reduced, whether a comma stands in it.
fn marks() -> BTreeMap<String, (&'static str, Option<Steel>, bool, bool)> {
    let mut all = BTreeMap::new();
    for class in CLASSES {
        for (nought, reduced) in [("", false), ("0", true)] {
            for (point, comma) in [(".", false), (",", true)] {
                all.insert(format!("{nought}{}", class.replace('.', point)), (class, None, reduced, comma));
            }
        }
    }
    for (letters, steel) in [("A2", Steel::A2), ("A4", Steel::A4)] {
        for class in ["50", "70", "80"] {
            all.insert(format!("{letters}-{class}"), (class, Some(steel), false, false));
        }
    }
    all
}

/// Every text of up to four of these letters, and every text one letter off a mark.
fn texts() -> Vec<String> {
    const LETTERS: &[u8] = b"0124568789.,-Aa/";
    let mut all: Vec<String> = vec![String::new()];
    let mut from = 0;
    for _ in 0..4 {
        let to = all.len();
        for at in from..to {
            for letter in LETTERS {
                let longer = format!("{}{}", all[at], char::from(*letter));
                all.push(longer);
            }
        }
        from = to;
    }
    for mark in marks().into_keys() {
        for at in 0..=mark.len() {
            for letter in LETTERS {
                let (head, tail) = mark.split_at(at);
                all.push(format!("{head}{}{tail}", char::from(*letter)));
                all.push(format!("{head}{}{}", char::from(*letter), tail.get(1..).unwrap_or_default()));
            }
            all.push(format!("{}{}", &mark[..at], mark.get(at + 1..).unwrap_or_default()));
        }
        all.extend([mark.to_lowercase(), format!(" {mark} "), mark]);
    }
    all
}

#[test]
fn what_is_no_mark_is_refused_and_what_is_one_has_its_class() {
    let marks = marks();
    let (mut read, mut refused) = (0, 0);
    for text in texts() {
        let found = read_head(HeadMark::Text(&text), ThreadSystem::Metric);
        let Some(&(class, steel, reduced, comma)) = marks.get(&text.trim().to_uppercase()) else {
            assert!(found.is_err(), "{text:?} is no mark and was read as {found:?}");
            refused += 1;
            continue;
        };
        let found = found.unwrap_or_else(|error| panic!("{text:?}: {error}"));
        assert_eq!((found.class.mark(), found.steel, found.comma_read), (class, steel, comma), "{text:?}");
        assert_eq!(found.full_strength(), !reduced, "{text:?}");
        assert!(
            read_head(HeadMark::Text(&text), ThreadSystem::Unified).is_err(),
            "{text:?} is no mark of an inch bolt"
        );
        let underlined = read_head(HeadMark::Underlined(&text), ThreadSystem::Metric);
        match steel.is_some() || reduced || comma {
            true => assert!(underlined.is_err(), "{text:?}, underlined"),
            false => assert_eq!(underlined.expect("a class").note, Some(MarkNote::LowCarbon), "{text:?}"),
        }
        read += 1;
    }
    println!("{read} marks read, {refused} other texts refused");
    assert!(marks.len() <= read && 50_000 < refused);
}

#[test]
fn lines_are_the_grade_less_two_and_nothing_is_the_lowest() {
    for count in 0..40 {
        let grade = match count + 2 {
            5 => Some("SAE 5"),
            8 => Some("SAE 8"),
            _ => None,
        };
        let found = read_head(HeadMark::Lines(count), ThreadSystem::Unified);
        let due = grade.map(|grade| BoltClass::read(grade).expect("a grade"));
        assert_eq!(found.ok().map(|found| found.class), due, "{count} lines");
        assert!(read_head(HeadMark::Lines(count), ThreadSystem::Metric).is_err(), "{count} lines on a metric head");
        assert!(BOTH.iter().all(|system| read_head(HeadMark::ClusteredLines(count), *system).is_err()), "{count}");
    }
    for (system, lowest) in BOTH.into_iter().zip(["4.6", "SAE 1"]) {
        let found = read_head(HeadMark::Nothing, system).expect("the lowest");
        assert_eq!((found.class, found.note), (BoltClass::read(lowest).expect("a class"), Some(MarkNote::Assumed)));
    }
}

#[test]
fn what_a_class_bears_is_read_back_as_that_class() {
    let mut seen = 0;
    for class in BoltClass::all() {
        let metric = |text: &str| read_head(HeadMark::Text(text), ThreadSystem::Metric).expect("its own mark").class;
        let back = match mark_of(class) {
            Expected::Text(text) => metric(&text),
            Expected::Stainless(number) => metric(&format!("A4-{number}")),
            Expected::Lines(count) => {
                read_head(HeadMark::Lines(count), ThreadSystem::Unified).expect("its own lines").class
            }
            // No mark is shared by two grades and read as the lower; what nobody saw is not read at all.
            Expected::Nothing | Expected::NotSeen => continue,
        };
        assert_eq!(back, class);
        seen += 1;
    }
    assert_eq!(seen, 9 + 3 + 2);
}

#[test]
fn a_nut_is_what_its_figures_or_its_two_marks_say() {
    let known = ["04", "05", "4", "5", "6", "8", "9", "10", "12"];
    for number in 0..100 {
        for text in [format!("{number}"), format!("{number:02}")] {
            let found = read_nut(NutMark::Text(&text), ThreadSystem::Metric);
            let due = known.contains(&text.as_str());
            assert_eq!(found.as_ref().ok().map(|found| found.class.mark().to_owned()), due.then_some(text.clone()));
            assert_eq!(found.is_ok_and(|found| found.note == Some(MarkNote::ThinNut)), due && text.starts_with('0'));
            assert!(read_nut(NutMark::Text(&text), ThreadSystem::Unified).is_err(), "{text} on an inch nut");
        }
    }
    for degrees in 0..=360 {
        let found = read_nut(NutMark::Apart(degrees), ThreadSystem::Unified);
        // SAE J995, from memory.
        let due = [(120, "SAE 5"), (60, "SAE 8")].into_iter().find(|(at, _)| *at == degrees).map(|(_, mark)| mark);
        let named = found.ok().map(|found| found.class);
        let due = due.map(|mark| baybook_core::model::fastener::NutClass::read(mark).expect("a class"));
        assert_eq!(named, due, "{degrees}° apart");
        assert!(read_nut(NutMark::Apart(degrees), ThreadSystem::Metric).is_err());
    }
}
