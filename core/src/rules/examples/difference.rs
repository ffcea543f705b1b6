//! What differs between two plans, field by field.
//!
//! The fields are read from the derived `Debug` text, the one listing of a plan that cannot forget a field when one is
//! added.

use crate::model::upfit::Upfit;

/// One field that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Its path in the plan: `vehicle.rear.gawr`.
    pub path: String,
    /// What the plan to which no rule objects says; empty when it says nothing.
    pub before: String,
    /// What this plan says; empty when it says nothing.
    pub after: String,
}

/// Returns the fields in which two plans differ, in the order of the first.
pub(crate) fn between(before: &Upfit, after: &Upfit) -> Vec<Difference> {
    let (old, new) = (leaves(&format!("{before:#?}")), leaves(&format!("{after:#?}")));
    let find = |list: &[(String, String)], path: &str| {
        list.iter().find(|(other, _)| other == path).map(|(_, text)| text.clone()).unwrap_or_default()
    };
    let mut paths: Vec<&String> = old.iter().map(|(path, _)| path).collect();
    paths.extend(new.iter().map(|(path, _)| path).filter(|path| !old.iter().any(|(other, _)| other == *path)));
    let all = paths.into_iter().map(|path| Difference {
        path: path.clone(),
        before: find(&old, path),
        after: find(&new, path),
    });
    all.filter(|one| one.before != one.after).collect()
}

/// One open bracket of the text.
struct Level {
    /// The field's name, or nothing inside a tuple.
    name: Option<String>,
    /// The type or variant in front of the bracket: `Mass`, `Share`.
    kind: String,
    /// In a list, how many elements have begun.
    elements: Option<usize>,
}

/// Returns every leaf of a `Debug` text with its path and its words.
fn leaves(text: &str) -> Vec<(String, String)> {
    let mut levels: Vec<Level> = Vec::new();
    let mut found = Vec::new();
    for line in text.lines().map(|line| line.trim().trim_end_matches(',')) {
        if matches!(line, "}" | ")" | "]") {
            levels.pop();
            continue;
        }
        let (name, rest) = match line.split_once(": ") {
            Some((name, rest))
                if name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_' || byte.is_ascii_digit()) =>
            {
                (Some(name.to_owned()), rest)
            }
            _ => (None, line),
        };
        let name = match levels.last_mut() {
            Some(Level { elements: Some(count), .. }) if name.is_none() => {
                *count += 1;
                Some(format!("[{}]", *count - 1))
            }
            _ => name,
        };
        if let Some(kind) = rest.strip_suffix(['{', '(', '[']) {
            let elements = rest.ends_with('[').then_some(0);
            levels.push(Level { name, kind: kind.trim().to_owned(), elements });
            continue;
        }
        let path = path(&levels, name.as_deref());
        let text = words(&levels, rest);
        if !text.is_empty() {
            found.push((path, text));
        }
    }
    found
}

fn path(levels: &[Level], last: Option<&str>) -> String {
    let mut path = String::new();
    for name in levels.iter().filter_map(|level| level.name.as_deref()).chain(last) {
        if !path.is_empty() && !name.starts_with('[') {
            path.push('.');
        }
        path.push_str(name);
    }
    path
}

/// Brings a leaf into words: `1900.0` inside `Mass` is `1900 kg`, a variant is its name in small letters.
fn words(levels: &[Level], leaf: &str) -> String {
    let wrapped = |kind: &str| {
        levels.iter().rev().take_while(|level| level.name.is_none()).any(|level| level.kind == kind)
            || levels.last().is_some_and(|level| level.kind == kind)
    };
    let number =
        leaf.parse::<f64>().ok().filter(|_| leaf.contains('.') || leaf.contains("inf") || leaf.contains("NaN"));
    if let Some(value) = number {
        let unit = UNITS.iter().find(|(kind, ..)| wrapped(kind));
        return match unit {
            Some((_, unit, factor)) => format!("{} {unit}", rounded(value * factor)),
            None => rounded(value),
        };
    }
    match leaf {
        "None" => String::new(),
        "true" => "yes".to_owned(),
        "false" => "no".to_owned(),
        _ if leaf.starts_with('"') => leaf.trim_matches('"').to_owned(),
        _ if leaf.starts_with(|first: char| first.is_ascii_uppercase()) => spaced(leaf),
        _ => leaf.to_owned(),
    }
}

/// Our quantities: the unit a reader is shown, and the factor from the number inside.
const UNITS: &[(&str, &str, f64)] = &[
    ("Mass", "kg", 1.0),
    ("Length", "mm", 1.0),
    ("Force", "N", 1.0),
    ("Torque", "N·m", 1.0),
    ("Stress", "MPa", 1.0),
    ("Area", "mm²", 1.0),
    ("Angle", "°", 180.0 / std::f64::consts::PI),
    ("Rate", "N/mm", 1.0),
    ("Volts", "V", 1.0),
    ("Amps", "A", 1.0),
    ("Ohms", "Ω", 1.0),
];

/// A number with as many digits as it takes to tell a plan that keeps a limit from one that does not.
fn rounded(value: f64) -> String {
    let text = format!("{value:.6}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// `BeforeFirstSale` becomes `before first sale`.
fn spaced(name: &str) -> String {
    let mut text = String::new();
    for letter in name.chars() {
        if letter.is_ascii_uppercase() && !text.is_empty() {
            text.push(' ');
        }
        text.push(letter.to_ascii_lowercase());
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        model::upfit::{SaleState, TongueLoad},
        rules::run::fixture::*,
        units::Angle,
    };

    #[test]
    fn a_changed_field_is_told_with_its_unit() {
        let told = |change: fn(&mut Upfit)| {
            let mut other = plan();
            change(&mut other);
            let one = between(&plan(), &other);
            one.iter().map(|one| format!("{}: {} -> {}", one.path, one.before, one.after)).collect::<Vec<_>>()
        };
        assert_eq!(told(|p| vehicle(p).rear.gawr = Some(kg(1700.0))), ["vehicle.rear.gawr: 1900 kg -> 1700 kg"]);
        assert_eq!(told(|p| p.items[1].station = None), ["items[1].station: 3300 mm -> "]);
        assert_eq!(told(|p| p.sale = Some(SaleState::BeforeFirstSale)), ["sale: in use -> before first sale"]);
        assert_eq!(told(|p| p.tongue = Some(TongueLoad::Share(0.1))), ["tongue: 210 kg -> 0.1"]);
        assert_eq!(told(|p| p.answers.near_fuel = Some(true)), ["answers.near_fuel: no -> yes"]);
        assert_eq!(
            told(|p| p.limits.approach_min = Some(Angle::from_deg(20.0))),
            ["limits.approach_min: 15 ° -> 20 °"]
        );
        assert!(told(|_| ()).is_empty());
    }
}
