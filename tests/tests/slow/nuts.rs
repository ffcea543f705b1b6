//! Nuts with a duty of their own: galvanised ones, tapped oversize, and locking ones that were on before. What a plan's joint
//! must be told is worked out from printed stresses, the geometry of the thread and a weight on an arm; the tables of the
//! code under test are not asked.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::sync::Arc;

use baybook_core::{
    calc::torque::prevailing::Lock,
    model::{
        fastener::{NutClass, NutKind},
        thread::Thread,
        upfit::Upfit,
    },
    rules::{Finding, Severity, check, run::fixture},
    units::Torque,
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// What one rule says of the plan's joint.
fn said(plan: &Upfit, rule: &str) -> Option<Finding> {
    check(plan).findings.into_iter().find(|finding| finding.rule.id == rule)
}

/// How a rule must speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Due {
    Silent,
    Unknown,
    Weighs(Severity),
}

fn of(finding: Option<&Finding>) -> Due {
    match finding {
        None => Due::Silent,
        Some(finding) if finding.unknown => Due::Unknown,
        Some(finding) => Due::Weighs(finding.severity),
    }
}

fn pick<T: Copy>(random: &mut ChaCha8Rng, from: &[T]) -> T {
    from.get(random.random_range(0..from.len())).copied().expect("one of them")
}

/// The tensile stress area of a metric thread: a circle between pitch and core diameter, mm².
fn stress_area(d: f64, pitch: f64) -> f64 {
    let height = pitch * 3.0_f64.sqrt() / 2.0;
    let (d2, d3) = (d - 0.75 * height, d - 17.0 / 12.0 * height);
    std::f64::consts::PI / 4.0 * f64::midpoint(d2, d3).powi(2)
}

/// A galvanised nut of class 8 is proved to 698 MPa as M8 and 728 MPa as M10 (ISO 10684, annex, opened); what oversize
/// tapping costs it, it costs one of class 10 too: full ones are proved to 870 and 1040 MPa (ISO 898-2, opened). Returns
/// kilonewtons.
fn galvanised_holds(size: &str, class: NutClass) -> Option<f64> {
    let (d, pitch, stress) = match size {
        "M8" => (8.0, 1.25, 698.0),
        "M10" => (10.0, 1.5, 728.0),
        _ => return None,
    };
    let full = match class {
        NutClass::Iso8 => 870.0,
        NutClass::Iso10 => 1040.0,
        _ => return None,
    };
    Some(stress / 870.0 * full * stress_area(d, pitch) / 1000.0)
}

/// Printed loads are rounded to 0.1 kN, printed stresses to 1 MPa: half of the first, and half of the second on the larger
/// area and in the stronger class, kN.
const PRINTED_WITHIN: f64 = 0.05 + 0.5 * 58.0 / 1000.0 * 1040.0 / 870.0;

#[test]
fn a_galvanised_nut_holds_what_its_oversize_thread_leaves() {
    const SIZES: [&str; 5] = ["M8", "M10", "M10x1.25", "M12", "M16"];
    const CLASSES: [NutClass; 5] = [NutClass::Iso5, NutClass::Iso6, NutClass::Iso8, NutClass::Iso10, NutClass::Iso12];
    let (mut near, mut told) = (0, [0_u32; 3]);
    let count = cases(2_000);
    for seed in first_seed()..first_seed() + count {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (size, class) = (pick(&mut random, &SIZES), pick(&mut random, &CLASSES));
        let galvanised = pick(&mut random, &[Some(true), Some(false), None]);
        let thread = Thread::read(size).expect("a thread");
        let d = thread.diameter.mm();
        // About the loads of the table: the least nut factor of the condition, 0.18, makes the most of a torque.
        let force = random.random_range(0.2..1.6) * 30.0 * (d / 8.0).powi(2);
        let mut plan = fixture::plan();
        let joint = fixture::joint(&mut plan);
        for bolt in [&mut joint.bolt, &mut joint.specified_bolt].into_iter().flatten() {
            let bolt = Arc::make_mut(bolt);
            (bolt.thread, bolt.hot_dip_galvanised) = (thread, galvanised);
        }
        for nut in [&mut joint.nut, &mut joint.specified_nut].into_iter().flatten() {
            let nut = Arc::make_mut(nut);
            (nut.thread, nut.class, nut.kind) = (thread, Some(class), Some(NutKind::Regular));
        }
        joint.planned_torque = Some(Torque::from_n_m(0.18 * force * d));
        let holds = galvanised_holds(size, class);
        let weakened = size.starts_with("M8") || size.starts_with("M10");
        let due = match (weakened, galvanised, holds) {
            (false, ..) | (_, Some(false), _) => Due::Silent,
            (_, _, None) => Due::Unknown,
            (_, _, Some(holds)) if (force - holds).abs() <= PRINTED_WITHIN => {
                near += 1;
                continue;
            }
            (_, _, Some(holds)) if force < holds => Due::Silent,
            (_, None, _) => Due::Unknown,
            (_, Some(true), _) => Due::Weighs(Severity::Block),
        };
        let found = said(&plan, "hot-dip-nut");
        assert_eq!(of(found.as_ref()), due, "seed {seed}: {size} {class:?} {galvanised:?} {force} kN: {found:?}");
        told[match due {
            Due::Silent => 0,
            Due::Unknown => 1,
            Due::Weighs(_) => 2,
        }] += 1;
        if let (Due::Weighs(_), Some(found), Some(holds)) = (due, found, holds) {
            assert!((found.value.expect("a force") - force).abs() <= 1e-9 * force, "seed {seed}: {found:?}");
            assert!((found.limit.expect("a load") - holds).abs() <= PRINTED_WITHIN, "seed {seed}: {found:?}");
        }
    }
    assert!(count < 2_000 || told.iter().all(|told| 20 < *told), "{told:?}");
    assert!(near <= 1 + count / 50, "{near} of {count} lay too near a printed load to tell");
}

/// The least prevailing torque at which a nut goes on again, all-metal and with an insert, lbf in, as US Army TM
/// 9-6115-604-34, table 1-3 prints it (opened).
const AGAIN: [(&str, [f64; 2]); 8] = [
    ("1/4-20", [4.0, 4.0]),
    ("5/16-18", [5.0, 5.0]),
    ("3/8-16", [12.0, 9.0]),
    ("7/16-14", [15.0, 12.0]),
    ("1/2-13", [20.0, 15.0]),
    ("9/16-12", [27.0, 22.0]),
    ("5/8-11", [34.0, 28.0]),
    ("3/4-10", [51.0, 43.0]),
];

/// Newton metres of so many pounds that hang on an arm of an inch.
fn pounds_on_an_inch(pounds: f64) -> f64 {
    pounds * 0.453_592_37 * 9.806_65 * 0.025_4
}

#[test]
fn a_used_locking_nut_goes_on_again_while_it_still_holds_its_weight() {
    let mut told = [0_u32; 4];
    let count = cases(2_000);
    for seed in first_seed()..first_seed() + count {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let printed = random.random_bool(0.85).then(|| pick(&mut random, &AGAIN));
        let size = printed.map_or("M12", |(size, _)| size);
        let lock = pick(&mut random, &[Some(Lock::AllMetal), Some(Lock::Insert), Some(Lock::Insert), None]);
        let flags = [Some(true), Some(true), Some(true), Some(false), None];
        let (nut_used, bolt_used) = (pick(&mut random, &flags), pick(&mut random, &[Some(true), Some(false), None]));
        let measured = random.random_bool(0.9).then(|| random.random_range(0.0..60.0_f64).round());
        let locks_by_itself = random.random_bool(0.5);
        let mut plan = fixture::plan();
        let joint = fixture::joint(&mut plan);
        let nut = Arc::make_mut(joint.nut.as_mut().expect("a nut"));
        nut.thread = Thread::read(size).expect("a thread");
        nut.prevailing_torque = locks_by_itself.then(|| Torque::from_n_m(3.0));
        (joint.nut_lock, joint.nut_reused, joint.bolt_reused) = (lock, nut_used, bolt_used);
        joint.nut_prevailing = measured.map(|pounds| Torque::from_n_m(pounds_on_an_inch(pounds)));
        let asked = match nut_used {
            _ if lock.is_none() && !locks_by_itself => None,
            Some(used) => Some(used).filter(|used| *used).map(|_| true),
            None if bolt_used == Some(true) => Some(false),
            None => None,
        };
        let due = match (asked, lock, measured, printed) {
            (None, ..) => Due::Silent,
            (Some(true), Some(lock), Some(measured), Some((_, [all_metal, insert]))) => {
                let least = if lock == Lock::AllMetal { all_metal } else { insert };
                // Whole pounds on both sides: nothing lies between.
                Due::Weighs(if measured < least { Severity::Block } else { Severity::Warn })
            }
            _ => Due::Unknown,
        };
        let found = said(&plan, "locking-nut-reused");
        assert_eq!(of(found.as_ref()), due, "seed {seed}: {size} {lock:?} {nut_used:?} {measured:?}: {found:?}");
        told[match due {
            Due::Silent => 0,
            Due::Unknown => 1,
            Due::Weighs(Severity::Block) => 2,
            Due::Weighs(_) => 3,
        }] += 1;
    }
    assert!(count < 2_000 || told.iter().all(|told| 20 < *told), "{told:?}");
}
