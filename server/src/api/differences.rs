//! What differs between two states of an entry, field by field, by its JSON form.

use std::collections::BTreeMap;

use baybook_proto::v1 as pb;
use serde_json::Value;

/// Fields that every change changes.
const SET_BY_SERVICE: [&str; 5] = ["etag", "revision", "create_time", "update_time", "author"];

/// Returns one line per field that differs: `gvwr.value_kg: 3000 -> 3200`.
pub(super) fn lines(before: Option<&pb::Entry>, after: Option<&pb::Entry>) -> Vec<String> {
    let (before, after) = (flat(before), flat(after));
    let mut paths: Vec<&String> =
        before.keys().chain(after.keys().filter(|path| !before.contains_key(*path))).collect();
    paths.sort();
    let shown = |side: &BTreeMap<String, Value>, path: &str| match side.get(path) {
        None => "nothing".to_owned(),
        Some(Value::Number(number)) => number.as_f64().map_or_else(|| number.to_string(), |number| number.to_string()),
        Some(other) => other.to_string(),
    };
    paths
        .into_iter()
        .filter(|path| before.get(*path) != after.get(*path))
        .map(|path| format!("{path}: {} -> {}", shown(&before, path), shown(&after, path)))
        .collect()
}

/// Returns the top-level fields that differ, each once: `length`, `label`.
pub(super) fn fields(before: &pb::Entry, after: &pb::Entry) -> Vec<String> {
    let mut names: Vec<String> = lines(Some(before), Some(after))
        .into_iter()
        .map(|line| line.split([':', '.', '[']).next().unwrap_or_default().to_owned())
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

    fn vehicle(gvwr_kg: f64, label: &str, revision: i64) -> pb::Entry {
        let gvwr = Some(pb::Mass { value_kg: Some(gvwr_kg), ..pb::Mass::default() });
        let spec =
            Some(pb::entry::Spec::Vehicle(pb::Vehicle { label: label.to_owned(), gvwr, ..pb::Vehicle::default() }));
        pb::Entry { name: "vehicles/van-7".to_owned(), revision, spec, ..pb::Entry::default() }
    }

    #[test]
    fn a_change_is_shown_field_by_field() {
        let (before, after) = (vehicle(3_000.0, "van", 1), vehicle(3_200.0, "van", 2));
        assert_eq!(lines(Some(&before), Some(&after)), ["gvwr.value_kg: 3000 -> 3200"]);
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
