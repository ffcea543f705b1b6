//! What was written down while the work was done, and what is still to come.

use std::sync::Arc;

use super::{
    day::{Day, Moment},
    fastener::Bolt,
    wrench::Wrench,
};
use crate::units::Torque;

/// One reading of a torque wrench on one bolt.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueReading {
    /// Which joint of the plan.
    pub joint: String,
    /// What the wrench showed.
    pub torque: Option<Torque>,
    /// The wrench.
    pub wrench: Option<Arc<Wrench>>,
    /// When.
    pub at: Option<Moment>,
    /// Who.
    pub person: Option<String>,
    /// Whether it is a reading of the re-check, after the first drive.
    pub recheck: bool,
}

/// What really went into one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedBolt {
    /// Which joint of the plan.
    pub joint: String,
    /// The bolt, as its head and its box say.
    pub bolt: Option<Arc<Bolt>>,
    /// The lot it came from.
    pub lot: Option<String>,
}

/// Something that is still to be done after the job.
#[derive(Debug, Clone, PartialEq)]
pub struct FollowUp {
    /// What.
    pub label: String,
    /// By when.
    pub due: Option<Day>,
    /// Whether it is done.
    pub done: bool,
}

/// The record of one job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WorkRecord {
    /// The day on which the record is judged.
    pub today: Option<Day>,
    /// Whether the vehicle is released to its user.
    pub released: Option<bool>,
    /// Readings, in any order.
    pub readings: Vec<TorqueReading>,
    /// What went in, joint by joint.
    pub fitted: Vec<FittedBolt>,
    /// What is still to be done.
    pub follow_ups: Vec<FollowUp>,
    /// The odometer at hand-over, km.
    pub odometer_handover_km: Option<f64>,
    /// The odometer now, km.
    pub odometer_now_km: Option<f64>,
}

impl WorkRecord {
    /// Returns the readings of one joint with their places, those of the job or those of the re-check.
    pub fn of<'a>(&'a self, joint: &'a str, recheck: bool) -> impl Iterator<Item = (usize, &'a TorqueReading)> {
        let all = self.readings.iter().enumerate();
        all.filter(move |(_, reading)| reading.joint == joint && reading.recheck == recheck)
    }
}
