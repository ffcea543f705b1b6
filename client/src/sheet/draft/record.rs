//! Puts the record of the work together from the cells of one row.

use baybook_proto::v1 as pb;

use crate::sheet::{
    cells::Value,
    columns::{Header, Work},
};

/// What one row says of the work, each with whether the row says enough of it to count.
#[derive(Default)]
pub struct Record {
    told: bool,
    record: pb::WorkRecord,
    person: String,
    wrench: Option<String>,
    readings: Vec<(bool, pb::TorqueReading)>,
    fitted: Vec<(bool, pb::FittedBolt)>,
    follow_ups: Vec<(bool, pb::FollowUp)>,
}

impl Record {
    /// Puts a cell's value where its column goes. Somebody who writes that a thing is not known says that there is one.
    pub fn set(&mut self, field: Work, value: Value) {
        match field {
            Work::Today => self.record.today = text(value),
            Work::Person => self.person = text(value),
            Work::Wrench => self.wrench = Some(text(value)).filter(|name| !name.is_empty()),
            Work::Released => {
                self.record.released = flag(&value);
                self.told = true;
            }
            Work::OdometerHandover => {
                self.record.odometer_handover_km = number(&value);
                self.told = true;
            }
            Work::OdometerNow => {
                self.record.odometer_now_km = number(&value);
                self.told = true;
            }
            Work::ReadingTorque(at) => {
                let (told, reading) = place(&mut self.readings, at);
                *told = true;
                reading.torque = number(&value).map(|it| pb::Torque { value_n_m: Some(it), printed: String::new() });
            }
            Work::ReadingTime(at) => {
                let (told, reading) = place(&mut self.readings, at);
                *told = true;
                reading.taken_at = text(value);
            }
            Work::ReadingPerson(at) => place(&mut self.readings, at).1.person = text(value),
            Work::ReadingWrench(at) => place(&mut self.readings, at).1.wrench = Some(wrench(text(value))),
            Work::ReadingRecheck(at) => place(&mut self.readings, at).1.recheck = flag(&value) == Some(true),
            Work::FittedBolt(at) => {
                let (told, fitted) = place(&mut self.fitted, at);
                *told = true;
                let name = Some(text(value)).filter(|name| !name.is_empty());
                fitted.bolt = name.map(|name| pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(name)) });
            }
            Work::FittedLot(at) => {
                let (told, fitted) = place(&mut self.fitted, at);
                *told = true;
                fitted.lot = text(value);
            }
            Work::FollowUpDue(at) => {
                let (told, follow_up) = place(&mut self.follow_ups, at);
                *told = true;
                follow_up.due = text(value);
            }
            Work::FollowUpDone(at) => {
                let (told, follow_up) = place(&mut self.follow_ups, at);
                *told = true;
                follow_up.done = flag(&value) == Some(true);
            }
        }
    }

    /// Returns which readings, fitted bolts and follow-ups of the header the row tells of.
    pub fn told(&self) -> [Vec<usize>; 3] {
        fn told<T>(all: &[(bool, T)]) -> Vec<usize> {
            all.iter().enumerate().filter(|(_, (told, _))| *told).map(|(at, _)| at).collect()
        }
        [told(&self.readings), told(&self.fitted), told(&self.follow_ups)]
    }

    /// Returns the record; none when the row says nothing but who, with which wrench and on which day, which a sheet may
    /// carry on every row.
    pub fn finish(self, header: &Header) -> Option<pb::WorkRecord> {
        let Self { told, mut record, person, wrench: usual, readings, fitted, follow_ups } = self;
        record.readings = named(readings, &header.readings, |reading, label| {
            reading.joint = joint_of(label).to_owned();
            if reading.person.is_empty() {
                reading.person.clone_from(&person);
            }
            match &mut reading.wrench {
                Some(own) if own.wrench.is_none() => reading.wrench = None,
                Some(_) => {}
                None => reading.wrench = usual.clone().map(wrench),
            }
        });
        record.fitted = named(fitted, &header.fitted, |fitted, label| fitted.joint = label.to_owned());
        record.follow_ups = named(follow_ups, &header.follow_ups, |it, label| it.label = label.to_owned());
        let empty = record.readings.is_empty() && record.fitted.is_empty() && record.follow_ups.is_empty();
        (told || !empty).then_some(record)
    }
}

/// Returns the joint of a reading: `frame` of `frame`, and of `frame.2`.
fn joint_of(label: &str) -> &str {
    match label.rsplit_once('.') {
        Some((joint, bolt)) if !bolt.is_empty() && bolt.bytes().all(|byte| byte.is_ascii_digit()) => joint,
        _ => label,
    }
}

/// Keeps what the row told of, under the names of the header.
fn named<T>(all: Vec<(bool, T)>, labels: &[String], name: impl Fn(&mut T, &str)) -> Vec<T> {
    let told = all.into_iter().zip(labels).filter(|((told, _), _)| *told);
    told.map(|((_, mut one), label)| {
        name(&mut one, label);
        one
    })
    .collect()
}

fn place<T: Default>(all: &mut Vec<(bool, T)>, at: usize) -> (&mut bool, &mut T) {
    if all.len() <= at {
        all.resize_with(at + 1, Default::default);
    }
    let (told, one) = &mut all[at];
    (told, one)
}

fn wrench(name: String) -> pb::WrenchRef {
    // A wrench that nobody knows stays one: the usual one is not taken for it.
    pb::WrenchRef { wrench: Some(name).filter(|name| !name.is_empty()).map(pb::wrench_ref::Wrench::Name) }
}

fn text(value: Value) -> String {
    match value {
        Value::Text(text) if text != "?" => text,
        _ => String::new(),
    }
}

const fn flag(value: &Value) -> Option<bool> {
    match value {
        Value::Flag(flag) => Some(*flag),
        _ => None,
    }
}

const fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => Some(*number),
        _ => None,
    }
}
