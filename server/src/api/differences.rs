//! What differs between two states of an entry, field by field, by its JSON form.

use std::collections::BTreeMap;

use baybook_proto::v1 as pb;
use serde_json::Value;

/// Fields that every change changes.
const SET_BY_SERVICE: [&str; 5] = ["etag", "revision", "create_time", "update_time", "author"];

/// How the name of a quantity ends, and how its unit is written.
const UNITS: [(&str, &str); 17] = [
    ("_mm", "mm"),
    ("_mm2", "mm²"),
    ("_m2", "m²"),
    ("_kg", "kg"),
    ("_n", "N"),
    ("_kn", "kN"),
    ("_n_m", "N·m"),
    ("_mpa", "MPa"),
    ("_n_per_mm", "N/mm"),
    ("_deg", "°"),
    ("_v", "V"),
    ("_a", "A"),
    ("_ohm", "Ω"),
    ("_ohm_per_km", "Ω/km"),
    ("_c", "°C"),
    ("_km", "km"),
    ("_hv", "HV"),
];

/// Returns the unit of a field by its path; empty for what has none.
fn unit(path: &str) -> &'static str {
    let leaf = path.rsplit('.').next().unwrap_or(path);
    let leaf = leaf.split('[').next().unwrap_or(leaf);
    let known = UNITS.iter().filter(|(end, _)| leaf.ends_with(end)).max_by_key(|(end, _)| end.len());
    known.map_or("", |(_, unit)| unit)
}

/// Returns every field that differs, with its unit, in the order of paths.
pub(super) fn between(before: Option<&pb::Entry>, after: Option<&pb::Entry>) -> Vec<pb::FieldDifference> {
    let (before, after) = (flat(before), flat(after));
    let mut paths: Vec<&String> =
        before.keys().chain(after.keys().filter(|path| !before.contains_key(*path))).collect();
    paths.sort();
    let shown = |value: Option<&Value>| match value {
        None => String::new(),
        Some(Value::Number(number)) => number.as_f64().map_or_else(|| number.to_string(), |number| number.to_string()),
        Some(other) => other.to_string(),
    };
    let differ = paths.into_iter().filter(|path| before.get(*path) != after.get(*path));
    differ
        .map(|path| {
            let (old, new) = (before.get(path), after.get(path));
            let is_number = old.or(new).is_some_and(Value::is_number);
            let unit = if is_number { unit(path) } else { "" };
            pb::FieldDifference { field: path.clone(), before: shown(old), after: shown(new), unit: unit.to_owned() }
        })
        .collect()
}

/// Returns a difference in words: `gvwr.value_kg: 3000 kg -> 3200 kg`.
pub(super) fn line(one: &pb::FieldDifference) -> String {
    let side = |text: &str| match (text, one.unit.as_str()) {
        ("", _) => "nothing".to_owned(),
        (text, "") => text.to_owned(),
        (text, "°") => format!("{text}°"),
        (text, unit) => format!("{text} {unit}"),
    };
    format!("{}: {} -> {}", one.field, side(&one.before), side(&one.after))
}

/// Returns the top-level fields that differ, each once: `length`, `label`.
pub(super) fn fields(before: &pb::Entry, after: &pb::Entry) -> Vec<String> {
    let mut names: Vec<String> = between(Some(before), Some(after))
        .into_iter()
        .map(|one| one.field.split(['.', '[']).next().unwrap_or_default().to_owned())
        .collect();
    names.sort();
    names.dedup();
    names
}

/// Every leaf of an entry by its path. The specification's own fields come first-hand, without the name of their kind.
fn flat(entry: Option<&pb::Entry>) -> BTreeMap<String, Value> {
    let mut leaves = BTreeMap::new();
    let Some(Ok(Value::Object(fields))) = entry.map(serde_json::to_value) else { return leaves };
    for (name, value) in fields {
        match value {
            _ if SET_BY_SERVICE.contains(&name.as_str()) => {}
            // The one object that is no source is the specification.
            Value::Object(_) if name != "source" => spread("", value, &mut leaves),
            _ => spread(&name, value, &mut leaves),
        }
    }
    leaves
}

fn spread(path: &str, value: Value, leaves: &mut BTreeMap<String, Value>) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                let path = if path.is_empty() { name } else { format!("{path}.{name}") };
                spread(&path, value, leaves);
            }
        }
        Value::Array(elements) => {
            for (index, value) in elements.into_iter().enumerate() {
                spread(&format!("{path}[{index}]"), value, leaves);
            }
        }
        leaf => {
            leaves.insert(path.to_owned(), leaf);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(before: Option<&pb::Entry>, after: Option<&pb::Entry>) -> Vec<String> {
        between(before, after).iter().map(line).collect()
    }

    /// Whatever quantity an entry may hold, its unit is known: by the descriptors of the contract, not by a list of ours.
    #[test]
    fn every_quantity_of_an_entry_has_a_unit() {
        use prost_reflect::{DescriptorPool, Kind, MessageDescriptor};
        fn walk(message: &MessageDescriptor, seen: &mut Vec<String>, found: &mut Vec<String>) {
            if seen.contains(&message.full_name().to_owned()) {
                return;
            }
            seen.push(message.full_name().to_owned());
            for field in message.fields() {
                match field.kind() {
                    Kind::Message(inner) => walk(&inner, seen, found),
                    Kind::Double => found.push(field.name().to_owned()),
                    _ => {}
                }
            }
        }
        let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
        let mut found = Vec::new();
        walk(&pool.get_message_by_name("baybook.v1.Entry").unwrap(), &mut Vec::new(), &mut found);
        assert!(found.len() > 60, "{}", found.len());
        // A share is a ratio, and a count has no unit.
        let bare: Vec<_> = found
            .iter()
            .filter(|name| unit(name).is_empty() && !name.ends_with("_share") && !name.ends_with("_count"))
            .collect();
        assert_eq!(bare, Vec::<&String>::new());
        for (path, is) in [("a.value_n_m", "N·m"), ("b[2].rate_n_per_mm", "N/mm"), ("angle_deg", "°"), ("x_n", "N")] {
            assert_eq!(unit(path), is);
        }
    }

    fn vehicle(gvwr_kg: f64, label: &str, revision: i64) -> pb::Entry {
        let gvwr = Some(pb::Mass { value_kg: Some(gvwr_kg), ..pb::Mass::default() });
        let spec =
            Some(pb::entry::Spec::Vehicle(pb::Vehicle { label: label.to_owned(), gvwr, ..pb::Vehicle::default() }));
        pb::Entry { name: "vehicles/van-7".to_owned(), revision, spec, ..pb::Entry::default() }
    }

    #[test]
    fn a_change_is_shown_field_by_field() {
        let (before, after) = (vehicle(3_000.0, "van", 1), vehicle(3_200.0, "van", 2));
        assert_eq!(lines(Some(&before), Some(&after)), ["gvwr.value_kg: 3000 kg -> 3200 kg"]);
        assert_eq!(lines(Some(&before), Some(&before)), Vec::<String>::new());
        assert_eq!(fields(&before, &vehicle(3_200.0, "box", 2)), ["gvwr", "label"]);
    }

    #[test]
    fn what_comes_and_goes_is_shown_too() {
        let mut noted = vehicle(3_000.0, "van", 1);
        noted.note = "weighed".to_owned();
        assert_eq!(lines(Some(&vehicle(3_000.0, "van", 1)), Some(&noted)), ["note: nothing -> \"weighed\""]);
        assert!(lines(Some(&noted), None).contains(&"label: \"van\" -> nothing".to_owned()));
        assert_eq!(lines(None, Some(&noted)).len(), 4);
    }
}
