//! What preload a tightening leaves.

use baybook_core::{
    calc::{
        condition::{Condition, Face, WasherSeat},
        torque::{
            Capacity, Target, TorqueInput, Window, adjust_torque,
            caution::{Caution, Cautions},
        },
    },
    model::{fastener::Washer, finish::Finish, joint::TighteningMethod, wrench::Wrench},
    tables::tightening_method::Method,
    units::Force,
};
use baybook_proto::v1::{self as pb, joint_tightening::Aim};

use super::super::{
    Fields, Lookup,
    fastening::{Fastening, scale_of},
    ranges,
};

/// Least, likely and greatest preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preload {
    /// The least.
    pub min: Force,
    /// The likely one.
    pub nominal: Force,
    /// The greatest.
    pub max: Force,
    /// The bolt's proof load, when there is one.
    pub proof: Option<Force>,
    /// Plus or minus which share the way of tightening scatters, when it was named.
    pub scatter: Option<f64>,
}

/// What a tightening comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Read {
    pub preload: Preload,
    pub cautions: Cautions,
    pub uncontrolled: bool,
}

/// What is turned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turned<'a> {
    /// The washer under what is turned.
    pub washer: Option<&'a Washer>,
    pub fastening: Option<Fastening>,
}

fn method(wire: pb::JointTighteningWay) -> Option<Method> {
    match wire {
        pb::JointTighteningWay::Unspecified => None,
        pb::JointTighteningWay::Ultrasonic => Some(Method::Ultrasonic),
        pb::JointTighteningWay::YieldControlled => Some(Method::YieldControlled),
        pb::JointTighteningWay::AngleControlled => Some(Method::AngleControlled),
        pb::JointTighteningWay::HydraulicTension => Some(Method::HydraulicTension),
        pb::JointTighteningWay::TorqueByTrial => Some(Method::TorqueByTrial),
        pb::JointTighteningWay::TorqueByEstimate => Some(Method::TorqueByEstimate),
        pb::JointTighteningWay::PowerScrewdriver => Some(Method::PowerScrewdriver),
        pb::JointTighteningWay::Impact => Some(Method::Impact),
    }
}

pub(super) fn read(
    wire: &pb::JointTightening,
    turned: Turned<'_>,
    lookup: &impl Lookup,
    fields: &mut Fields,
) -> Option<Read> {
    let condition = fields.entry::<Finish>("condition", wire.condition.as_ref(), lookup);
    let window = fields.number("window_share", wire.window_share, &ranges::WINDOW);
    let wrench = fields.entry::<Wrench>("wrench", wire.wrench.as_ref(), lookup);
    let method = fields.choice("method", wire.method, method);
    // The bad end of the printed scatter: nobody says how well this one was done.
    let scatter = method.and_then(Method::row).map(|row| row.scatter[1]);
    if wire.washer_turns.is_some() && turned.washer.is_none() {
        fields.reject("washer_turns", "is about a washer under what is turned, but there is none: leave this out");
    }
    let found = match &wire.aim {
        None => {
            fields.reject("torque", "is required, or preload");
            None
        }
        Some(Aim::Torque(torque)) => {
            if wire.condition.is_none() {
                fields.reject("condition", "is required with torque: in what condition is the joint really");
            }
            if wire.window_share.is_none() {
                fields.reject("window_share", "is required with torque: 0.1 for ±10 %");
            }
            let torque = fields.torque("torque", Some(torque), &ranges::TORQUE);
            let (fastening, condition, torque, window) = (turned.fastening?, condition?, torque?, window?);
            let actual = Condition::of(&condition);
            let seat = turned.washer.and_then(|washer| {
                let (outer, hole) = washer.outer_diameter.zip(washer.inner_diameter)?;
                Some(WasherSeat { outer, hole, turns: wire.washer_turns })
            });
            let face = match (fastening.face, seat) {
                (Face::Ring { outer, .. }, Some(seat)) => Face::Ring { outer, hole: seat.hole },
                (face, _) => face,
            };
            let advice = adjust_torque(&TorqueInput {
                thread: fastening.thread,
                class: fastening.class,
                face,
                washer: seat,
                mate: fastening.mate,
                hot_dip_galvanised: fastening.hot_dip_galvanised,
                target: Target::Specified {
                    torque,
                    condition: actual,
                    includes_prevailing: fastening.prevailing.map(|_| true),
                },
                actual,
                prevailing: fastening.prevailing,
                method: TighteningMethod::Torque,
                adapter: None,
                wrench: wrench.as_deref().map(scale_of),
                window: Some(Window::Share(window)),
                passes: None,
            });
            match advice {
                Ok(advice) => {
                    let (nominal, at) = (advice.preload.nominal.force, advice.extremes);
                    Some((at.min.force, nominal, at.max.force, advice.cautions))
                }
                Err(error) => {
                    fields.reject_calc("torque", &error);
                    None
                }
            }
        }
        Some(Aim::Preload(force)) => {
            for (name, given) in [
                ("condition", wire.condition.is_some()),
                ("window_share", wire.window_share.is_some()),
                ("wrench", wire.wrench.is_some()),
                ("washer_turns", wire.washer_turns.is_some()),
            ] {
                if given {
                    fields.reject(name, "goes with torque only");
                }
            }
            if wire.method == 0 {
                fields.reject("method", "is required with preload: how far does this way of tightening scatter");
            }
            let force = fields.force("preload", Some(force), &ranges::PRELOAD);
            let cautions = Cautions::of(&[Caution::MakerOverrides, Caution::PreloadIsABand]);
            force.map(|force| (force, force, force, cautions))
        }
    };
    let (min, nominal, max, cautions) = found?;
    let fastening = turned.fastening?;
    let proof = Capacity::of(fastening.class, &fastening.thread);
    let proof = proof.map_err(|error| fields.reject_calc("torque", &error)).ok()?.loads.proof;
    let delta = scatter.unwrap_or(0.0);
    let preload = Preload {
        min: min.min(nominal * (1.0 - delta)),
        nominal,
        max: max.max(nominal * (1.0 + delta)),
        proof,
        scatter,
    };
    Some(Read { preload, cautions, uncontrolled: method == Some(Method::Impact) })
}
