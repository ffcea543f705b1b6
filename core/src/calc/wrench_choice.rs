//! Which torque wrench to take, and why the others stay on the board.
//!
//! Three answers, as everywhere: a wrench is fit for the job, it may be but something is not known, or it is not.

use super::{
    adapter::{self, ACCURACY, Adapter, LEAST_SHARE_OF_SCALE},
    passes::{PassPlan, Passes},
    torque::TORQUE,
};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::{day::Day, wrench::Wrench},
    units::{Angle, Length, Torque},
};

/// Where the usable part of a scale comes from.
pub const SCALE_SOURCE: Source = Source::new("a fifth of the scale to its end", "", Seen::CommonPractice);
/// Where it comes from that a wrench is used within its calibration only.
pub const CALIBRATION_SOURCE: Source = Source::new("calibration holds on the day of use", "", Seen::CommonPractice);

/// A crowfoot that goes on whichever wrench is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crowfoot {
    /// Drive centre to the load point of the grip; `None` for the lever of each wrench.
    pub lever: Option<Length>,
    /// Drive centre to the fastener's centre.
    pub extension: Length,
    /// Between the wrench's axis and the crowfoot.
    pub angle: Angle,
}

/// What a wrench is wanted for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Job {
    /// The full torque at the fastener.
    pub torque: Torque,
    /// In how many steps; the first of them has to be on the scale too. `None`: at once.
    pub passes: Option<PassPlan>,
    /// What is on the wrench.
    pub crowfoot: Option<Crowfoot>,
    /// The day it is used.
    pub day: Day,
    /// The greatest deviation that will do; `None` when any known one does.
    pub accuracy_max: Option<f64>,
}

/// What speaks against a wrench, or is not known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Objection {
    /// The setting lies under the scale.
    BelowScale {
        /// Where the scale begins.
        least: Torque,
    },
    /// The setting lies in the lowest fifth of the scale.
    LowOnScale {
        /// A fifth of the scale.
        least: Torque,
    },
    /// The setting lies over the scale.
    AboveScale {
        /// Where the scale ends.
        most: Torque,
    },
    /// The first step lies under what the scale is good for.
    FirstStepLow {
        /// The first step's setting.
        setting: Torque,
        /// What the scale is good for.
        least: Torque,
    },
    /// Its calibration ran out before the day of use.
    CalibrationPast {
        /// The last day it held.
        due: Day,
    },
    /// It deviates by more than the job allows.
    TooInaccurate {
        /// Its deviation.
        share: f64,
        /// What the job allows.
        most: f64,
    },
    /// With the crowfoot turned back there is next to no lever left.
    NoLeverLeft,
    /// Nobody says where its scale begins.
    ScaleStartUnknown,
    /// Nobody says where its scale ends.
    ScaleEndUnknown,
    /// Nobody says until when its calibration holds.
    CalibrationUnknown,
    /// Nobody says how far it deviates.
    AccuracyUnknown,
    /// Nobody says how long its lever is, and there is a crowfoot.
    LeverUnknown,
}

impl Objection {
    /// Returns whether it is a lack of knowledge and not a fault.
    #[must_use]
    pub const fn is_unknown(&self) -> bool {
        matches!(
            self,
            Self::ScaleStartUnknown
                | Self::ScaleEndUnknown
                | Self::CalibrationUnknown
                | Self::AccuracyUnknown
                | Self::LeverUnknown
        )
    }

    /// Returns the field of the wrench that is to blame.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::BelowScale { .. } | Self::ScaleStartUnknown => "scale_min",
            Self::LowOnScale { .. } | Self::FirstStepLow { .. } => "scale_max",
            Self::AboveScale { .. } | Self::ScaleEndUnknown => "scale_max",
            Self::CalibrationPast { .. } | Self::CalibrationUnknown => "calibration_due",
            Self::TooInaccurate { .. } | Self::AccuracyUnknown => "accuracy_share",
            Self::NoLeverLeft | Self::LeverUnknown => "lever_mm",
        }
    }
}

/// How a wrench stands to a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fitness {
    /// Everything is known, and holds.
    Fit,
    /// Nothing known speaks against it, but something is unknown.
    Unknown,
    /// Something known speaks against it.
    Unfit,
}

/// A wrench, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// Its place in the list that was given.
    pub index: usize,
    /// How it stands.
    pub fitness: Fitness,
    /// What to set it to; `None` when its lever is not known.
    pub setting: Option<Torque>,
    /// What to set it to for the first step, when there is more than one.
    pub first_setting: Option<Torque>,
    /// How far up its scale the setting lies.
    pub scale_share: Option<f64>,
    /// By how much the torque at the fastener may then be off.
    pub deviation: Option<Torque>,
    /// What speaks against it, and what is not known.
    pub objections: Vec<Objection>,
}

/// Weighs one wrench.
///
/// ```text
/// max(scale_min, 0.2 · scale_max) ≤ T · L / (L + E cos φ) ≤ scale_max;  day ≤ calibration_due;  δ ≤ δ_max
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a torque outside [`TORQUE`], a deviation outside [`ACCURACY`] or a crowfoot outside its
/// ranges.
///
/// # Source
///
/// [`SCALE_SOURCE`], [`CALIBRATION_SOURCE`]; the crowfoot [`adapter::SOURCE`].
pub fn weigh(job: &Job, wrench: &Wrench, index: usize) -> Result<Weighed, CalcError> {
    let torque = Torque::from_n_m(TORQUE.check(job.torque.n_m())?);
    job.accuracy_max.map(|most| ACCURACY.check(most)).transpose()?;
    let mut objections = Vec::new();
    let ratio = ratio(job.crowfoot, wrench, &mut objections)?;
    let first = job.passes.map(|plan| Passes::split(torque, plan));
    let first = first.as_ref().and_then(|passes| passes.steps().first().copied()).filter(|first| *first < torque);
    let setting = ratio.map(|ratio| torque * ratio);
    let first_setting = ratio.zip(first).map(|(ratio, first)| first * ratio);
    scale(wrench, setting, first_setting, &mut objections);
    match wrench.calibration_due {
        None => objections.push(Objection::CalibrationUnknown),
        Some(due) if due < job.day => objections.push(Objection::CalibrationPast { due }),
        Some(_) => {}
    }
    match (wrench.accuracy_share.map(|share| ACCURACY.check(share)).transpose()?, job.accuracy_max) {
        (None, _) => objections.push(Objection::AccuracyUnknown),
        (Some(share), Some(most)) if most < share => objections.push(Objection::TooInaccurate { share, most }),
        (Some(_), _) => {}
    }
    let fitness = match objections.iter().map(Objection::is_unknown).min() {
        None => Fitness::Fit,
        Some(true) => Fitness::Unknown,
        Some(false) => Fitness::Unfit,
    };
    Ok(Weighed {
        index,
        fitness,
        setting,
        first_setting,
        scale_share: setting.zip(wrench.scale_max).map(|(setting, most)| setting / most),
        deviation: wrench.accuracy_share.map(|share| torque * share),
        objections,
    })
}

/// Returns the setting over the torque at the fastener; nothing, and why, when it cannot be told.
fn ratio(
    crowfoot: Option<Crowfoot>,
    wrench: &Wrench,
    objections: &mut Vec<Objection>,
) -> Result<Option<f64>, CalcError> {
    let Some(Crowfoot { lever, extension, angle }) = crowfoot else { return Ok(Some(1.0)) };
    let Some(lever) = lever.or(wrench.lever) else {
        objections.push(Objection::LeverUnknown);
        return Ok(None);
    };
    match (Adapter { lever, extension, angle }).ratio() {
        Ok(ratio) => Ok(Some(ratio)),
        Err(CalcError::Conflict { .. }) => {
            objections.push(Objection::NoLeverLeft);
            Ok(None)
        }
        Err(error) => Err(error),
    }
}

fn scale(wrench: &Wrench, setting: Option<Torque>, first: Option<Torque>, objections: &mut Vec<Objection>) {
    if wrench.scale_min.is_none() {
        objections.push(Objection::ScaleStartUnknown);
    }
    if wrench.scale_max.is_none() {
        objections.push(Objection::ScaleEndUnknown);
    }
    let Some(setting) = setting else { return };
    let start = wrench.scale_min.unwrap_or(Torque::ZERO);
    let fifth = wrench.scale_max.map_or(Torque::ZERO, |most| most * LEAST_SHARE_OF_SCALE);
    let least = start.max(fifth);
    if setting < start {
        objections.push(Objection::BelowScale { least: start });
    } else if setting < fifth {
        objections.push(Objection::LowOnScale { least: fifth });
    } else if let Some(first) = first.filter(|first| *first < least) {
        objections.push(Objection::FirstStepLow { setting: first, least });
    }
    if let Some(most) = wrench.scale_max.filter(|most| *most < setting) {
        objections.push(Objection::AboveScale { most });
    }
}

/// Weighs wrenches and ranks them: those that are fit before those that may be and those that are not; among equals the
/// most accurate, then the one whose scale ends nearest above the setting, then the order they were given in.
///
/// # Errors
///
/// As [`weigh`].
pub fn choose<'a>(job: &Job, wrenches: impl IntoIterator<Item = &'a Wrench>) -> Result<Vec<Weighed>, CalcError> {
    let mut all = Vec::new();
    for (index, wrench) in wrenches.into_iter().enumerate() {
        all.push((wrench.accuracy_share.unwrap_or(f64::INFINITY), weigh(job, wrench, index)?));
    }
    let reach = |one: &Weighed| one.scale_share.unwrap_or(0.0);
    all.sort_by(|(a_off, a), (b_off, b)| {
        let order = a.fitness.cmp(&b.fitness).then(a_off.total_cmp(b_off));
        order.then(reach(b).total_cmp(&reach(a))).then(a.index.cmp(&b.index))
    });
    Ok(all.into_iter().map(|(_, weighed)| weighed).collect())
}

/// Returns what a choice rests on.
#[must_use]
pub fn basis(job: &Job) -> Vec<Basis> {
    let torque = ("torque_n_m", job.torque.n_m());
    let mut steps = vec![
        Basis::new(
            "wrench-scale",
            "max(scale_min, 0.2 · scale_max) ≤ setting ≤ scale_max",
            SCALE_SOURCE,
            &[torque, ("least_scale_share", LEAST_SHARE_OF_SCALE)],
        ),
        Basis::new("wrench-calibration", "day of use ≤ last day of calibration", CALIBRATION_SOURCE, &[]),
        Basis::new(
            "wrench-deviation",
            "permitted: 6 % up to 10 N·m, 4 % above",
            adapter::DEVIATION_SOURCE,
            &[torque, ("permitted_share", adapter::permissible_deviation(job.torque))],
        ),
    ];
    if let Some(crowfoot) = job.crowfoot {
        let inputs = [("extension_mm", crowfoot.extension.mm()), ("angle_deg", crowfoot.angle.deg())];
        steps.push(Basis::new("wrench-adapter", "T_set = T · L / (L + E · cos φ)", adapter::SOURCE, &inputs));
    }
    steps
}

#[cfg(test)]
mod tests;
