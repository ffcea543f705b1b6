//! Turns from snug: the question from the wire, turn and preload to the wire.

use std::sync::Arc;

use baybook_core::{
    basis::Basis,
    calc::{
        torque::Capacity,
        turn_angle::{self, STIFFNESS, Springs, TURN, preload_of, turn_for, turn_of_nut},
    },
    model::fastener::Bolt,
    units::{Angle, Force, Rate},
};
use baybook_proto::v1::{self as pb, turn_angle_request::Aim};

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    ranges,
};

/// A turn and the preload it makes.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnAngle {
    bolt: Arc<Bolt>,
    springs: Springs,
    turn: Angle,
    preload: Force,
    capacity: Capacity,
    bolt_share: f64,
    structural: Option<Angle>,
}

impl TurnAngle {
    /// Reads the question and works it out: what the calculator refuses is told at its field.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::TurnAngleRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::TurnAngleRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let bolt = fields.needed_entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup);
        let stiff = fields.needed("bolt_n_per_mm", wire.bolt_n_per_mm, &STIFFNESS).map(Rate::from_n_per_mm);
        let parts = fields.needed("parts_n_per_mm", wire.parts_n_per_mm, &STIFFNESS).map(Rate::from_n_per_mm);
        let (mut preload, mut turn) = (None, None);
        match &wire.aim {
            None => fields.reject("preload", "is required, or turn_deg: what is wanted, or what was turned"),
            Some(Aim::Preload(force)) => preload = fields.force("preload", Some(force), &ranges::PRELOAD),
            Some(Aim::TurnDeg(angle)) => {
                turn = fields.number("turn_deg", Some(*angle), &TURN).map(Angle::from_deg);
            }
        }
        let bolt = bolt?;
        if bolt.class.is_none() {
            fields.reject("bolt", "has no readable class, so nobody knows when it yields: read the mark on the head");
        }
        let structural = if wire.structural == Some(true) { Some(structural(&bolt, fields)) } else { None };
        let capacity = Capacity::of(bolt.class?, &bolt.thread).map_err(|error| fields.reject_calc("bolt", &error)).ok();
        let springs = Springs { bolt: stiff?, parts: parts? };
        let field = if turn.is_some() { "turn_deg" } else { "preload" };
        let found = match (preload, turn) {
            (Some(preload), _) => turn_for(preload, &bolt.thread, &springs).map(|turn| (turn, preload)),
            (None, Some(turn)) => preload_of(turn, &bolt.thread, &springs).map(|preload| (turn, preload)),
            (None, None) => return None,
        };
        let (turn, preload) = found.map_err(|error| fields.reject_calc(field, &error)).ok()?;
        let capacity = capacity?;
        if capacity.loads.yielding < preload {
            let (most, is) = (capacity.loads.yielding.kn(), preload.kn());
            let why = format!("must stay elastic: the bolt yields at {most:.1} kN, this is {is:.1} kN");
            fields.reject(field, why);
            return None;
        }
        let bolt_share = springs.bolt_share().map_err(|error| fields.reject_calc("bolt_n_per_mm", &error)).ok()?;
        let structural = match structural {
            Some(turn) => Some(turn?),
            None => None,
        };
        Some(Self { bolt, springs, turn, preload, capacity, bolt_share, structural })
    }

    fn turn_at(&self, load: Force) -> f64 {
        // The turn grows with the load in proportion.
        self.turn.deg() * (load / self.preload)
    }
}

fn structural(bolt: &Bolt, fields: &mut Fields) -> Option<Angle> {
    let Some(length) = bolt.length else {
        fields.reject("structural", "needs the bolt's length: the printed turns go by it");
        return None;
    };
    turn_of_nut(&bolt.thread, length).map_err(|error| fields.reject_calc("structural", &error)).ok()
}

/// Writes turn and preload.
#[must_use]
pub fn turn_to_wire(asked: &TurnAngle, revision: i64) -> pb::TurnAngleResponse {
    let loads = &asked.capacity.loads;
    let mut steps = turn_angle::basis(asked.preload, asked.turn, &asked.bolt.thread, &asked.springs);
    if let Some(turn) = asked.structural {
        let inputs = [("structural_turn_deg", turn.deg())];
        let text = "1/3 turn to 4 d, 1/2 to 8 d, 2/3 to 12 d of length";
        steps.push(Basis::new("turn-of-nut", text, turn_angle::TURN_SOURCE, &inputs));
    }
    steps.push(Basis::new(
        "bolt-loads",
        "load = stress · As",
        loads.source,
        &[("stress_area_mm2", asked.capacity.area.mm2()), ("yield_load_n", loads.yielding.n())],
    ));
    pb::TurnAngleResponse {
        turn_deg: Some(asked.turn.deg()),
        preload_n: Some(asked.preload.n()),
        bolt_turn_deg: Some(asked.turn.deg() * asked.bolt_share),
        parts_turn_deg: Some(asked.turn.deg() * (1.0 - asked.bolt_share)),
        proof_share: loads.proof.map(|proof| asked.preload / proof),
        proof_turn_deg: loads.proof.map(|proof| asked.turn_at(proof)),
        yield_turn_deg: Some(asked.turn_at(loads.yielding)),
        structural_turn_deg: asked.structural.map(Angle::deg),
        basis: basis_to_wire(&steps),
        cautions: cautions(asked),
        revision,
    }
}

fn cautions(asked: &TurnAngle) -> Vec<pb::Caution> {
    let mut all = vec![
        caution("maker-overrides", "a torque-and-angle specification of the maker is never replaced by this"),
        caution(
            "counted-from-snug",
            "the turn counts from where every face touches: pull the joint home first, mark nut and part, then turn",
        ),
        caution("gaskets-and-paint", "paint, gaskets and soft parts give more than the stiffness says"),
    ];
    if asked.capacity.loads.proof.is_some_and(|proof| proof < asked.preload) {
        all.push(caution("over-proof", "this turn takes the bolt over its proof load: replace a bolt that was there"));
    }
    if asked.structural.is_some() {
        all.push(caution(
            "structural-only",
            "printed turns hold for ASTM A325 and A490 assemblies only; one turned too far is replaced, never backed off",
        ));
    }
    all
}

#[cfg(test)]
mod tests {
    use baybook_proto::v1::bolt_ref;

    use super::*;
    use crate::wire::fixture::{Book, paths};

    fn asked(aim: Aim) -> pb::TurnAngleRequest {
        pb::TurnAngleRequest {
            bolt: Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Name("bolts/m12-88-40".to_owned())) }),
            bolt_n_per_mm: Some(666_400.0),
            parts_n_per_mm: Some(2_498_000.0),
            aim: Some(aim),
            structural: None,
        }
    }

    fn force(n: f64) -> Aim {
        Aim::Preload(pb::Force { value_n: Some(n), printed: String::new() })
    }

    /// Derived: 40 kN on M12x1.75 is 15.64° from snug; and the turn gives the preload back.
    #[test]
    fn a_preload_and_its_turn() {
        let told = turn_to_wire(&TurnAngle::read(&asked(force(40_000.0)), Book::demo()).unwrap(), 1);
        let turn = told.turn_deg.unwrap();
        assert!((turn - 15.64).abs() < 0.005, "{turn}");
        assert!((told.bolt_turn_deg.unwrap() + told.parts_turn_deg.unwrap() - turn).abs() < 1e-12);
        assert!(told.proof_turn_deg < told.yield_turn_deg && Some(turn) < told.proof_turn_deg);
        let back = turn_to_wire(&TurnAngle::read(&asked(Aim::TurnDeg(turn)), Book::demo()).unwrap(), 1);
        assert!((back.preload_n.unwrap() - 40_000.0).abs() < 1e-6);
        // At the turn told for proof the share of proof is one.
        let at_proof = asked(Aim::TurnDeg(told.proof_turn_deg.unwrap()));
        let at_proof = turn_to_wire(&TurnAngle::read(&at_proof, Book::demo()).unwrap(), 1);
        assert!((at_proof.proof_share.unwrap() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn beyond_yield_and_what_is_missing_is_refused() {
        let read = |wire: &pb::TurnAngleRequest| TurnAngle::read(wire, Book::demo());
        let error = read(&pb::TurnAngleRequest::default()).unwrap_err();
        assert_eq!(paths(&error), ["bolt", "bolt_n_per_mm", "parts_n_per_mm", "preload"]);
        let error = read(&asked(Aim::TurnDeg(60.0))).unwrap_err();
        assert_eq!(paths(&error), ["turn_deg"]);
        assert!(error.to_string().contains("yields at"), "{error}");
        let error = read(&pb::TurnAngleRequest { structural: Some(true), ..asked(force(40_000.0)) }).unwrap_err();
        assert_eq!(paths(&error), ["structural"], "a metric bolt has no printed turn");
        let inch = pb::Bolt {
            thread: "3/4-10 UNC".to_owned(),
            property_class: "SAE 5".to_owned(),
            length: Some(pb::Length { value_mm: None, printed: "5 in".to_owned() }),
            ..Default::default()
        };
        let wire = pb::TurnAngleRequest {
            bolt: Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Spec(Box::new(inch))) }),
            structural: Some(true),
            ..asked(force(40_000.0))
        };
        assert_eq!(turn_to_wire(&read(&wire).unwrap(), 1).structural_turn_deg, Some(180.0));
    }
}
