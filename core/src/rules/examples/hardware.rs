//! Examples of rules over what goes into a joint and what turns it.

use std::sync::Arc;

use super::{Example, answer, number};
use crate::{
    calc::{compare_fasteners::reuse::Inspection, torque::prevailing::Lock},
    model::{
        day::Day,
        fastener::{BoltClass, IsoClass, Nut, NutClass, StainlessClass, Washer},
        finish::Lubricated,
        thread::Thread,
        upfit::Upfit,
        wrench::Wrench,
    },
    rules::run::fixture::*,
    units::Torque,
};

fn with_wrench(plan: &mut Upfit, change: impl FnOnce(&mut Wrench)) {
    change(Arc::make_mut(joint(plan).wrench.insert(click())));
}

fn with_nut(plan: &mut Upfit, class: NutClass, change: impl FnOnce(&mut Nut)) {
    change(Arc::make_mut(joint(plan).nut.insert(nut(class))));
}

fn with_washer(plan: &mut Upfit, change: impl FnOnce(&mut Washer)) {
    change(Arc::make_mut(joint(plan).washer.insert(washer(Some(200.0)))));
}

fn torque(plan: &mut Upfit, n_m: f64) {
    joint(plan).planned_torque = Some(Torque::from_n_m(n_m));
}

fn used_bolt(plan: &mut Upfit, inspection: Inspection) {
    joint(plan).bolt_reused = Some(true);
    joint(plan).bolt_inspection = Some(inspection);
}

/// A used nut of half an inch with an insert that still prevails with so much, N·m.
fn used_nut(plan: &mut Upfit, n_m: f64) {
    with_nut(plan, NutClass::Iso8, |nut| nut.thread = half_inch());
    joint(plan).nut_reused = Some(true);
    joint(plan).nut_lock = Some(Lock::Insert);
    joint(plan).nut_prevailing = Some(Torque::from_n_m(n_m));
}

/// A hot-dip galvanised M10 of class 8.8 with a nut of class 8.
fn galvanised(plan: &mut Upfit, n_m: f64) {
    let Ok(m10) = Thread::metric(10.0, 1.5) else { return };
    with_nut(plan, NutClass::Iso8, |nut| nut.thread = m10);
    let mut galvanised = bolt(IsoClass::C8_8);
    let own = Arc::make_mut(&mut galvanised);
    (own.thread, own.hot_dip_galvanised) = (m10, Some(true));
    joint(plan).bolt = Some(galvanised);
    torque(plan, n_m);
}

fn stainless(plan: &mut Upfit, lubricated: Lubricated) {
    with_nut(plan, NutClass::Stainless70, |_| ());
    let mut own = bolt(IsoClass::C8_8);
    Arc::make_mut(&mut own).class = Some(BoltClass::Stainless(StainlessClass::C70));
    joint(plan).bolt = Some(own);
    Arc::make_mut(joint(plan).finish.insert(dry())).lubricated = Some(lubricated);
}

pub(super) const EXAMPLES: &[Example] = &[
    number("wrench-range", "max(scale begin, 0.2 x scale end) <= torque <= scale end", 30.0, 88.0, |p, value| {
        joint(p).wrench = Some(click());
        torque(p, value);
    }),
    answer(
        "wrench-calibration",
        "day of the work <= last day of calibration",
        |p| with_wrench(p, |wrench| wrench.calibration_due = Day::read("2026-11-25")),
        |p| with_wrench(p, |wrench| wrench.calibration_due = Day::read("2026-11-26")),
    ),
    number("wrench-deviation", "deviation <= 4 %, 6 % up to 10 N·m", 0.06, 0.03, |p, value| {
        with_wrench(p, |wrench| wrench.accuracy_share = Some(value));
    }),
    number("nut-over-proof", "likely preload <= the nut's proof load", 180.0, 60.0, |p, value| {
        joint(p).nut = Some(nut(NutClass::Iso6));
        torque(p, value);
    }),
    number("hot-dip-nut", "greatest preload <= the reduced proof load of the galvanised nut", 90.0, 50.0, galvanised),
    answer(
        "reused-bolt-inspection",
        "a used bolt is neither damaged, rusted, pitted nor stretched, and never locked",
        |p| used_bolt(p, Inspection { pitted: Some(true), ..good_used() }),
        |p| used_bolt(p, good_used()),
    ),
    number("locking-nut-reused", "prevailing torque of a used nut >= the printed least", 1.0, 3.0, used_nut),
    answer(
        "brittle-bolt",
        "a 12.9 bolt is specified where it is fitted",
        |p| joint(p).bolt = Some(bolt(IsoClass::C12_9)),
        |p| {
            joint(p).bolt = Some(bolt(IsoClass::C10_9));
        },
    ),
    answer(
        "stainless-dry",
        "stainless threads on stainless threads carry lubricant",
        |p| stainless(p, Lubricated::Dry),
        |p| stainless(p, Lubricated::Both),
    ),
    number("washer-covers-face", "washer's outside >= widest face on it", 14.0, 24.0, |p, value| {
        with_washer(p, |washer| washer.outer_diameter = Some(mm(value)));
    }),
    number("washer-on-fillet", "washer hole >= thread + 0.35 mm", 12.1, 13.0, |p, value| {
        with_washer(p, |washer| washer.inner_diameter = Some(mm(value)));
    }),
];
