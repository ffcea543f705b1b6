//! Examples of rules over batches, records and what is still to come.

use super::{Example, answer, number};
use crate::{
    model::{
        day::Moment,
        fastener::{BoltClass, IsoClass},
        upfit::{Twin, Upfit},
    },
    rules::run::fixture::*,
    units::Torque,
};

/// Makes the bolt that went in another one.
fn fitted(plan: &mut Upfit, class: IsoClass) {
    for row in &mut work(plan).fitted {
        if let Some(bolt) = &mut row.bolt {
            std::sync::Arc::make_mut(bolt).class = Some(BoltClass::Iso(class));
        }
    }
}

/// Writes down when the last reading was taken.
fn last_at(plan: &mut Upfit, text: &str) {
    if let Some(reading) = work(plan).readings.last_mut() {
        reading.at = Moment::read(text);
    }
}

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "vin-twice",
        "no earlier plan of the batch has the same number and another plan",
        |p| p.twin = Some(Twin { seq: 17, same: false }),
        |p| p.twin = Some(Twin { seq: 17, same: true }),
    ),
    answer(
        "wiring-not-planned",
        "circuits are planned, or the trailer is wired elsewhere",
        |p| p.answers.wired_elsewhere = Some(false),
        |p| p.answers.wired_elsewhere = Some(true),
    ),
    answer(
        "torque-reading-missing",
        "at release: as many readings as bolts",
        |p| drop(work(p).readings.pop()),
        |p| {
            work(p);
        },
    ),
    number("torque-reading-off", "0.9 planned <= reading <= 1.1 planned", 60.0, 88.0, |p, value| {
        if let Some(reading) = work(p).readings.first_mut() {
            reading.torque = Some(Torque::from_n_m(value));
        }
    }),
    answer(
        "wrench-out-of-calibration",
        "day of the reading <= day the calibration runs out",
        |p| wrench_used(p).calibration_due = day("2026-11-25"),
        |p| wrench_used(p).calibration_due = day("2026-11-26"),
    ),
    answer(
        "bolt-not-as-kit",
        "class, thread and length fitted = planned",
        |p| fitted(p, IsoClass::C10_9),
        |p| fitted(p, IsoClass::C8_8),
    ),
    answer(
        "tightened-too-fast",
        "5 s <= time between two readings of one person",
        |p| last_at(p, "2026-11-26T14:05:14Z"),
        |p| last_at(p, "2026-11-26T14:05:15Z"),
    ),
    number("recheck-due", "re-checked, or at most 160 km driven since hand-over", 400.0, 100.0, |p, value| {
        work(p).odometer_now_km = Some(41_000.0 + value);
    }),
    answer(
        "follow-up-overdue",
        "done, or today <= its day",
        |p| work(p).follow_ups.iter_mut().for_each(|item| item.due = day("2026-11-25")),
        |p| work(p).follow_ups.iter_mut().for_each(|item| item.due = day("2026-11-26")),
    ),
];
