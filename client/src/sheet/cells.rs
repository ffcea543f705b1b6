//! Reads one cell as what its column holds.

use baybook_core::units::text;

use super::columns::Kind;

/// A cell's value.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Words, or a full entry name.
    Text(String),
    /// A number in the canonical unit of its kind: kg, mm, deg, N·m, km, or a share.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// The number of a choice, or a year.
    Choice(i32),
    /// Somebody wrote that it is not known.
    Unknown,
}

/// Returns how many canonical units one of the heading's unit is.
pub fn unit_factor(kind: Kind, unit: &str) -> Result<f64, String> {
    if kind == Kind::Share && matches!(unit, "%" | "percent") {
        return Ok(0.01);
    }
    quantity(kind, &format!("1 {unit}")).map_err(|_| match kind {
        Kind::Mass => "is not a unit of mass; use kg, t or lb".to_owned(),
        Kind::Length => "is not a unit of length; use mm, m, in or ft".to_owned(),
        Kind::Angle => "is not a unit of angle; use deg".to_owned(),
        Kind::Torque => "is not a unit of torque; use N·m, lb-ft or lb-in".to_owned(),
        Kind::Share => "is not a unit of a share; use % or none".to_owned(),
        Kind::Distance => "is not a unit of a distance driven; use km or mi".to_owned(),
        Kind::Text | Kind::Name(_) | Kind::Year | Kind::YesNo | Kind::Choice(_) => {
            "does not belong there; this column has no unit".to_owned()
        }
    })
}

/// Reads a quantity written with its unit, in the canonical unit of its kind.
fn quantity(kind: Kind, cell: &str) -> Result<f64, String> {
    match kind {
        Kind::Mass => text::read_mass(cell).map(|mass| mass.kg()),
        Kind::Length => text::read_length(cell).map(|length| length.mm()),
        Kind::Angle => text::read_angle(cell).map(|angle| angle.deg()),
        Kind::Torque => text::read_torque(cell).map(|torque| torque.n_m()),
        Kind::Distance => return distance(cell),
        Kind::Share | Kind::Text | Kind::Name(_) | Kind::Year | Kind::YesNo | Kind::Choice(_) => {
            return Err(String::new());
        }
    }
    .map_err(|error| error.to_string())
}

/// Reads what an odometer shows, in km. An international mile is 1.609344 km exactly.
fn distance(cell: &str) -> Result<f64, String> {
    let allowed = || "a distance driven with its unit, such as 41000 km or 25500 mi".to_owned();
    let end = cell.find(|c: char| c.is_alphabetic()).ok_or_else(allowed)?;
    let (digits, unit) = cell.split_at(end);
    let km = match unit.trim().to_ascii_lowercase().as_str() {
        "km" => 1.0,
        "mi" | "mile" | "miles" => 1.609_344,
        _ => return Err(allowed()),
    };
    // The number is read as the other quantities are: with its thousands, and no decimal comma.
    text::read_length(&format!("{} m", digits.trim())).map(|read| read.m() * km).map_err(|_| allowed())
}

/// How many units of one column are kept at hand.
const UNITS_MAX: usize = 8;

/// The units that cells of one column were written in: sheets repeat themselves, and a unit known is soon read.
#[derive(Debug, Default)]
pub struct Units {
    /// The heading's unit, in canonical units.
    heading: Option<f64>,
    /// Units that cells carried, and what each is in canonical units.
    known: Vec<(String, f64)>,
}

impl Units {
    /// Starts with the heading's unit, when it has one.
    pub const fn new(heading: Option<f64>) -> Self {
        Self { heading, known: Vec::new() }
    }

    fn factor(&self, unit: &str) -> Option<f64> {
        if unit.is_empty() {
            return self.heading;
        }
        self.known.iter().find(|(known, _)| known == unit).map(|(_, factor)| *factor)
    }
}

/// Reads a cell. An empty cell is no value.
///
/// # Errors
///
/// What is allowed there.
pub fn read(kind: Kind, units: &mut Units, cell: &str) -> Result<Option<Value>, String> {
    let cell = trimmed(cell);
    if cell.is_empty() {
        return Ok(None);
    }
    if kind != Kind::Text && (cell == "?" || cell.eq_ignore_ascii_case("unknown")) {
        return Ok(Some(Value::Unknown));
    }
    let value = match kind {
        Kind::Text => Value::Text(cell.to_owned()),
        Kind::Name(folder) => Value::Text(name(folder, cell)?),
        Kind::Year => Value::Choice(year(cell)?),
        Kind::YesNo => Value::Flag(yes_no(cell)?),
        Kind::Choice(words) => Value::Choice(choice(words, cell)?),
        Kind::Share => Value::Number(share(units.heading, cell)?),
        Kind::Mass | Kind::Length | Kind::Angle | Kind::Torque | Kind::Distance => {
            Value::Number(number(kind, units, cell)?)
        }
    };
    Ok(Some(value))
}

/// Takes off the space around a cell; most have none.
fn trimmed(cell: &str) -> &str {
    match cell.as_bytes() {
        [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => cell,
        _ => cell.trim(),
    }
}

/// Plain digits with the heading's unit, or with a unit that came before, are read here; everything else, and
/// everything new, by the readers of quantities. Both ways multiply the same number by the same factor.
fn number(kind: Kind, units: &mut Units, cell: &str) -> Result<f64, String> {
    // A sign is the number's: that it may not be there is for the range to say, with the unit that the heading has.
    let sign = usize::from(cell.starts_with(['-', '+']));
    let plain = |byte: u8| byte.is_ascii_digit() || byte == b'.';
    let end = sign + cell.bytes().skip(sign).position(|byte| !plain(byte)).unwrap_or(cell.len() - sign);
    let (digits, unit) = cell.split_at(end);
    let unit = unit.strip_prefix(' ').unwrap_or(unit);
    let Some(plain) = plain_number(digits) else { return quantity(kind, cell) };
    if let Some(factor) = units.factor(unit) {
        return Ok(plain * factor);
    }
    let read = quantity(kind, cell)?;
    // Only a lone unit is a factor: in `5' 6 in` the first figure would lose its own.
    let lone = !unit.is_empty() && unit.chars().all(|c| c.is_alphabetic() || matches!(c, '-' | '·'));
    if lone && units.known.len() < UNITS_MAX {
        units.known.extend(unit_factor(kind, unit).ok().map(|factor| (unit.to_owned(), factor)));
    }
    Ok(read)
}

/// Reads digits with at most one sign and one point; everything else is left to the readers of quantities.
fn plain_number(cell: &str) -> Option<f64> {
    // So few digits fit a binary number exactly.
    const EXACT: usize = 15;
    if cell.len() <= EXACT && !cell.is_empty() && cell.bytes().all(|byte| byte.is_ascii_digit()) {
        return Some(cell.bytes().fold(0_u64, |whole, byte| whole * 10 + u64::from(byte - b'0')) as f64);
    }
    let plain = cell.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+'));
    if !plain {
        return None;
    }
    cell.parse::<f64>().ok().filter(|number| number.is_finite())
}

fn share(factor: Option<f64>, cell: &str) -> Result<f64, String> {
    let allowed = || "a share from 0 to 1, such as 0.105, or a percentage, such as 10.5 %".to_owned();
    let (digits, factor) = match cell.strip_suffix('%') {
        Some(digits) => (digits.trim_end(), 0.01),
        None => (cell, factor.unwrap_or(1.0)),
    };
    let share = plain_number(digits).map(|number| number * factor).ok_or_else(allowed)?;
    if (0.0..=1.0).contains(&share) { Ok(share) } else { Err(allowed()) }
}

fn name(folder: &str, cell: &str) -> Result<String, String> {
    let id = match cell.split_once('/') {
        None => cell,
        Some((given, id)) if given == folder => id,
        Some((given, _)) => return Err(format!("a name in {folder}/, not in {given}/")),
    };
    let bytes = id.as_bytes();
    let inner = |byte: &u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || *byte == b'-';
    let edge = |byte: Option<&u8>| byte.is_some_and(|byte| *byte != b'-');
    if bytes.len() <= 63 && bytes.iter().all(inner) && edge(bytes.first()) && edge(bytes.last()) {
        let mut name = String::with_capacity(folder.len() + 1 + id.len());
        name.push_str(folder);
        name.push('/');
        name.push_str(id);
        return Ok(name);
    }
    Err(format!("a name in {folder}/: at most 63 small letters, digits and inner hyphens, such as `{folder}/van-l35`"))
}

fn yes_no(cell: &str) -> Result<bool, String> {
    let is = |words: [&str; 4]| words.iter().any(|word| cell.eq_ignore_ascii_case(word));
    if is(["yes", "y", "true", "1"]) {
        Ok(true)
    } else if is(["no", "n", "false", "0"]) {
        Ok(false)
    } else {
        Err("yes or no; write ? when nobody knows".to_owned())
    }
}

fn year(cell: &str) -> Result<i32, String> {
    let year = cell.parse::<i32>().ok().filter(|year| (1900..=2100).contains(year));
    year.ok_or_else(|| "a year of four digits, 1900 to 2100, such as 2026".to_owned())
}

fn choice(words: &[(&'static str, i32)], cell: &str) -> Result<i32, String> {
    let wanted = cell.to_ascii_lowercase().replace([' ', '_'], "-");
    let found = words.iter().find(|(word, _)| *word == wanted).map(|(_, number)| *number);
    found.ok_or_else(|| {
        let list: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        format!("one of {}; write ? when nobody knows", list.join(", "))
    })
}
