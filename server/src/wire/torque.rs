//! What to set the wrench to, and what a torque did: questions from the wire.

use baybook_core::{
    calc::{
        assess_torque::{AppliedInput, Service},
        condition::Condition,
        passes::{PassPlan, Pattern, plan::Layout},
        torque::{Target, TorqueInput, Window},
    },
    model::{
        finish::{Finish, Lubricated},
        joint::TighteningMethod,
        wrench::Wrench,
    },
    units::Torque,
};
use baybook_proto::v1::{self as pb, adjust_torque_request::Aim};

use super::{
    Fields, Lookup, WireError,
    fastener::BOLTS_MAX,
    fastening::{FasteningWire, scale_of},
    ranges,
    tightening::{ROUNDS_MAX, grid_of, spots_of},
};

/// A question what to set the wrench to.
#[derive(Debug, Clone, PartialEq)]
pub struct AdjustTorque {
    /// What the calculator needs.
    pub input: TorqueInput,
    /// How the bolts lie, when the order is asked for.
    pub layout: Option<Layout>,
    /// How many check rounds follow; `None` for as many as the steps bring along.
    pub check_rounds: Option<usize>,
    /// The specified torque, when it is for dry threads and the joint is lubricated: what the rules of thumb are about.
    pub dry: Option<Torque>,
}

impl AdjustTorque {
    /// Reads the question.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::AdjustTorqueRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::AdjustTorqueRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let fastening = FasteningWire {
            bolt: wire.bolt.as_ref(),
            nut: wire.nut.as_ref(),
            washer: wire.washer.as_ref(),
            washer_turns: wire.washer_turns,
            tapped_hole: wire.tapped_hole,
        };
        let fastening = fields.fastening(fastening, lookup);
        let condition = fields.needed_entry::<Finish>("condition", wire.condition.as_ref(), lookup);
        let aim = read_aim(wire, lookup, fields);
        let prevails = fastening.is_some_and(|fastening| fastening.prevailing.is_some());
        if prevails && matches!(wire.aim, Some(Aim::SpecifiedTorque(_))) && wire.prevailing_included.is_none() {
            fields.reject("prevailing_included", "is required: the nut locks; say whether the torque contains that");
        }
        let window = fields.needed("window_share", wire.window_share, &ranges::WINDOW);
        let wrench = fields.entry::<Wrench>("wrench", wire.wrench.as_ref(), lookup);
        let adapter = fields.adapter(wire.adapter.as_ref(), wrench.as_deref());
        let layout = layout(wire, fields);
        let passes = fields.choice("passes", wire.passes, |wire| match wire {
            pb::PassPlan::Unspecified => None,
            pb::PassPlan::Single => Some(PassPlan::Single),
            pb::PassPlan::ThirtySeventyHundred => Some(PassPlan::ThirtySeventyHundred),
            pb::PassPlan::SeventyHundred => Some(PassPlan::SeventyHundred),
            pb::PassPlan::FiftyEightyHundred => Some(PassPlan::FiftyEightyHundred),
        });
        let check_rounds = fields.count("check_round_count", wire.check_round_count, 0, ROUNDS_MAX);
        if wire.check_round_count.is_some() && wire.passes == 0 {
            fields.reject("check_round_count", "goes with passes only: say in how many steps to tighten");
        }
        let (fastening, condition, aim) = (fastening?, condition?, aim?);
        let lubricated = matches!(condition.lubricated, Some(lubricated) if lubricated != Lubricated::Dry);
        let input = TorqueInput {
            thread: fastening.thread,
            class: fastening.class,
            face: fastening.face,
            washer: fastening.washer,
            mate: fastening.mate,
            hot_dip_galvanised: fastening.hot_dip_galvanised,
            target: aim.target,
            actual: Condition::of(&condition),
            prevailing: fastening.prevailing,
            method: aim.method,
            adapter,
            wrench: wrench.as_deref().map(scale_of),
            window: Some(Window::Share(window?)),
            passes,
        };
        let check_rounds = check_rounds.and_then(|rounds| usize::try_from(rounds).ok());
        Some(Self { input, layout, check_rounds, dry: aim.dry.filter(|_| lubricated) })
    }
}

/// What the tightening aims at, and how its maker tells to tighten.
struct ReadAim {
    target: Target,
    method: TighteningMethod,
    dry: Option<Torque>,
}

fn read_aim(wire: &pb::AdjustTorqueRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<ReadAim> {
    let specified = matches!(wire.aim, Some(Aim::SpecifiedTorque(_)));
    let finish = fields.entry::<Finish>("specified_condition", wire.specified_condition.as_ref(), lookup);
    let method = fields.method("method", wire.method);
    if specified {
        fields.required("specified_condition", wire.specified_condition.as_ref());
        if wire.method == 0 {
            fields.reject("method", "is required with specified_torque: how does its maker tell to tighten");
        }
    } else {
        let alone = "goes with specified_torque only";
        if wire.specified_condition.is_some() {
            fields.reject("specified_condition", alone);
        }
        if wire.prevailing_included.is_some() {
            fields.reject("prevailing_included", alone);
        }
    }
    let target = match &wire.aim {
        None => {
            fields.reject("specified_torque", "is required, or one of proof_share, yield_share and preload");
            None
        }
        Some(Aim::SpecifiedTorque(wire_torque)) => {
            let torque = fields.torque("specified_torque", Some(wire_torque), &ranges::TORQUE);
            torque.zip(finish.as_deref()).map(|(torque, finish)| Target::Specified {
                torque,
                condition: Condition::of(finish),
                includes_prevailing: wire.prevailing_included,
            })
        }
        Some(Aim::ProofShare(share)) => {
            fields.number("proof_share", Some(*share), &ranges::PROOF_SHARE).map(Target::ShareOfProof)
        }
        Some(Aim::YieldShare(share)) => {
            fields.number("yield_share", Some(*share), &ranges::YIELD_SHARE).map(Target::ShareOfYield)
        }
        Some(Aim::Preload(force)) => fields.force("preload", Some(force), &ranges::PRELOAD).map(Target::Preload),
    };
    let dry = match (target, finish.and_then(|finish| finish.lubricated)) {
        (Some(Target::Specified { torque, .. }), Some(Lubricated::Dry)) => Some(torque),
        _ => None,
    };
    // A torque worked out from a preload is a plain torque: there is no maker's instruction to mind.
    let method = if specified { method? } else { method.unwrap_or(TighteningMethod::Torque) };
    Some(ReadAim { target: target?, method, dry })
}

/// Reads how the bolts lie, in one of three ways.
fn layout(wire: &pb::AdjustTorqueRequest, fields: &mut Fields) -> Option<Layout> {
    let counted = wire.bolt_count.is_some() || wire.pattern != 0;
    if counted && (wire.grid.is_some() || wire.spots.is_some()) || wire.grid.is_some() && wire.spots.is_some() {
        let field = if wire.spots.is_some() { "spots" } else { "grid" };
        fields.reject(field, "is one way too many to say how the bolts lie: give bolt_count, grid or spots");
        return None;
    }
    match (&wire.grid, &wire.spots) {
        (Some(grid), _) => fields.under("grid", |fields| grid_of(grid, fields)),
        (None, Some(spots)) => fields.under("spots", |fields| spots_of(spots, fields)),
        (None, None) => pattern(wire, fields).map(Layout::Pattern),
    }
}

fn pattern(wire: &pb::AdjustTorqueRequest, fields: &mut Fields) -> Option<Pattern> {
    let count = fields.count("bolt_count", wire.bolt_count, 1, BOLTS_MAX);
    if wire.bolt_count.is_some() && wire.pattern == 0 {
        fields.reject("pattern", "is required with bolt_count: how do the bolts lie");
    }
    let pattern = fields.choice("pattern", wire.pattern, |pattern| match pattern {
        pb::BoltPattern::Unspecified => None,
        known => Some(known),
    });
    if wire.bolt_count.is_none() && pattern.is_some() {
        fields.reject("bolt_count", "is required with pattern: how many bolts does the joint have");
    }
    let bolts = usize::try_from(count?).ok()?;
    match pattern? {
        pb::BoltPattern::Unspecified => None,
        pb::BoltPattern::Circle => Some(Pattern::Circle { bolts }),
        pb::BoltPattern::Row => Some(Pattern::Row { bolts }),
    }
}

/// Reads the question what a torque did.
///
/// # Errors
///
/// [`WireError`] with every violation.
pub fn read_assess_torque(wire: &pb::AssessTorqueRequest, lookup: &impl Lookup) -> Result<AppliedInput, WireError> {
    let mut fields = Fields::default();
    let asked = applied(wire, lookup, &mut fields);
    fields.finish(asked)
}

fn applied(wire: &pb::AssessTorqueRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<AppliedInput> {
    let fastening = FasteningWire {
        bolt: wire.bolt.as_ref(),
        nut: wire.nut.as_ref(),
        washer: wire.washer.as_ref(),
        washer_turns: wire.washer_turns,
        tapped_hole: wire.tapped_hole,
    };
    let fastening = fields.fastening(fastening, lookup);
    let condition = fields.needed_entry::<Finish>("condition", wire.condition.as_ref(), lookup);
    fields.required("applied_torque", wire.applied_torque.as_ref());
    let reading = fields.torque("applied_torque", wire.applied_torque.as_ref(), &ranges::TORQUE);
    let reusable = fields.required("reusable", wire.reusable);
    let wrench = fields.entry::<Wrench>("wrench", wire.wrench.as_ref(), lookup);
    let adapter = fields.adapter(wire.adapter.as_ref(), wrench.as_deref());
    let (fastening, condition) = (fastening?, condition?);
    Some(AppliedInput {
        thread: fastening.thread,
        class: fastening.class,
        face: fastening.face,
        washer: fastening.washer,
        mate: fastening.mate,
        hot_dip_galvanised: fastening.hot_dip_galvanised,
        reading: reading?,
        adapter,
        accuracy_share: wrench.and_then(|wrench| wrench.accuracy_share),
        actual: Condition::of(&condition),
        prevailing: fastening.prevailing,
        service: if reusable? { Service::Reusable } else { Service::Permanent },
    })
}

#[cfg(test)]
mod tests;
