//! Whether a joint holds: the question from the wire.

mod answer;
mod loads;
mod parts;
mod tightening;

use std::sync::Arc;

use baybook_core::{
    calc::{
        joint::{
            JointLoad,
            assembly::{Assembly, Check},
            load_share,
        },
        torque::caution::Cautions,
    },
    error::CalcError,
    model::fastener::{Bolt, Nut, Washer},
    range::Range,
    units::Stress,
};
use baybook_proto::v1 as pb;

pub use answer::joint_to_wire;

use super::{Fields, Lookup, WireError, fastening::FasteningWire};
use tightening::{Preload, Turned};

/// The most clamped parts.
pub const PLATES_MAX: usize = 14;
/// What a surface bears before it creeps.
pub const LIMIT: Range = Range::new("limiting_pressure_mpa", "MPa", 50.0, 3000.0);

/// A question whether a joint holds.
#[derive(Debug, Clone, PartialEq)]
pub struct AssessJoint {
    /// The joint.
    pub assembly: Assembly,
    /// The preload that the tightening leaves.
    pub preload: Preload,
    /// What the tightening asks to be minded.
    pub cautions: Cautions,
    /// Whether nobody controls the preload.
    pub uncontrolled: bool,
}

impl AssessJoint {
    /// Reads the question.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::AssessJointRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::AssessJointRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let fastening = fields.fastening(
            FasteningWire {
                bolt: wire.bolt.as_ref(),
                nut: wire.nut.as_ref(),
                washer: None,
                washer_turns: None,
                tapped_hole: wire.tapped_hole,
            },
            lookup,
        );
        let head_washer = fields.entry::<Washer>("head_washer", wire.head_washer.as_ref(), lookup);
        let nut_washer = fields.entry::<Washer>("nut_washer", wire.nut_washer.as_ref(), lookup);
        if wire.tapped_hole == Some(true) && wire.nut_washer.is_some() {
            fields.reject("nut_washer", "lies under a nut, but the bolt is screwed into the part: leave it out");
        }
        let washer_limit = fields.number("washer_limit_mpa", wire.washer_limit_mpa, &LIMIT).map(Stress::from_mpa);
        let plates = fields.each("plates", &wire.plates, PLATES_MAX, parts::plate);
        let turned = Turned {
            washer: if wire.nut.is_some() { nut_washer.as_deref() } else { head_washer.as_deref() },
            fastening,
        };
        let tightening = fields.required("tightening", wire.tightening.as_ref());
        let tightening = tightening
            .and_then(|wire| fields.under("tightening", |fields| tightening::read(wire, turned, lookup, fields)));
        let loads = fields.required("loads", wire.loads.as_ref());
        let area = fastening.map(|fastening| fastening.thread.stress_area());
        let loads = loads.and_then(|wire| fields.under("loads", |fields| loads::read(wire, area, fields)));
        let give = wire.stiffness.as_ref().map(|wire| fields.under("stiffness", |f| parts::give(wire, f)));
        let surfaces = wire.settling.as_ref().map(|wire| fields.under("settling", |f| parts::surfaces(wire, f)));
        let thermal = fields.force("thermal_loss", wire.thermal_loss.as_ref(), &load_share::PRELOAD);
        let friction = wire.friction.as_ref().map(|wire| fields.under("friction", |f| parts::friction(wire, f)));
        let plane = parts::plane(wire, fields);
        let engaged = wire.thread.as_ref().map(|wire| fields.under("thread", |f| parts::engaged(wire, f)));
        let pry = wire.prying.as_ref().map(|wire| fields.under("prying", |f| parts::pry(wire, f)));
        let cycles = wire.cycles.as_ref().map(|wire| fields.under("cycles", |f| parts::cycles(wire, f)));
        let left_out = left_out(wire, fields);

        // Whatever was wrong with the entries was told above.
        let mut quiet = Fields::default();
        let bolt = quiet.entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup)?;
        let nut: Option<Arc<Nut>> = quiet.entry("nut", wire.nut.as_ref(), lookup);
        let (fastening, tightening, load) = (fastening?, tightening?, loads?);
        let assembly = Assembly {
            bolt,
            class: fastening.class,
            nut,
            tapped: wire.tapped_hole,
            head_washer,
            nut_washer,
            washer_limit,
            plates,
            preload: [tightening.preload.min, tightening.preload.max],
            load,
            give: whole(give)?,
            surfaces: whole(surfaces)?,
            thermal,
            friction: whole(friction)?,
            plane,
            engaged: whole(engaged)?,
            pry: whole(pry)?,
            cycles: whole(cycles)?,
            left_out,
        };
        Some(Self {
            assembly,
            preload: tightening.preload,
            cautions: tightening.cautions,
            uncontrolled: tightening.uncontrolled,
        })
    }

    /// Returns whether the loads are test forces.
    #[must_use]
    pub fn is_test(&self) -> bool {
        use baybook_core::calc::joint::hitch::HitchLoads;
        matches!(self.assembly.load, JointLoad::Hitch { loads: HitchLoads::Test { .. }, .. })
    }
}

/// Turns a part that may be absent, but is whole when it is there, inside out.
#[expect(clippy::option_option, reason = "absent and unreadable differ")]
const fn whole<T: Copy>(part: Option<Option<T>>) -> Option<Option<T>> {
    match part {
        None => Some(None),
        Some(None) => None,
        Some(read) => Some(read),
    }
}

fn left_out(wire: &pb::AssessJointRequest, fields: &mut Fields) -> Vec<Check> {
    let mut all = Vec::new();
    for &number in &wire.left_out {
        let check = fields.needed_choice("left_out", number, |check| match check {
            pb::JointCheck::Unspecified => None,
            pb::JointCheck::Slip => Some(Check::Slip),
            pb::JointCheck::Embedding => Some(Check::Embedding),
            pb::JointCheck::Pressure => Some(Check::Pressure),
            pb::JointCheck::Plates => Some(Check::Plates),
            pb::JointCheck::NetSection => Some(Check::NetSection),
            pb::JointCheck::BoltStrength => Some(Check::BoltStrength),
            pb::JointCheck::Thread => Some(Check::Thread),
            pb::JointCheck::Length => Some(Check::Length),
            pb::JointCheck::Prying => Some(Check::Prying),
            pb::JointCheck::Fatigue => Some(Check::Fatigue),
        });
        if let Some(check) = check
            && !all.contains(&check)
        {
            all.push(check);
        }
    }
    all
}

/// Returns the field of the request that a refusal of the whole assessment is about.
#[must_use]
pub fn blame(error: &CalcError) -> WireError {
    let field = match error.field() {
        "positions" | "bolts" | "bolt_count" => "loads.bracket.bolts",
        "outline" => "loads.bracket.contact_least",
        "position_mm" => "loads.bracket.bolts",
        "from_edge_mm" | "contact_width_mm" | "moment_n_m" => "loads.bracket",
        "trailer_kg" => "loads",
        "tongue_kg" => "loads.road.tongue_load",
        "external_n" | "hitch_force_n" | "force_n" => "loads",
        "preload_n" => "tightening",
        "class" => "bolt.spec.property_class",
        _ => "loads",
    };
    WireError::of(field, error.to_string())
}

#[cfg(test)]
mod tests;
