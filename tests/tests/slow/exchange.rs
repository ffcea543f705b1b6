//! Exchange of fasteners and marks on heads and nuts a second time: decision tables from the printed rules, over every
//! combination, in words and figures of their own. No table of the code under test is asked.
//!
//! What a class is, is read off its mark: by ISO 898-1 the first number is a hundredth of the tensile strength and the
//! second the tenths of it that the steel yields at; a nut of ISO 898-2 bears the first number of the strongest bolt that
//! it develops (both opened). SAE J429: rows from memory. Stainless: ISO 3506-1, opened.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

mod weighed;

use baybook_core::{
    calc::compare_fasteners::{Around, CompareInput, Fasteners, compare, reuse::Inspection},
    model::{
        fastener::{Bolt, BoltClass, HeadKind, Nut, NutClass, NutKind, Washer},
        thread::Thread,
    },
    units::{Length, Torque},
};

use weighed::{Why, agree};

const ISO: [&str; 9] = ["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"];
const STAINLESS: [(&str, f64, f64); 3] = [("A2-50", 500.0, 210.0), ("A2-70", 700.0, 450.0), ("A2-80", 800.0, 600.0)];
/// Grade, tensile and yield strength, ksi, at 1/2 in.
const SAE: [(&str, f64, f64); 6] = [
    ("SAE 1", 60.0, 36.0),
    ("SAE 2", 74.0, 57.0),
    ("SAE 5", 120.0, 92.0),
    ("SAE 5.2", 120.0, 92.0),
    ("SAE 8", 150.0, 130.0),
    ("SAE 8.2", 150.0, 130.0),
];
/// Class of the nut, family, number.
const NUTS: [(&str, char, u32); 13] = [
    ("04", 't', 0),
    ("05", 't', 0),
    ("4", 'i', 4),
    ("5", 'i', 5),
    ("6", 'i', 6),
    ("8", 'i', 8),
    ("9", 'i', 9),
    ("10", 'i', 10),
    ("12", 'i', 12),
    ("SAE 2", 's', 2),
    ("SAE 5", 's', 5),
    ("SAE 8", 's', 8),
    ("A2-70", 'a', 70),
];

/// A class as its mark tells it.
#[derive(Debug, Clone, Copy)]
struct Marked {
    mark: &'static str,
    family: char,
    tensile: f64,
    yields: f64,
    /// The least number of a nut.
    nut: u32,
    thread: &'static str,
}

fn all_marked() -> Vec<Marked> {
    let iso = ISO.iter().map(|mark| {
        let (hundreds, tenths) = mark.split_once('.').expect("two numbers");
        let (nut, tenths): (u32, f64) = (hundreds.parse().expect("a number"), tenths.parse().expect("a number"));
        let tensile = f64::from(nut) * 100.0;
        Marked { mark, family: 'i', tensile, yields: tensile * tenths / 10.0, nut, thread: "M12" }
    });
    let stainless = STAINLESS.iter().map(|&(mark, tensile, yields)| {
        let nut = (tensile / 10.0) as u32;
        Marked { mark, family: 'a', tensile, yields, nut, thread: "M12" }
    });
    let sae = SAE.iter().map(|&(mark, tensile, yields)| {
        let nut = mark[4..5].parse().expect("a grade");
        Marked { mark, family: 's', tensile, yields, nut, thread: "1/2-13" }
    });
    iso.chain(stainless).chain(sae).collect()
}

fn mm(value: f64) -> Option<Length> {
    Some(Length::from_mm(value))
}

fn bolt(thread: &str, mark: Option<&str>, length: f64) -> Bolt {
    Bolt {
        name: String::new(),
        label: String::new(),
        thread: Thread::read(thread).expect("a thread"),
        class: mark.map(|mark| BoltClass::read(mark).expect("a class")),
        length: mm(length),
        bearing_diameter: None,
        hole_diameter: None,
        head: Some(HeadKind::Hex),
        single_use: Some(false),
        hot_dip_galvanised: Some(false),
    }
}

fn nut(thread: &str, mark: Option<&str>) -> Nut {
    Nut {
        name: String::new(),
        label: String::new(),
        thread: Thread::read(thread).expect("a thread"),
        class: mark.map(|mark| NutClass::read(mark).expect("a class")),
        kind: Some(NutKind::Regular),
        height: mm(10.8),
        bearing_diameter: None,
        prevailing_torque: None,
    }
}

fn washer(inner: f64, outer: f64, hv: Option<f64>) -> Washer {
    let (inner_diameter, outer_diameter) = (mm(inner), mm(outer));
    Washer {
        name: String::new(),
        label: String::new(),
        inner_diameter,
        outer_diameter,
        thickness: mm(2.5),
        hardness_hv: hv,
    }
}

/// A bolt, its nut and nothing else, the same on both sides.
fn alike(bolt: Bolt, nut: Option<Nut>) -> CompareInput {
    let specified = Fasteners { bolt, nut, washer: None };
    CompareInput {
        offered: specified.clone(),
        specified,
        grip: mm(20.0),
        around: Some(Around::Steel),
        electroplated: Some(false),
        specified_locks: Some(false),
        used: None,
        used_nut: None,
    }
}

/// TM 5-3800-205-23-1 (opened): a lower class is never fitted, a higher one keeps the torque. RP-1228 (opened) and common
/// practice: 12.9 cracks from hydrogen, 10.9 and grade 8 when electroplated.
fn by_class(wanted: Option<Marked>, got: Option<Marked>, plated: Option<bool>) -> Why {
    let mut why = Why::new();
    let (wanted, got) = match (wanted, got) {
        (None, _) => return Why::from(["specified-unknown"]),
        (_, None) => return Why::from(["class-unknown"]),
        (Some(wanted), Some(got)) => (wanted, got),
    };
    match (got.mark, plated) {
        ("12.9", _) | ("10.9" | "SAE 8" | "SAE 8.2", Some(true)) => drop(why.insert("embrittlement")),
        ("10.9" | "SAE 8" | "SAE 8.2", None) => drop(why.insert("plating-unknown")),
        _ => {}
    }
    if wanted.family != got.family {
        why.insert("other-family");
    } else if got.tensile < wanted.tensile || got.yields < wanted.yields {
        why.insert("lower-class");
    } else if wanted.tensile < got.tensile || wanted.yields < got.yields {
        why.extend(["higher-class", "sheet-may-yield"]);
    }
    why
}

/// M12 and 1/2-13 differ by 0.7 mm and 0.2 mm of pitch, and start in each other.
fn by_thread(one: &str, other: &str, apart: &'static str) -> Option<&'static str> {
    match (one, other) {
        (a, b) if a == b => None,
        ("M12", "1/2-13") | ("1/2-13", "M12") => Some("threads-look-alike"),
        _ => Some(apart),
    }
}

#[test]
fn every_class_for_every_class() {
    let mut sides: Vec<Option<Marked>> = all_marked().into_iter().map(Some).collect();
    sides.push(None);
    let thread = |side: Option<Marked>| side.map_or("M12", |side| side.thread);
    let mut count = 0;
    for &wanted in &sides {
        for &got in &sides {
            for plated in [Some(true), Some(false), None] {
                let mut input = alike(bolt(thread(wanted), wanted.map(|it| it.mark), 45.0), None);
                input.offered.bolt = bolt(thread(got), got.map(|it| it.mark), 45.0);
                input.electroplated = plated;
                let mut due = by_class(wanted, got, plated);
                due.extend(by_thread(thread(wanted), thread(got), "other-thread"));
                agree(&compare(&input).expect("in range"), due, &|| format!("{wanted:?} {got:?} {plated:?}"));
                count += 1;
            }
        }
    }
    assert_eq!(count, 19 * 19 * 3);
}

/// A nut must develop the specified bolt; one that does not develop the stronger bolt at hand is good for the torque only.
fn by_nut(wanted: Marked, got: Marked, was: (&str, char, u32), is: (&str, char, u32)) -> Why {
    let mut why = Why::new();
    let thin = |nut: (&str, char, u32)| nut.1 == 't';
    if thin(is) && !thin(was) {
        return Why::from(["thin-nut"]);
    }
    if !thin(was) && (is.1 != wanted.family || is.2 < wanted.nut) {
        return Why::from(["weaker-nut"]);
    }
    if !thin(was) && is.1 == got.family && is.2 < got.nut {
        why.insert("nut-limits");
    }
    let family = |nut: (&str, char, u32)| if nut.1 == 't' { 'i' } else { nut.1 };
    if family(was) != family(is) || is.2 < was.2 {
        why.insert("weaker-nut");
    } else if was.2 < is.2 {
        why.insert("stronger-nut");
    }
    why
}

#[test]
fn every_nut_for_every_nut_on_every_bolt() {
    let mut count = 0;
    for wanted in all_marked() {
        for got in all_marked() {
            for was in NUTS {
                for is in NUTS {
                    let of = |nut_is: (&'static str, char, u32)| if nut_is.1 == 's' { "1/2-13" } else { "M12" };
                    let mut input =
                        alike(bolt(wanted.thread, Some(wanted.mark), 45.0), Some(nut(of(was), Some(was.0))));
                    input.offered.bolt = bolt(got.thread, Some(got.mark), 45.0);
                    input.offered.nut = Some(nut(of(is), Some(is.0)));
                    let mut due = by_class(Some(wanted), Some(got), Some(false));
                    due.extend(by_thread(wanted.thread, got.thread, "other-thread"));
                    due.extend(by_thread(got.thread, of(is), "nut-does-not-mate"));
                    due.extend(by_nut(wanted, got, was, is));
                    if got.family == 'a' && is.1 == 'a' {
                        due.insert("galling");
                    }
                    let found = compare(&input).expect("in range");
                    agree(&found, due, &|| format!("{wanted:?} {got:?} {was:?} {is:?}"));
                    count += 1;
                }
            }
        }
    }
    println!("{count} exchanges of bolt and nut, 0 differences");
}

#[test]
fn every_way_to_lock_and_every_metal_around() {
    let locking = Some(Torque::from_n_m(5.0));
    for told in [Some(true), Some(false), None] {
        for (was, is) in [(None, None), (None, locking), (locking, None), (locking, locking)] {
            for around in [None, Some(Around::Steel), Some(Around::Aluminium), Some(Around::Stainless)] {
                for mark in ["8.8", "A2-70"] {
                    let mark_of_nut = if mark == "8.8" { "8" } else { "A2-70" };
                    let mut input = alike(bolt("M12", Some(mark), 45.0), Some(nut("M12", Some(mark_of_nut))));
                    for (fasteners, torque) in [(&mut input.specified, was), (&mut input.offered, is)] {
                        fasteners.nut.as_mut().expect("a nut").prevailing_torque = torque;
                    }
                    (input.specified_locks, input.around) = (told, around);
                    let asked = told.or(was.is_some().then_some(true));
                    let mut due = match (asked, is.is_some()) {
                        (None, _) => Why::from(["lock-unknown"]),
                        (Some(true), false) => Why::from(["lock-lost"]),
                        (Some(false), true) => Why::from(["lock-gained"]),
                        _ => Why::new(),
                    };
                    // MIL-STD-1250A, 5.6 and 5.7, and a galvanic series (opened).
                    due.extend(match (mark, around) {
                        ("A2-70", Some(Around::Aluminium)) => Some("stainless-in-aluminium"),
                        ("8.8", Some(Around::Aluminium)) => Some("steel-in-aluminium"),
                        ("8.8", Some(Around::Stainless)) => Some("steel-in-stainless"),
                        _ => None,
                    });
                    due.extend((mark == "A2-70").then_some("galling"));
                    let found = compare(&input).expect("in range");
                    agree(&found, due, &|| format!("{told:?} {was:?} {is:?} {around:?} {mark}"));
                }
            }
        }
    }
}

#[test]
fn every_length_is_long_enough_and_not_too_long() {
    // M12: pitch 1.75 mm; grip 20 mm, nut 10.8 mm. Two threads past the nut (common practice), at most 16 mm (opened).
    for tenths in 250..700 {
        for thick in [None, Some(2.5)] {
            let length = f64::from(tenths) / 10.0;
            let mut input = alike(bolt("M12", Some("8.8"), length), Some(nut("M12", Some("8"))));
            if thick.is_some() {
                let both = Some(washer(13.0, 24.0, Some(200.0)));
                (input.specified.washer, input.offered.washer) = (both.clone(), both);
            }
            let out = length - 20.0 - 10.8 - thick.unwrap_or(0.0);
            if (out - 3.5).abs() < 1e-6 || (out - 16.0).abs() < 1e-6 {
                continue;
            }
            let due: Why =
                if out < 3.5 { Some("too-short") } else { (16.0 < out).then_some("too-long") }.into_iter().collect();
            agree(&compare(&input).expect("in range"), due, &|| format!("{length} mm, {thick:?}"));
        }
    }
}

/// Every washer for every washer: room (common practice: 0.35 mm), area by rings, hardness by ISO 7089 and ISO 7090 (from
/// memory): 200 HV under 8.8, 300 HV under 10.9.
#[test]
fn every_washer_for_every_washer() {
    let inner = [11.9, 12.2, 12.5, 13.0, 13.49];
    let outer = [20.0, 24.0, 28.0];
    let mut count = 0;
    for mark in ["5.8", "8.8", "10.9"] {
        let least = match mark {
            "10.9" => 300.0,
            "8.8" => 200.0,
            _ => 0.0,
        };
        for was in inner.into_iter().flat_map(|i| outer.map(|o| (i, o))) {
            for is in inner.into_iter().flat_map(|i| outer.map(|o| (i, o))) {
                for hv in [None, Some(100.0), Some(200.0), Some(300.0)] {
                    let mut input = alike(bolt("M12", Some(mark), 45.0), None);
                    input.specified.washer = Some(washer(was.0, was.1, Some(300.0)));
                    input.offered.washer = Some(washer(is.0, is.1, hv));
                    let mut due = Why::new();
                    let room = is.0 - 12.0;
                    due.extend((room <= 0.0).then_some("washer-does-not-fit"));
                    due.extend((0.0 < room && room < 0.35).then_some("washer-on-fillet"));
                    let area = |ring: (f64, f64)| ring.1 * ring.1 - ring.0 * ring.0;
                    due.extend((area(is) < area(was)).then_some("smaller-washer"));
                    due.extend((area(was) < area(is)).then_some("larger-washer"));
                    if 0.0 < least {
                        due.extend(hv.is_none().then_some("hardness-unknown"));
                        due.extend(hv.is_some_and(|hv| hv < least).then_some("soft-washer"));
                    }
                    agree(&compare(&input).expect("in range"), due, &|| format!("{mark} {was:?} {is:?} {hv:?}"));
                    count += 1;
                }
            }
        }
    }
    assert_eq!(count, 3 * 15 * 15 * 4);
}

/// TB 43-0218, sections III to V, and its kin (opened): one bad answer discards, one missing leaves it open.
#[test]
fn every_answer_to_every_question_of_an_inspection() {
    let names = [
        "threads-damaged",
        "rust-stays",
        "pitted",
        "stretched",
        "locking-used",
        "overtightened",
        "single-use",
        "structural-used",
    ];
    for code in 0..3_u32.pow(8) {
        let answers: [Option<bool>; 8] = std::array::from_fn(|at| match code / 3_u32.pow(at as u32) % 3 {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        });
        let [threads_damaged, rust_stays, pitted, stretched, locks, over_proof, into_yield, structural] = answers;
        let mut input = alike(bolt("M12", Some("8.8"), 45.0), None);
        let seen =
            Inspection { threads_damaged, rust_stays, pitted, stretched, locks, over_proof, into_yield, structural };
        input.used = Some(seen);
        let mut due: Why =
            names.into_iter().zip(answers).filter(|(_, answer)| *answer == Some(true)).map(|(name, _)| name).collect();
        if answers.contains(&None) {
            due.insert("not-inspected");
        } else if due.is_empty() {
            due.insert("good-used");
        }
        agree(&compare(&input).expect("in range"), due, &|| format!("{answers:?}"));
    }
}
