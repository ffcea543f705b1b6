//! Text to quantity.

use super::{Quantity, Unit, number, unreadable};
use crate::error::CalcError;

/// Reads a quantity with its unit.
///
/// # Errors
///
/// [`CalcError::Unreadable`] for a missing or unknown unit (listing those there are), a decimal comma, two numbers with
/// no unit between them, an empty or overlong text, and a number that is too large. Its field is [`Quantity::FIELD`].
pub fn read<Q: Quantity>(text: &str) -> Result<Q, CalcError> {
    read_in(text, None)
}

/// Reads a quantity; a bare number takes the unit of the header, if there is one.
///
/// A unit in the text itself always counts, whatever the header says.
///
/// # Errors
///
/// As [`read`].
pub fn read_in<Q: Quantity>(text: &str, header: Option<&Unit<Q>>) -> Result<Q, CalcError> {
    parse(text, header).map_err(|why| unreadable(Q::FIELD, text, Q::WANTED, why, Q::EXAMPLE))
}

/// Finds the unit that a header names: `lb`, `N·m`, `deg`.
///
/// # Errors
///
/// [`CalcError::Unreadable`] lists the units there are.
pub fn unit_named<Q: Quantity>(text: &str) -> Result<&'static Unit<Q>, CalcError> {
    number::tidy(text)
        .and_then(|tidied| find(&squared(&tidied)))
        .map_err(|why| unreadable(Q::FIELD, text, Q::WANTED, why, Q::EXAMPLE))
}

/// Splits a column's header into its name and the unit it carries: `trailer mass (kg)`, `hitch height [in]`.
#[must_use]
pub fn split_header(header: &str) -> (&str, Option<&str>) {
    let header = header.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, unit)) = header.strip_suffix(close).and_then(|rest| rest.rsplit_once(open)) {
            return (name.trim_end(), Some(unit.trim()));
        }
    }
    (header, None)
}

fn parse<Q: Quantity>(text: &str, header: Option<&Unit<Q>>) -> Result<Q, String> {
    let tidied = squared(&number::tidy(text)?);
    let (negative, body) = match tidied.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, tidied.strip_prefix('+').map_or(tidied.as_str(), str::trim_start)),
    };
    let (value, rest) = number::leading(body)?;
    let (name, rest) = unit_at(rest);
    let unit = match (name.is_empty(), header) {
        (false, _) => find::<Q>(name)?,
        (true, Some(unit)) => unit,
        (true, None) => return Err(format!("it has no unit; units are {}", names::<Q>())),
    };
    let value = if rest.is_empty() { value } else { compound(value, unit, rest)? };
    let value = if negative { -value } else { value };
    let quantity = unit.of(value);
    // The stored unit is the first: what is finite in tonnes may not be in kilograms.
    match Q::UNITS.first() {
        Some(stored) if stored.in_it(quantity).is_finite() => Ok(quantity),
        _ => Err("it is too large for a number".to_owned()),
    }
}

/// Adds the second part of `5 ft 6 in` or `13 lb 4 oz`, in the larger unit.
fn compound<Q: Quantity>(major: f64, unit: &Unit<Q>, rest: &str) -> Result<f64, String> {
    let Some((minor_name, per_major)) = unit.minor else {
        return Err(format!("nothing may follow {}", unit.name));
    };
    let (minor, rest) = number::leading(rest)?;
    let (name, rest) = unit_at(rest);
    if name.is_empty() {
        return Err(format!("the second number has no unit; it should be {minor_name}"));
    }
    if find::<Q>(name)?.name != minor_name || !rest.is_empty() {
        return Err(format!("only {minor_name} may follow {}", unit.name));
    }
    if major.fract() != 0.0 {
        return Err(format!("a number of {} with decimals cannot have {minor_name} behind it", unit.name));
    }
    if per_major <= minor {
        return Err(format!("{minor} {minor_name} are not less than one {}", unit.name));
    }
    Ok(major + minor / per_major)
}

/// Splits off what stands before the next digit.
fn unit_at(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
    // A point before a digit belongs to the number: `5 ft .5 in`.
    let end = if text[..end].ends_with(['.']) && end < text.len() { end - 1 } else { end };
    let (unit, rest) = text.split_at(end);
    (unit.trim(), rest)
}

/// Writes `mm2` and `in^2` as `mm²` and `in²`, so that the digit does not start a number.
fn squared(text: &str) -> String {
    if !text.contains('/') {
        return text.to_owned();
    }
    ["mm", "in"].iter().fold(text.to_owned(), |text, unit| {
        text.replace(&format!("/{unit}^2"), &format!("/{unit}²")).replace(&format!("/{unit}2"), &format!("/{unit}²"))
    })
}

/// Finds a unit by any of its spellings.
fn find<Q: Quantity>(name: &str) -> Result<&'static Unit<Q>, String> {
    let folded: String =
        name.chars().filter(|c| !matches!(c, ' ' | '.' | '-' | '·' | '(' | ')')).flat_map(char::to_lowercase).collect();
    let is = |spelling: &str| spelling == folded;
    if let Some(unit) = Q::UNITS.iter().find(|unit| unit.spellings.iter().any(|spelling| is(spelling))) {
        return Ok(unit);
    }
    if let Some((_, why)) = Q::REFUSED.iter().find(|(refused, _)| is(refused)) {
        return Err((*why).to_owned());
    }
    Err(format!("{name:?} is not a unit of {}; units are {}", Q::FIELD, names::<Q>()))
}

fn names<Q: Quantity>() -> String {
    let names: Vec<_> = Q::UNITS.iter().map(|unit| unit.name).collect();
    names.join(", ")
}

#[cfg(test)]
mod tests;
