//! Joints: what torque the real condition takes, and what the planned one does.

use std::borrow::Cow;

use super::figures::{JointFigures, Known, NOT_KNOWN, Unknown};
use crate::{
    basis::Source,
    calc::{
        condition::{Condition, Face},
        torque::{Mate, Target, TorqueAdvice, TorqueInput, adjust_torque},
    },
    error::CalcError,
    model::{
        fastener::Bolt,
        finish::Finish,
        joint::{JointSpec, TighteningMethod},
        thread::Thread,
        upfit::{PlannedJoint, Upfit},
    },
    tables::bolt_strength,
    units::Torque,
};

/// How far a torque may be off: the usual tolerance of drawings and of the torque limits in US Army TM 5-3800-205-23-1.
pub const TOLERANCE: f64 = 0.10;

/// Returns where the strength of the bolt that goes in is printed.
#[must_use]
pub fn strength_source(joint: &PlannedJoint) -> Option<Source> {
    let bolt = joint.bolt.as_deref()?;
    bolt_strength(bolt.class?, &bolt.thread).ok().map(|strength| strength.source)
}

/// Returns the path of a field of one planned joint.
#[must_use]
pub fn subject(index: usize, field: &str) -> Cow<'static, str> {
    Cow::Owned(format!("joints[{index}].{field}"))
}

/// Blames a field of the receiver's joint that a planned one belongs to; `field` carries `[]` where the index goes.
#[must_use]
pub fn spec_field(plan: &Upfit, joint: &PlannedJoint, field: &'static str) -> Unknown {
    let place = |specs: &[JointSpec]| specs.iter().position(|spec| spec.id == joint.id);
    if let Some(index) = plan.bed_coupling.as_deref().and_then(|coupling| place(&coupling.joints)) {
        return Unknown::missing_at(in_bed(field), index);
    }
    match plan.receiver.as_deref().and_then(|receiver| place(&receiver.joints)) {
        Some(index) => Unknown::missing_at(field, index),
        None => Unknown::because("receiver.joints", "does not say what one of the planned joints takes"),
    }
}

/// Returns the same field of a joint of the coupling in the bed.
fn in_bed(field: &'static str) -> &'static str {
    match field {
        "receiver.joints[].torque" => "bed_coupling.joints[].torque",
        "receiver.joints[].finish" => "bed_coupling.joints[].finish",
        "receiver.joints[].method" => "bed_coupling.joints[].method",
        "receiver.joints[].bolt" => "bed_coupling.joints[].bolt",
        "receiver.joints[].nut" => "bed_coupling.joints[].nut",
        _ => "bed_coupling.joints[]",
    }
}

/// Returns whether two threads are the same: system, diameter and pitch.
#[must_use]
pub fn same_thread(one: &Thread, other: &Thread) -> bool {
    const SAME_MM: f64 = 1e-3;
    one.system == other.system
        && (one.diameter - other.diameter).abs().mm() < SAME_MM
        && (one.pitch - other.pitch).abs().mm() < SAME_MM
}

/// Returns whether two conditions are the same: one entry, or the same friction throughout.
#[must_use]
pub fn same_condition(one: &Finish, other: &Finish) -> bool {
    let condition = Condition::of(one);
    condition.is_known() && condition == Condition::of(other)
}

/// Computes the figures of every joint.
pub(super) fn of(plan: &Upfit) -> Vec<JointFigures> {
    plan.joints
        .iter()
        .enumerate()
        .map(|(index, joint)| {
            let planned = planned(joint, index);
            JointFigures {
                torque_for_condition: torque_for_condition(plan, joint, index),
                preload: planned.map(|advice| advice.preload),
                worst_yield_share: planned.and_then(|advice| {
                    advice.worst_yield_share.ok_or(Unknown::missing_at("joints[].bolt.bearing_diameter_mm", index))
                }),
            }
        })
        .collect()
}

/// The torque that gives, in the real condition, the preload the specification meant.
fn torque_for_condition(plan: &Upfit, joint: &PlannedJoint, index: usize) -> Known<Torque> {
    let torque = joint.specified_torque.ok_or_else(|| spec_field(plan, joint, "receiver.joints[].torque"))?;
    let meant = joint.specified_finish.as_deref().ok_or_else(|| spec_field(plan, joint, "receiver.joints[].finish"))?;
    let real = joint.finish.as_deref().ok_or(Unknown::missing_at("joints[].finish", index))?;
    let method = joint.method.ok_or_else(|| spec_field(plan, joint, "receiver.joints[].method"))?;
    if !Condition::of(meant).is_known() {
        return Err(spec_field(plan, joint, "receiver.joints[].finish"));
    }
    let actual = Condition::of(real);
    if !actual.is_known() {
        return Err(Unknown::missing_at("joints[].finish.nut_factor", index));
    }
    if same_condition(meant, real) {
        return Ok(torque);
    }
    if method != TighteningMethod::Torque {
        let why = "is not the specified condition, and a specification by angle or into yield is never scaled";
        return Err(Unknown { why, ..Unknown::missing_at("joints[].finish", index) });
    }
    let bolt = bolt(joint, index)?;
    let target = Target::Specified { torque, condition: Condition::of(meant), includes_prevailing: None };
    Ok(advice(joint, index, bolt, target, actual)?.fastener.nominal)
}

/// What the planned torque does in the real condition: a specification for that condition, so nothing is converted.
fn planned(joint: &PlannedJoint, index: usize) -> Known<TorqueAdvice> {
    let torque = joint.planned_torque.ok_or(Unknown::missing_at("joints[].planned_torque", index))?;
    let real = joint.finish.as_deref().ok_or(Unknown::missing_at("joints[].finish", index))?;
    let condition = Condition::of(real);
    if !condition.is_known() {
        return Err(Unknown::missing_at("joints[].finish.nut_factor", index));
    }
    let bolt = bolt(joint, index)?;
    // A planned torque is what the wrench shows, the prevailing torque of a locking nut in it.
    let includes_prevailing = prevailing(joint).map(|_| true);
    let target = Target::Specified { torque, condition, includes_prevailing };
    advice(joint, index, bolt, target, condition)
}

fn bolt(joint: &PlannedJoint, index: usize) -> Known<&Bolt> {
    joint.bolt.as_deref().ok_or(Unknown::missing_at("joints[].bolt", index))
}

fn prevailing(joint: &PlannedJoint) -> Option<Torque> {
    joint.nut.as_deref().and_then(|nut| nut.prevailing_torque)
}

fn advice(joint: &PlannedJoint, index: usize, bolt: &Bolt, target: Target, actual: Condition) -> Known<TorqueAdvice> {
    let class = bolt.class.ok_or(Unknown::missing_at("joints[].bolt.property_class", index))?;
    let face = match (bolt.bearing_diameter, bolt.hole_diameter) {
        (Some(outer), Some(hole)) => Face::Ring { outer, hole },
        _ => Face::Tabled,
    };
    let mate = match (joint.nut.as_deref(), &joint.specified_nut) {
        (Some(nut), _) => Some(Mate::Nut { class: nut.class, kind: nut.kind }),
        (None, None) => Some(Mate::TappedHole),
        (None, Some(_)) => None,
    };
    let input = TorqueInput {
        thread: bolt.thread,
        class,
        face,
        washer: None,
        mate,
        hot_dip_galvanised: bolt.hot_dip_galvanised,
        target,
        actual,
        prevailing: prevailing(joint),
        method: TighteningMethod::Torque,
        adapter: None,
        wrench: None,
        window: None,
        passes: None,
    };
    adjust_torque(&input).map_err(|error| blame(&error, index))
}

fn blame(error: &CalcError, index: usize) -> Unknown {
    let field = match error.field() {
        "bearing_diameter_mm" => "joints[].bolt.bearing_diameter_mm",
        "hole_diameter_mm" => "joints[].bolt.hole_diameter_mm",
        "class" => "joints[].bolt.property_class",
        "includes_prevailing" => "joints[].nut.prevailing_torque",
        "nut_factor" | "friction" => "joints[].finish.nut_factor",
        _ => "joints[].planned_torque",
    };
    let Unknown { why, .. } = Unknown::from_calc(field, error);
    let why = if why == NOT_KNOWN && field == "joints[].planned_torque" { "lacks an input" } else { why };
    Unknown { why, ..Unknown::missing_at(field, index) }
}
