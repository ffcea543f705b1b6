//! Examples of rules over the joints.

use std::sync::Arc;

use super::{Example, answer, number};
use crate::{
    model::{
        fastener::{Bolt, IsoClass, Nut, NutClass, Washer},
        joint::JointSpec,
        joint::TighteningMethod,
        upfit::Upfit,
    },
    rules::run::fixture::*,
    units::Torque,
};

fn torque(plan: &mut Upfit, value: f64) {
    joint(plan).planned_torque = Some(Torque::from_n_m(value));
}

fn with_bolt(plan: &mut Upfit, change: impl FnOnce(&mut Bolt)) {
    if let Some(bolt) = &mut joint(plan).bolt {
        change(Arc::make_mut(bolt));
    }
}

fn with_nut(plan: &mut Upfit, change: impl FnOnce(&mut Nut)) {
    if let Some(nut) = &mut joint(plan).nut {
        change(Arc::make_mut(nut));
    }
}

fn with_washer(plan: &mut Upfit, change: impl FnOnce(&mut Washer)) {
    if let Some(washer) = &mut joint(plan).washer {
        change(Arc::make_mut(washer));
    }
}

fn planned(plan: &mut Upfit, ids: &[&str]) {
    let spec = |id: &&str| JointSpec {
        id: (*id).to_owned(),
        count: Some(4),
        bolt: None,
        nut: None,
        washer: None,
        finish: None,
        torque: None,
        method: None,
    };
    receiver(plan).joints = ids.iter().map(spec).collect();
}

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "joint-not-planned",
        "every joint of the receiver is planned",
        |p| planned(p, &["frame-side", "rear-cross"]),
        |p| planned(p, &["frame-side"]),
    ),
    answer(
        "method-not-scalable",
        "a torque that is scaled was specified as a torque alone",
        |p| {
            joint(p).method = Some(TighteningMethod::TorqueAndAngle);
            joint(p).finish = Some(oiled());
            torque(p, 66.0);
        },
        |p| {
            joint(p).method = Some(TighteningMethod::Torque);
            joint(p).finish = Some(oiled());
            torque(p, 66.0);
        },
    ),
    number(
        "joint-torque-for-condition",
        "torque set <= 1.10 x torque for the real condition",
        88.0,
        66.0,
        |p, value| {
            joint(p).finish = Some(oiled());
            torque(p, value);
        },
    ),
    number("joint-under-preload", "torque set >= 0.90 x torque for the real condition", 60.0, 88.0, torque),
    number("joint-over-proof", "likely preload <= proof load", 140.0, 88.0, torque),
    number("joint-into-yield", "stress of likely preload and torsion <= yield", 140.0, 88.0, torque),
    answer(
        "bolt-size",
        "thread as specified, length at least as specified",
        |p| with_bolt(p, |bolt| bolt.thread = half_inch()),
        |p| {
            with_bolt(p, |bolt| bolt.length = Some(mm(40.0)));
        },
    ),
    answer(
        "bolt-class-lower",
        "strength >= that of the specified class",
        |p| joint(p).bolt = Some(bolt(IsoClass::C5_8)),
        |p| {
            joint(p).bolt = Some(bolt(IsoClass::C8_8));
        },
    ),
    answer(
        "nut-class-low",
        "nut class >= bolt class, no thin nut",
        |p| joint(p).nut = Some(nut(NutClass::Iso6)),
        |p| {
            joint(p).nut = Some(nut(NutClass::Iso8));
        },
    ),
    answer(
        "thread-clash",
        "nut thread = bolt thread",
        |p| with_nut(p, |nut| nut.thread = half_inch()),
        |p| {
            with_nut(p, |nut| nut.thread = m12());
        },
    ),
    number("washer-soft", "washer hardness >= what the bolt's class asks for", 140.0, 300.0, |p, value| {
        joint(p).washer = Some(washer(Some(value)));
    }),
    number("washer-fit", "washer hole > thread", 11.0, 13.0, |p, value| {
        with_washer(p, |washer| washer.inner_diameter = Some(mm(value)));
    }),
    answer(
        "single-use-bolt-reused",
        "a single-use bolt is new",
        |p| {
            with_bolt(p, |bolt| bolt.single_use = Some(true));
            joint(p).bolt_reused = Some(true);
        },
        |p| {
            with_bolt(p, |bolt| bolt.single_use = Some(true));
            joint(p).bolt_reused = Some(false);
        },
    ),
];
