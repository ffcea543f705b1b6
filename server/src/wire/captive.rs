//! A captive nut that spins: the question from the wire, the ways to repair it to the wire.

use baybook_core::{
    calc::{
        compare_fasteners::captive::{LOAD, Proof, Repair, RepairOption, Spun, THICKNESS},
        condition::{Condition, Face},
        joint::pressure::Ring,
        torque::{Mate, Target, TorqueAdvice, TorqueInput, adjust_torque},
    },
    error::CalcError,
    model::{
        fastener::{Bolt, BoltClass, Nut, NutClass, Washer},
        finish::Finish,
        joint::TighteningMethod,
    },
    range::Range,
    tables::limiting_pressure,
    units::{Length, Stress},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution, cautions_to_wire},
    fastener::MARK_MAX,
    ranges,
};

/// Tensile strength of what could be tapped.
const TENSILE: Range = Range::new("tapped_tensile_mpa", "MPa", 50.0, 2500.0);

/// A question what to do about a spun captive nut.
#[derive(Debug, Clone, PartialEq)]
pub struct RepairCaptiveNut {
    /// What the calculator needs.
    pub spun: Spun,
    torque: TorqueInput,
    advice: TorqueAdvice,
}

impl RepairCaptiveNut {
    /// Reads the question.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::RepairCaptiveNutRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::RepairCaptiveNutRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let bolt = fields.needed_entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup);
        let nut = fields.needed_entry::<Nut>("new_nut", wire.new_nut.as_ref(), lookup);
        let washer = fields.entry::<Washer>("washer", wire.washer.as_ref(), lookup);
        fields.required("torque", wire.torque.as_ref());
        let torque = fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE);
        let condition = fields.needed_entry::<Finish>("condition", wire.condition.as_ref(), lookup);
        fields.required("load", wire.load.as_ref());
        let load = fields.force("load", wire.load.as_ref(), &LOAD);
        let limit = material(&wire.frame_material, fields);
        let thickness = fields.number("tapped_thickness_mm", wire.tapped_thickness_mm, &THICKNESS);
        let tensile = fields.number("tapped_tensile_mpa", wire.tapped_tensile_mpa, &TENSILE);
        let pull_out = fields.force("insert_pull_out", wire.insert_pull_out.as_ref(), &LOAD);
        let torque_out = fields.torque("insert_torque_out", wire.insert_torque_out.as_ref(), &ranges::TORQUE);
        let (bolt, nut) = (bolt?, nut?);
        let class: Option<BoltClass> = bolt.class;
        let new_nut: Option<NutClass> = nut.class;
        if class.is_none() {
            fields.reject("bolt", "has no readable class: read the mark on the head, or take a bolt that has one");
        }
        if new_nut.is_none() {
            fields.reject("new_nut", "has no readable class: take a nut that has one");
        }
        if !bolt.thread.mates(&nut.thread) {
            fields.reject("new_nut", format!("has the thread {}, but the bolt has {}", nut.thread, bolt.thread));
        }
        let face = face(&bolt, &nut, washer.as_deref(), fields);
        let input = TorqueInput {
            thread: bolt.thread,
            class: class?,
            face: Face::Tabled,
            washer: None,
            mate: Some(Mate::Nut { class: new_nut, kind: nut.kind }),
            hot_dip_galvanised: bolt.hot_dip_galvanised,
            target: Target::Specified {
                torque: torque?,
                condition: Condition::of(condition.as_deref()?),
                includes_prevailing: nut.prevailing_torque.map(|_| true),
            },
            actual: Condition::of(condition.as_deref()?),
            prevailing: nut.prevailing_torque,
            method: TighteningMethod::Torque,
            adapter: None,
            wrench: None,
            window: None,
            passes: None,
        };
        let advice = adjust_torque(&input).map_err(|error| fields.reject_calc(blamed(&error), &error)).ok()?;
        let spun = Spun {
            thread: bolt.thread,
            class: class?,
            preload: advice.preload.max.force,
            load: load?,
            torque: torque?,
            commercial_frame: wire.commercial_frame,
            rail_flange: wire.rail_flange,
            hollow: wire.hollow,
            reachable: wire.reachable,
            new_nut: new_nut?,
            face: face?,
            limit,
            thickness: thickness.map(Length::from_mm),
            tensile: tensile.map(Stress::from_mpa),
            insert_pull_out: pull_out,
            insert_torque_out: torque_out,
        };
        Some(Self { spun, torque: input, advice })
    }
}

fn blamed(error: &CalcError) -> &'static str {
    match error.field() {
        "nut_factor" | "friction" => "condition",
        "class" | "bearing_diameter_mm" | "hole_diameter_mm" => "bolt",
        _ => "torque",
    }
}

fn material(name: &str, fields: &mut Fields) -> Option<Stress> {
    let name = name.trim();
    if name.is_empty() || !fields.fits("frame_material", name, MARK_MAX) {
        return None;
    }
    let row = limiting_pressure::named(name).map_err(|error| fields.reject_calc("frame_material", &error)).ok()?;
    Some(row.limit().0)
}

/// Returns the ring that bears on the frame: the washer's, else the new nut's face over the bolt's hole.
fn face(bolt: &Bolt, nut: &Nut, washer: Option<&Washer>, fields: &mut Fields) -> Option<Ring> {
    let hole = bolt.hole_diameter;
    if let Some(washer) = washer {
        let (Some(outer), Some(inner)) = (washer.outer_diameter, washer.inner_diameter) else {
            fields.reject("washer", "its inner and outer diameter are needed: measure it");
            return None;
        };
        return Some(Ring { outer, hole: hole.map_or(inner, |hole| hole.max(inner)) });
    }
    let tabled = || {
        let sheet = baybook_core::calc::thread_lookup::sheet(&bolt.thread, None).ok()?;
        Some((sheet.bearing_diameter?, sheet.holes.medium?))
    };
    let outer = nut.bearing_diameter.or_else(|| tabled().map(|(outer, _)| outer));
    let hole = hole.or_else(|| tabled().map(|(_, hole)| hole));
    if outer.is_none() || hole.is_none() {
        fields.reject("washer", "is required: no table gives the bearing face of this nut");
    }
    Some(Ring { outer: outer?, hole: hole? })
}

/// Writes the ways to repair.
#[must_use]
pub fn repairs_to_wire(
    asked: &RepairCaptiveNut,
    found: &[RepairOption],
    revision: i64,
) -> pb::RepairCaptiveNutResponse {
    let mut basis = baybook_core::calc::torque::basis(&asked.torque, &asked.advice);
    basis.extend(found.iter().flat_map(RepairOption::basis));
    let mut cautions = vec![
        caution(
            "frame-maker-decides",
            "no welding on a frame and no hole in a rail flange except as the vehicle's maker says, in writing",
        ),
        caution(
            "not-towed-until",
            "a joint whose captive nut spins clamps nothing: the unit does not tow until it is repaired",
        ),
    ];
    cautions.extend(cautions_to_wire(asked.advice.cautions));
    pb::RepairCaptiveNutResponse {
        repairs: found.iter().map(repair).collect(),
        preload_max_n: Some(asked.spun.preload.n()),
        basis: basis_to_wire(&basis),
        cautions,
        revision,
    }
}

const fn shown(shown: Option<bool>) -> pb::ShownState {
    match shown {
        Some(true) => pb::ShownState::Shown,
        Some(false) => pb::ShownState::Fails,
        None => pb::ShownState::Open,
    }
}

fn repair(option: &RepairOption) -> pb::CaptiveRepair {
    let text = match option.repair {
        Repair::ThroughBolt => "a through bolt with a full nut and a hardened washer",
        Repair::NutPlate => "a nut plate or backing plate that cannot turn",
        Repair::NewWeldNut => "a new weld nut, by the vehicle maker's procedure",
        Repair::BlindInsert => "a blind threaded insert",
        Repair::ThreadInsert => "a thread repair insert in thick material",
    };
    pb::CaptiveRepair {
        id: option.repair.id().to_owned(),
        text: text.to_owned(),
        state: shown(option.open).into(),
        demands: option.proofs.iter().map(demand).collect(),
    }
}

fn demand(proof: &Proof) -> pb::RepairDemand {
    let figures = proof.figures;
    pb::RepairDemand {
        text: proof.what.to_owned(),
        state: shown(proof.shown).into(),
        demand_in_unit: figures.map(|[demand, _]| demand),
        there_in_unit: figures.map(|[_, there]| there),
        unit: proof.unit.to_owned(),
        source: proof.source.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use baybook_core::calc::compare_fasteners::captive::repairs;
    use baybook_proto::v1::{bolt_ref, finish_ref, nut_ref, washer_ref};

    use super::*;
    use crate::wire::fixture::{Book, n_m, paths};

    fn asked() -> pb::RepairCaptiveNutRequest {
        let name = str::to_owned;
        pb::RepairCaptiveNutRequest {
            bolt: Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Name(name("bolts/m12-88-90"))) }),
            new_nut: Some(pb::NutRef { nut: Some(nut_ref::Nut::Name(name("nuts/m12-8"))) }),
            washer: Some(pb::WasherRef { washer: Some(washer_ref::Washer::Name(name("washers/m12-300"))) }),
            condition: Some(pb::FinishRef { finish: Some(finish_ref::Finish::Name(name("finishes/zinc-dry"))) }),
            torque: n_m(79.0),
            load: Some(pb::Force { value_n: Some(12_000.0), ..Default::default() }),
            frame_material: name("s355"),
            ..Default::default()
        }
    }

    fn answer(wire: &pb::RepairCaptiveNutRequest) -> pb::RepairCaptiveNutResponse {
        let asked = RepairCaptiveNut::read(wire, Book::demo()).unwrap();
        repairs_to_wire(&asked, &repairs(&asked.spun).unwrap(), 1)
    }

    fn state(told: &pb::RepairCaptiveNutResponse, id: &str) -> pb::ShownState {
        told.repairs.iter().find(|repair| repair.id == id).unwrap().state()
    }

    #[test]
    fn every_way_is_told_in_order_and_nothing_is_shown_by_silence() {
        let told = answer(&asked());
        let ids: Vec<_> = told.repairs.iter().map(|repair| repair.id.as_str()).collect();
        assert_eq!(ids, ["through-bolt", "nut-plate", "new-weld-nut", "blind-insert", "thread-insert"]);
        assert!(told.repairs.iter().all(|repair| repair.state() == pb::ShownState::Open));
        // The greatest preload is at the lowest nut factor: 79 N·m over K of 0.16 or so and 12 mm, with room either way.
        assert!(told.preload_max_n.is_some_and(|n| 30_000.0 < n && n < 50_000.0), "{:?}", told.preload_max_n);
    }

    #[test]
    fn an_insert_that_pulls_out_first_fails() {
        let insert = |n: f64| pb::RepairCaptiveNutRequest {
            insert_pull_out: Some(pb::Force { value_n: Some(n), ..Default::default() }),
            insert_torque_out: n_m(200.0),
            ..asked()
        };
        assert_eq!(state(&answer(&insert(20_000.0)), "blind-insert"), pb::ShownState::Fails);
        assert_eq!(state(&answer(&insert(60_000.0)), "blind-insert"), pb::ShownState::Open);
    }

    #[test]
    fn everything_that_is_missing_is_told() {
        let error = RepairCaptiveNut::read(&pb::RepairCaptiveNutRequest::default(), Book::demo()).unwrap_err();
        assert_eq!(paths(&error), ["bolt", "new_nut", "torque", "condition", "load"]);
        let wrong = pb::RepairCaptiveNutRequest { frame_material: "cheese".to_owned(), ..asked() };
        assert_eq!(paths(&RepairCaptiveNut::read(&wrong, Book::demo()).unwrap_err()), ["frame_material"]);
    }
}
