//! What an answer rests on, and what to mind: to the wire.

use std::fmt::Write as _;

use baybook_core::{
    basis::{Basis, Input, Seen},
    calc::torque::caution::Cautions,
};
use baybook_proto::v1 as pb;

/// Writes what an answer rests on.
#[must_use]
pub fn basis_to_wire(steps: &[Basis]) -> Vec<pb::Basis> {
    steps.iter().map(step).collect()
}

fn step(basis: &Basis) -> pb::Basis {
    pb::Basis {
        formula: basis.formula.to_owned(),
        text: basis.text.to_owned(),
        source: basis.source.title.to_owned(),
        edition: basis.source.edition.to_owned(),
        status: match basis.source.seen {
            Seen::Opened => pb::SourceStatus::Opened,
            Seen::FromMemory => pb::SourceStatus::FromMemory,
            Seen::CommonPractice => pb::SourceStatus::CommonPractice,
            Seen::Derived => pb::SourceStatus::Derived,
        }
        .into(),
        inputs: basis.inputs.iter().map(input).collect(),
    }
}

fn input(input: &Input) -> pb::BasisInput {
    // Room for any number and its unit: an answer holds dozens of these, and growing them costs more than writing them.
    let mut value = String::with_capacity(32);
    let _ = write!(value, "{}", input.value);
    let unit = unit_of(input.name);
    if !unit.is_empty() {
        value.push(' ');
        value.push_str(unit);
    }
    pb::BasisInput { name: input.name.to_owned(), value }
}

/// Suffixes of the contract and the units they stand for; a longer suffix comes before one that ends it.
const UNITS: [(&str, &str); 16] = [
    ("_n_per_mm", "N/mm"),
    ("_ohm_per_km", "Ω/km"),
    ("_n_m", "N·m"),
    ("_mm2", "mm²"),
    ("_mm", "mm"),
    ("_km", "km"),
    ("_kg", "kg"),
    ("_kn", "kN"),
    ("_mpa", "MPa"),
    ("_deg", "deg"),
    ("_ohm", "Ω"),
    ("_hv", "HV"),
    ("_n", "N"),
    ("_v", "V"),
    ("_a", "A"),
    ("_c", "°C"),
];

/// Returns the unit that a name's suffix stands for; nothing for a bare number.
fn unit_of(name: &str) -> &'static str {
    // The paths of links end in what they rate; all of them are masses.
    let mass = name.contains('.');
    UNITS.iter().find(|(suffix, _)| name.ends_with(suffix)).map_or(if mass { "kg" } else { "" }, |(_, unit)| unit)
}

/// Writes the cautions of a torque.
#[must_use]
pub fn cautions_to_wire(cautions: Cautions) -> Vec<pb::Caution> {
    cautions.iter().map(|it| caution(it.id(), it.words())).collect()
}

/// Writes one caution.
#[must_use]
pub fn caution(id: &str, text: &str) -> pb::Caution {
    pb::Caution { id: id.to_owned(), text: text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use baybook_core::basis::Source;

    #[test]
    fn inputs_carry_the_unit_of_their_name() {
        let source = Source::new("moments", "", Seen::Derived);
        let inputs = [
            ("torque_n_m", 75.5),
            ("preload_n", 1.0),
            ("rate_n_per_mm", 90.0),
            ("stress_area_mm2", 84.3),
            ("nut_factor", 0.2),
            ("receiver.carrying.trailer", 2268.0),
        ];
        let wire = basis_to_wire(&[Basis::new("x", "y", source, &inputs)]);
        let values: Vec<&str> = wire[0].inputs.iter().map(|input| input.value.as_str()).collect();
        assert_eq!(values, ["75.5 N·m", "1 N", "90 N/mm", "84.3 mm²", "0.2", "2268 kg"]);
        assert_eq!(wire[0].status(), pb::SourceStatus::Derived);
    }
}
