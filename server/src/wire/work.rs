//! The record of a job: readings, what went in, what is still to come.

use baybook_core::{
    model::{
        day::Moment,
        fastener::Bolt,
        upfit::PlannedJoint,
        work::{FittedBolt, FollowUp, TorqueReading, WorkRecord},
        wrench::Wrench,
    },
    range::Range,
};
use baybook_proto::v1 as pb;

use super::{Fields, Lookup, fields::LABEL_MAX, ranges};

/// The most readings of one record.
const READINGS_MAX: usize = 1000;
/// The most fitted bolts of one record.
const FITTED_MAX: usize = 200;
/// The most follow-ups of one record.
const FOLLOW_UPS_MAX: usize = 100;
/// What an odometer shows.
const ODOMETER: Range = Range::new("odometer_km", "km", 0.0, 5_000_000.0);

/// Reads the record of a plan with these joints.
pub(super) fn work(
    wire: &pb::WorkRecord,
    joints: &[PlannedJoint],
    lookup: &impl Lookup,
    fields: &mut Fields,
) -> WorkRecord {
    let today = fields.day("today", &wire.today);
    let readings = fields.each("readings", &wire.readings, READINGS_MAX, |wire, fields| {
        Some(TorqueReading {
            joint: joint(&wire.joint, joints, fields),
            torque: fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE),
            wrench: fields.entry::<Wrench>("wrench", wire.wrench.as_ref(), lookup),
            at: moment("taken_at", &wire.taken_at, fields),
            person: fields.optional_text("person", &wire.person, LABEL_MAX),
            recheck: wire.recheck,
        })
    });
    let fitted = fields.each("fitted", &wire.fitted, FITTED_MAX, |wire, fields| {
        Some(FittedBolt {
            joint: joint(&wire.joint, joints, fields),
            bolt: fields.entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup),
            lot: fields.optional_text("lot", &wire.lot, LABEL_MAX),
        })
    });
    let follow_ups = fields.each("follow_ups", &wire.follow_ups, FOLLOW_UPS_MAX, |wire, fields| {
        Some(FollowUp {
            label: fields.text("label", &wire.label, LABEL_MAX),
            due: fields.day("due", &wire.due),
            done: wire.done,
        })
    });
    let handover = fields.number("odometer_handover_km", wire.odometer_handover_km, &ODOMETER);
    let now = fields.number("odometer_now_km", wire.odometer_now_km, &ODOMETER);
    if let (Some(handover), Some(now)) = (handover, now)
        && now < handover
    {
        fields.reject("odometer_now_km", format!("must be at least odometer_handover_km, {handover} km, is {now}"));
    }
    WorkRecord {
        today,
        released: wire.released,
        readings,
        fitted,
        follow_ups,
        odometer_handover_km: handover,
        odometer_now_km: now,
    }
}

/// Reads which joint of the plan is meant.
fn joint(id: &str, joints: &[PlannedJoint], fields: &mut Fields) -> String {
    if joints.iter().any(|joint| joint.id == id) {
        return id.to_owned();
    }
    let known: Vec<&str> = joints.iter().map(|joint| joint.id.as_str()).collect();
    fields.reject(
        "joint",
        match known.as_slice() {
            [] => "is a joint of the plan, but the plan has none: add its joints".to_owned(),
            known => format!("must be one of the plan's joints: {}", known.join(", ")),
        },
    );
    String::new()
}

fn moment(name: &'static str, text: &str, fields: &mut Fields) -> Option<Moment> {
    if text.is_empty() {
        return None;
    }
    let found = Moment::read(text);
    if found.is_none() {
        fields.reject(
            name,
            "must be a day and a time as YYYY-MM-DDTHH:MM:SS, with Z or an offset behind it or nothing, such as \
             2027-03-31T14:05:00+02:00",
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use baybook_core::rules::{self, Verdict};

    use super::*;
    use crate::wire::{
        fixture::{Book, paths, plan},
        read_plan,
    };

    fn with(record: pb::WorkRecord) -> pb::UpfitPlan {
        pb::UpfitPlan { work: Some(record), ..plan() }
    }

    fn reading(joint: &str, taken_at: &str) -> pb::TorqueReading {
        let torque = Some(pb::Torque { value_n_m: Some(110.0), printed: String::new() });
        pb::TorqueReading { joint: joint.into(), torque, taken_at: taken_at.into(), ..Default::default() }
    }

    #[test]
    fn a_record_is_read_and_judged() {
        let id = plan().joints[0].id.clone();
        let wire = with(pb::WorkRecord {
            today: "2026-11-26".into(),
            released: Some(true),
            readings: vec![reading(&id, "2026-11-26T14:05:00+01:00")],
            ..Default::default()
        });
        let upfit = read_plan(&wire, Book::demo()).unwrap();
        let work = upfit.work.as_deref().unwrap();
        assert_eq!(work.readings[0].at.unwrap().to_string(), "2026-11-26T13:05:00Z");
        let report = rules::check(&upfit);
        assert_ne!(report.verdict, Verdict::Clear);
        assert!(report.findings.iter().any(|finding| finding.subject == "work.readings[0].wrench" && finding.unknown));
    }

    #[test]
    fn what_cannot_be_is_refused_where_it_stands() {
        let wire = with(pb::WorkRecord {
            today: "tomorrow".into(),
            readings: vec![reading("roof", "14:05")],
            fitted: vec![pb::FittedBolt { joint: "roof".into(), ..Default::default() }],
            follow_ups: vec![pb::FollowUp { due: "2026-02-30".into(), ..Default::default() }],
            odometer_handover_km: Some(100.0),
            odometer_now_km: Some(99.0),
            ..Default::default()
        });
        let error = read_plan(&wire, Book::demo()).unwrap_err();
        assert_eq!(
            paths(&error),
            [
                "work.today",
                "work.readings[0].joint",
                "work.readings[0].taken_at",
                "work.fitted[0].joint",
                "work.follow_ups[0].due",
                "work.odometer_now_km"
            ]
        );
    }
}
