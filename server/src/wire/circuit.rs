//! Circuits, what they feed, and what was answered about their routing.

use std::sync::Arc;

use baybook_core::{
    model::wiring::{Circuit, Function, ReturnPath, Wire},
    tables::{
        iso_6722,
        routing::{HAZARDS, hazard},
    },
    units::{Amps, Area, Length, Ohms, Volts},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire, Lookup,
    fields::LABEL_MAX,
    ranges,
    refs::{Given, Referred as _},
};

/// The most equal loads side by side.
const LOADS_MAX: i32 = 100;
/// The most circuits of one plan.
const CIRCUITS_MAX: usize = 40;
/// The most answers about routing: as many as there are questions.
const ANSWERS_MAX: usize = HAZARDS.len();

/// Pairs what a pin does with its number on the wire.
const FUNCTIONS: [(Function, pb::PinFunction); 19] = [
    (Function::LeftTurn, pb::PinFunction::LeftTurn),
    (Function::RightTurn, pb::PinFunction::RightTurn),
    (Function::LeftStopTurn, pb::PinFunction::LeftStopTurn),
    (Function::RightStopTurn, pb::PinFunction::RightStopTurn),
    (Function::Stop, pb::PinFunction::Stop),
    (Function::Tail, pb::PinFunction::Tail),
    (Function::LeftTail, pb::PinFunction::LeftTail),
    (Function::RightTail, pb::PinFunction::RightTail),
    (Function::Marker, pb::PinFunction::Marker),
    (Function::RearFog, pb::PinFunction::RearFog),
    (Function::Reverse, pb::PinFunction::Reverse),
    (Function::ElectricBrake, pb::PinFunction::ElectricBrake),
    (Function::Permanent, pb::PinFunction::Permanent),
    (Function::Switched, pb::PinFunction::Switched),
    (Function::Auxiliary, pb::PinFunction::Auxiliary),
    (Function::Presence, pb::PinFunction::Presence),
    (Function::Earth, pb::PinFunction::Earth),
    (Function::EarthOfPermanent, pb::PinFunction::EarthOfPermanent),
    (Function::EarthOfSwitched, pb::PinFunction::EarthOfSwitched),
];

/// Writes what a pin does.
#[must_use]
pub fn function_to_wire(function: Function) -> pb::PinFunction {
    let found = FUNCTIONS.iter().find(|pair| pair.0 == function);
    found.map_or(pb::PinFunction::Unspecified, |pair| pair.1)
}

fn function(wire: pb::PinFunction) -> Option<Function> {
    FUNCTIONS.iter().find(|pair| pair.1 == wire).map(|pair| pair.0)
}

impl Fields {
    /// Reads the circuits of a plan, by name or as given.
    pub fn circuits(&mut self, name: &'static str, wire: &[pb::CircuitRef], lookup: &impl Lookup) -> Vec<Arc<Circuit>> {
        self.each(name, wire, CIRCUITS_MAX, |wire, fields| match Circuit::given(wire) {
            Some(Given::Name(name)) => fields.find("name", name, lookup),
            Some(Given::Spec(spec)) => fields.message("spec", Some(spec)).map(Arc::new),
            None => {
                fields.reject_here("is empty: set name to an entry of the book, or spec to the circuit itself");
                None
            }
        })
    }

    /// Reads the answers to the checklist of routing; each question has to be one of the list, and be answered once.
    pub fn routing(&mut self, name: &'static str, wire: &[pb::RoutingAnswer]) -> Vec<(&'static str, bool)> {
        let mut seen: Vec<&'static str> = Vec::new();
        self.each(name, wire, ANSWERS_MAX, |wire, fields| {
            let question = fields.text("question", wire.question.trim(), LABEL_MAX);
            let known = hazard(&question);
            let good = fields.required("good", wire.good);
            let Some(known) = known else {
                if fields.fits("question", wire.question.trim(), LABEL_MAX) {
                    let list = HAZARDS.map(|hazard| hazard.id).join(", ");
                    fields.reject("question", format!("must be one of the checklist: {list}"));
                }
                return None;
            };
            if seen.contains(&known.id) {
                fields.reject("question", format!("{} is answered twice: keep one answer", known.id));
                return None;
            }
            seen.push(known.id);
            Some((known.id, good?))
        })
    }

    /// Reads the conductor, which is given in one of three ways.
    fn conductor(&mut self, wire: &pb::Circuit) -> Option<Wire> {
        let gauge = self.count("awg_code", wire.awg_code, 0, 30).map(Wire::Awg);
        let cable = self.number("cable_mm2", wire.cable_mm2, &ranges::CABLE).map(Area::from_mm2);
        if let Some(area) = cable
            && let Err(error) = iso_6722::resistance_per_metre(area)
        {
            self.reject_calc("cable_mm2", &error);
        }
        let copper = self.number("conductor_mm2", wire.conductor_mm2, &ranges::CONDUCTOR);
        let given = [
            ("awg_code", wire.awg_code.is_some()),
            ("cable_mm2", wire.cable_mm2.is_some()),
            ("conductor_mm2", wire.conductor_mm2.is_some()),
        ];
        let mut given = given.into_iter().filter(|given| given.1).map(|given| given.0);
        if let (Some(first), Some(second)) = (given.next(), given.next()) {
            self.reject(second, format!("contradicts {first}: a conductor is given once; leave one of them out"));
        }
        gauge.or(cable.map(Wire::Metric)).or(copper.map(|mm2| Wire::Geometric(Area::from_mm2(mm2))))
    }
}

impl FromWire for Circuit {
    type Wire = pb::Circuit;

    fn from_wire(wire: &pb::Circuit, fields: &mut Fields) -> Option<Self> {
        let conductor = fields.conductor(wire);
        let back = fields.choice("return_path", wire.return_path, |wire| match wire {
            pb::CircuitReturn::Unspecified => None,
            pb::CircuitReturn::Wire => Some(ReturnPath::Wire),
            pb::CircuitReturn::Body => Some(ReturnPath::Body),
        });
        if back == Some(ReturnPath::Wire) && wire.joint_count.is_some() {
            fields.reject("joint_count", "is of a return through the body, but return_path is a wire: leave it out");
        }
        if wire.load_count.is_some() && wire.load_ohm.is_none() {
            fields
                .reject("load_count", "counts loads of load_ohm, which is not given: give it, or leave the count out");
        }
        let distance = fields.number("fuse_distance_mm", wire.fuse_distance_mm, &ranges::FUSE_DISTANCE);
        Some(Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            function: fields.choice("function", wire.function, function),
            safety_relevant: wire.safety_relevant,
            load: fields.number("load_a", wire.load_a, &ranges::CURRENT).map(Amps::from_a),
            load_resistance: fields.number("load_ohm", wire.load_ohm, &ranges::LOAD_RESISTANCE).map(Ohms::from_ohm),
            loads: fields.count("load_count", wire.load_count, 1, LOADS_MAX),
            supply: fields.number("supply_v", wire.supply_v, &ranges::SUPPLY).map(Volts::from_v),
            length: fields.number("length_mm", wire.length_mm, &ranges::WIRE_LENGTH).map(Length::from_mm),
            wire: conductor,
            celsius: fields.number("conductor_c", wire.conductor_c, &ranges::CELSIUS),
            back,
            joints: fields.count("joint_count", wire.joint_count, 0, 20),
            fuse: fields.number("fuse_a", wire.fuse_a, &ranges::CURRENT).map(Amps::from_a),
            fuse_distance: distance.map(Length::from_mm),
            lamp: fields.number("lamp_v", wire.lamp_v, &ranges::LAMP).map(Volts::from_v),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{fixture::paths, read};

    #[test]
    fn a_conductor_is_given_once_and_a_cable_is_one_that_is_made() {
        let circuit = |awg_code, cable_mm2, conductor_mm2| pb::Circuit {
            awg_code,
            cable_mm2,
            conductor_mm2,
            ..pb::Circuit::default()
        };
        let wire = |wire: pb::Circuit| read::<Circuit>(&wire).map(|circuit| circuit.wire);
        assert_eq!(wire(circuit(Some(0), None, None)), Ok(Some(Wire::Awg(0))));
        assert_eq!(wire(circuit(None, Some(2.5), None)), Ok(Some(Wire::Metric(Area::from_mm2(2.5)))));
        assert_eq!(wire(circuit(None, None, Some(2.4))), Ok(Some(Wire::Geometric(Area::from_mm2(2.4)))));
        assert_eq!(paths(&wire(circuit(None, Some(2.4), None)).unwrap_err()), ["cable_mm2"]);
        assert_eq!(paths(&wire(circuit(Some(12), None, Some(3.3))).unwrap_err()), ["conductor_mm2"]);
        assert_eq!(paths(&wire(circuit(Some(31), None, None)).unwrap_err()), ["awg_code"]);
    }

    #[test]
    fn a_count_without_what_it_counts_is_refused() {
        let lone = pb::Circuit { load_count: Some(4), ..pb::Circuit::default() };
        assert_eq!(paths(&read::<Circuit>(&lone).unwrap_err()), ["load_count"]);
        let joints =
            pb::Circuit { joint_count: Some(2), return_path: pb::CircuitReturn::Wire.into(), ..pb::Circuit::default() };
        assert_eq!(paths(&read::<Circuit>(&joints).unwrap_err()), ["joint_count"]);
    }

    #[test]
    fn every_function_of_a_pin_goes_over_the_wire_and_back() {
        for (core, wire) in FUNCTIONS {
            assert_eq!(function(function_to_wire(core)), Some(core));
            assert_eq!(function_to_wire(core), wire);
        }
        assert_eq!(function(pb::PinFunction::Unspecified), None);
    }

    #[test]
    fn a_question_is_one_of_the_list_and_answered_once() {
        let answer = |question: &str, good| pb::RoutingAnswer { question: question.to_owned(), good };
        let read = |answers: &[pb::RoutingAnswer]| {
            let mut fields = Fields::default();
            let read = fields.routing("routing", answers);
            fields.finish(Some(read))
        };
        assert_eq!(read(&[answer("grommets", Some(true)), answer("sheath", Some(false))]).map(|it| it.len()), Ok(2));
        let bad = [
            answer("gromets", Some(true)),
            answer("sheath", None),
            answer("stranded", Some(true)),
            answer("stranded", Some(false)),
        ];
        let error = read(&bad).unwrap_err();
        assert_eq!(paths(&error), ["routing[0].question", "routing[1].good", "routing[3].question"]);
        assert!(error.to_string().contains("grommets"), "{error}");
    }
}
