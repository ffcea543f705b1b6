//! Torque tables of government and equipment manuals.

use super::super::tests::{input, torque_for};
use crate::{
    calc::{
        condition::Condition,
        printed::prints_within,
        torque::{Target, adjust_torque},
    },
    model::{
        fastener::{
            BoltClass,
            IsoClass::{C8_8, C10_9},
            SaeGrade::{G5, G8},
        },
        finish::Band,
        thread::Thread,
    },
    tables::friction,
};

const GRADE_5_SOURCE: &str = "US Army TM 5-3895-367-14&P, table H-1, grade 5, dry clean threads, opened";

/// Designation, then the printed torque in lbf ft.
#[rustfmt::skip]
const GRADE_5: &[(&str, f64)] = &[
    ("1/4-20", 8.0), ("1/4-28", 10.0), ("5/16-18", 17.0), ("5/16-24", 19.0), ("3/8-16", 31.0), ("3/8-24", 35.0),
    ("7/16-14", 49.0), ("7/16-20", 55.0), ("1/2-13", 75.0), ("1/2-20", 85.0), ("9/16-12", 110.0), ("9/16-18", 120.0),
    ("5/8-11", 150.0), ("5/8-18", 170.0), ("3/4-10", 270.0), ("3/4-16", 295.0),
];

/// Returns half the step the manual rounds to, read off its own figures: whole pound-feet to 55, fives to 170, and
/// tens above, 270 being a multiple of ten where five would have given 265.
fn half_step(printed: f64) -> f64 {
    if printed < 60.0 {
        0.5
    } else if printed < 200.0 {
        2.5
    } else {
        5.0
    }
}

/// The manual states no nut factor. That 0.20 and three quarters of proof reproduce it is our inference.
#[test]
fn grade_5_dry_is_a_nut_factor_of_a_fifth_at_three_quarters_of_proof() {
    for (thread, printed) in GRADE_5 {
        let got = torque_for(thread, BoltClass::Sae(G5), 0.20, 0.75).lb_ft();
        let source = format!("{GRADE_5_SOURCE}, {thread}");
        prints_within(&source, &printed.to_string(), got, half_step(*printed) - 0.5);
    }
}

/// Designation, grade, dry and lubricated torque in lbf ft. The same manual prints 395 for 3/4-16 grade 5 dry, a
/// misprint for 295; it is not taken in.
#[rustfmt::skip]
const DRY_AND_LUBRICATED: &[(&str, BoltClass, f64, f64)] = &[
    ("1/2-13", BoltClass::Sae(G5), 75.0, 57.0),
    ("1/2-13", BoltClass::Sae(G8), 105.0, 80.0),
    ("5/8-11", BoltClass::Sae(G5), 150.0, 115.0),
    ("5/8-11", BoltClass::Sae(G8), 210.0, 160.0),
    ("3/8-16", BoltClass::Sae(G8), 44.0, 33.0),
];

#[test]
fn dry_and_lubricated_columns_are_a_fifth_and_0_15() {
    for (thread, grade, dry, lubricated) in DRY_AND_LUBRICATED {
        for (nut_factor, printed) in [(0.20, dry), (0.15, lubricated)] {
            let got = torque_for(thread, *grade, nut_factor, 0.75).lb_ft();
            // It rounds as the other manual does, with fives to 210.
            let step = half_step(printed.min(199.0));
            let source = format!("an equipment manual's dry and lubricated table, opened, {thread}");
            prints_within(&source, &printed.to_string(), got, step - 0.5);
        }
    }
}

/// Torque at three quarters of proof in N·m and lbf ft, tolerance of the table itself ±10 %.
///
/// It disagrees with the manual above by 13 % for the same 1/2 in grade 5 bolt: a table is cited, never merged.
#[test]
fn the_other_manual_implies_nut_factors_inside_the_published_bands() {
    let (dry, oiled) = (friction::named("plain-dry").unwrap().band(), friction::named("oiled").unwrap().band());
    #[rustfmt::skip]
    let rows: &[(&str, BoltClass, f64, Band)] = &[
        ("M6", BoltClass::Iso(C8_8), 14.0, dry), ("M8", BoltClass::Iso(C8_8), 27.0, dry),
        ("M10", BoltClass::Iso(C8_8), 54.0, dry), ("M12", BoltClass::Iso(C8_8), 95.0, dry),
        ("M14", BoltClass::Iso(C8_8), 153.0, dry), ("M16", BoltClass::Iso(C8_8), 239.0, dry),
        ("M20", BoltClass::Iso(C8_8), 465.0, dry),
        ("M10", BoltClass::Iso(C10_9), 65.0, oiled), ("M12", BoltClass::Iso(C10_9), 109.0, oiled),
        ("M16", BoltClass::Iso(C10_9), 281.0, oiled), ("M20", BoltClass::Iso(C10_9), 541.0, oiled),
        ("1/2-13", BoltClass::Sae(G5), 65.0 * 1.355_818, oiled), ("5/8-11", BoltClass::Sae(G5), 130.0 * 1.355_818, oiled),
        ("3/4-10", BoltClass::Sae(G5), 185.0 * 1.355_818, oiled), ("1/2-13", BoltClass::Sae(G8), 90.0 * 1.355_818, oiled),
        ("5/8-11", BoltClass::Sae(G8), 178.0 * 1.355_818, oiled), ("3/4-10", BoltClass::Sae(G8), 260.0 * 1.355_818, oiled),
    ];
    for (thread, class, printed, band) in rows {
        let implied = 0.20 * printed / torque_for(thread, *class, 0.20, 0.75).n_m();
        let source = "US Army TM 9-2320-362-14&P, table F-1";
        assert!(band.low <= implied && implied <= band.high, "{source}, {thread}: implies K {implied:.3}");
    }
}

/// The printed dry torque at the printed lubricated one's condition gives the printed lubricated one.
#[test]
fn the_dry_column_converts_into_the_lubricated_one() {
    for (thread, grade, dry, lubricated) in DRY_AND_LUBRICATED {
        let mut asked = input(Thread::read(thread).unwrap(), *grade);
        asked.target = Target::Specified {
            torque: crate::units::Torque::from_lb_ft(*dry),
            condition: Condition::NutFactor(Band::exactly(0.20)),
            includes_prevailing: None,
        };
        asked.actual = Condition::NutFactor(Band::exactly(0.15));
        let got = adjust_torque(&asked).unwrap().fastener.nominal.lb_ft();
        // Both columns are rounded, so both half steps may add.
        let allowed = half_step(dry.min(199.0)) * 0.75 + half_step(lubricated.min(199.0));
        assert!((got - lubricated).abs() <= allowed, "{thread}: prints {lubricated}, got {got}");
    }
}
