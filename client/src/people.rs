//! Numbers as people read them: sensible digits, in the units that were asked for.

use baybook_core::units::{Area, Force, Length, Mass, Stress, Torque};

/// Which units people are shown. The wire, and so every JSON reply, is in SI whatever is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Units {
    /// Pounds, inches, pound-feet
    Us,
    /// Kilograms, millimetres, newton metres
    Si,
    /// One beside the other
    Both,
}

/// What a number measures. Each number comes in the SI unit of its name on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// `_n_m`, three significant digits.
    Torque,
    /// `_n`, three significant digits, shown in kN and lbf.
    Force,
    /// `_kg`, whole.
    Mass,
    /// What is allowed or left, kilograms: rounded down, so that nothing is promised that is not there.
    Allowed,
    /// What presses or pulls, kilograms: rounded up.
    Load,
    /// `_mm` of stations and heights: whole millimetres, tenths of an inch.
    Length,
    /// `_mm` between a vehicle and the ground: tenths of a millimetre, hundredths of an inch.
    Gap,
    /// `_mm` of threads and holes: hundredths of a millimetre, ten-thousandths of an inch.
    Size,
    /// `_mm2`.
    Area,
    /// `_mpa`.
    Stress,
    /// `_deg`, tenths.
    Angle,
    /// `_deg` that there must be at least, of a ramp or a turn: tenths, rounded down as in messages and drawings.
    Opening,
    /// How far an angle may be off: tenths of a degree, rounded up as in drawings.
    AngleOff,
    /// `_share`, shown in per cent.
    Share,
    /// `_share` of more than two digits that matter, such as a nut factor.
    Factor,
    /// `_kn` of coupling certificates.
    Coupling,
    /// A bare count.
    Count,
    /// `_v`, hundredths.
    Voltage,
    /// `_a`, hundredths.
    Current,
    /// `_ohm`, tenths of a milliohm.
    Resistance,
    /// `_mm2` of wires: hundredths; nobody asks for them in square inches.
    Conductor,
}

/// A number ready to print, and its unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The digits.
    pub number: String,
    /// The unit; empty for a bare number.
    pub unit: &'static str,
}

impl Units {
    /// Returns the units that a kind is shown in, SI first.
    pub fn of(self, kind: Kind) -> Vec<&'static str> {
        let (si, us) = kind.units();
        match (self, us) {
            (Self::Si, _) | (_, None) => vec![si],
            (Self::Us, Some(us)) => vec![us],
            (Self::Both, Some(us)) => vec![si, us],
        }
    }

    /// Returns a number in each of those units.
    pub fn show(self, kind: Kind, si: f64) -> Vec<Shown> {
        self.of(kind).into_iter().map(|unit| Shown { number: kind.digits(si, unit), unit }).collect()
    }

    /// Returns a number with its unit in running text: `74.2 N·m (54.8 lb-ft)`.
    pub fn say(self, kind: Kind, si: f64) -> String {
        let shown = self.show(kind, si).into_iter().map(|Shown { number, unit }| match unit {
            "" => number,
            "%" => format!("{number} %"),
            unit => format!("{number} {unit}"),
        });
        let mut said: Vec<String> = shown.collect();
        let first = if said.is_empty() { String::new() } else { said.remove(0) };
        if said.is_empty() { first } else { format!("{first} ({})", said.join(", ")) }
    }
}

impl Kind {
    const fn units(self) -> (&'static str, Option<&'static str>) {
        match self {
            Self::Torque => ("N·m", Some("lb-ft")),
            Self::Force => ("kN", Some("lbf")),
            Self::Mass | Self::Allowed | Self::Load => ("kg", Some("lb")),
            Self::Length | Self::Size | Self::Gap => ("mm", Some("in")),
            Self::Area => ("mm²", Some("in²")),
            Self::Stress => ("MPa", Some("ksi")),
            Self::Angle | Self::Opening | Self::AngleOff => ("°", None),
            Self::Share => ("%", None),
            Self::Coupling => ("kN", None),
            Self::Factor | Self::Count => ("", None),
            Self::Voltage => ("V", None),
            Self::Current => ("A", None),
            Self::Resistance => ("Ω", None),
            Self::Conductor => ("mm²", None),
        }
    }

    fn digits(self, si: f64, unit: &str) -> String {
        match (self, unit) {
            (Self::Torque, "lb-ft") => significant(Torque::from_n_m(si).lb_ft()),
            (Self::Torque, _) => significant(si),
            (Self::Force, "lbf") => significant(Force::from_n(si).lbf()),
            (Self::Force, _) => significant(Force::from_n(si).kn()),
            (Self::Mass, "lb") => fixed(Mass::from_kg(si).lb(), 0),
            (Self::Mass, _) => fixed(si, 0),
            (Self::Allowed, "lb") => fixed(down(Mass::from_kg(si).lb()), 0),
            (Self::Allowed, _) => fixed(down(si), 0),
            (Self::Load, "lb") => fixed(-down(-Mass::from_kg(si).lb()), 0),
            (Self::Load, _) => fixed(-down(-si), 0),
            (Self::Length, "in") => fixed(Length::from_mm(si).inches(), 1),
            (Self::Length, _) => fixed(si, 0),
            (Self::Gap, "in") => fixed(Length::from_mm(si).inches(), 2),
            (Self::Gap, _) => fixed(si, 1),
            (Self::Size, "in") => fixed(Length::from_mm(si).inches(), 4),
            (Self::Size, _) => fixed(si, 2),
            (Self::Area, "in²") => fixed(Area::from_mm2(si).in2(), 4),
            (Self::Area, _) => fixed(si, 1),
            (Self::Stress, "ksi") => fixed(Stress::from_mpa(si).ksi(), 1),
            (Self::Stress, _) => fixed(si, 0),
            (Self::Angle, _) => fixed(si, 1),
            (Self::Opening, _) => fixed(down(si * 10.0) / 10.0, 1),
            (Self::AngleOff, _) => fixed(-down(-si * 10.0) / 10.0, 1),
            (Self::Share, _) => fixed(si * 100.0, 1),
            (Self::Factor, _) => fixed(si, 3),
            (Self::Coupling, _) => fixed(si, 2),
            (Self::Count, _) => fixed(si, 0),
            (Self::Voltage | Self::Current | Self::Conductor, _) => fixed(si, 2),
            (Self::Resistance, _) => fixed(si, 4),
        }
    }
}

/// Rounds down to a whole number; what is whole but for binary noise stays.
fn down(value: f64) -> f64 {
    (value + 1e-6).floor()
}

/// Prints three significant digits without an exponent.
fn significant(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    // `{:.2e}` rounds to three digits once; the decimals follow from the exponent after rounding.
    let rounded = format!("{value:.2e}");
    let exponent: i32 = rounded.split_once('e').and_then(|(_, power)| power.parse().ok()).unwrap_or(0);
    let value: f64 = rounded.parse().unwrap_or(value);
    fixed(value, usize::try_from(2 - exponent).unwrap_or(0))
}

/// Prints so many decimals, and more where nothing but zeros would hide that there is something.
fn fixed(value: f64, decimals: usize) -> String {
    let text = (decimals..decimals + 4)
        .map(|decimals| format!("{value:.decimals$}"))
        .find(|text| text.contains(|c: char| ('1'..='9').contains(&c)))
        .unwrap_or_else(|| format!("{:.decimals$}", 0.0));
    grouped(&text)
}

/// Parts thousands by commas from five digits on, as they can be read back.
fn grouped(text: &str) -> String {
    let (sign, digits) = text.strip_prefix('-').map_or(("", text), |digits| ("-", digits));
    let (whole, decimals) = digits.find('.').map_or((digits, ""), |dot| digits.split_at(dot));
    if whole.len() < 5 || !whole.bytes().all(|byte| byte.is_ascii_digit()) {
        return text.to_owned();
    }
    let mut parted = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if 0 < i && (whole.len() - i).is_multiple_of(3) {
            parted.push(',');
        }
        parted.push(digit);
    }
    format!("{sign}{parted}{decimals}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torque_has_three_digits_in_both_units() {
        assert_eq!(Units::Both.say(Kind::Torque, 101.686_346), "102 N·m (75.0 lb-ft)");
        assert_eq!(Units::Si.say(Kind::Torque, 8.4), "8.40 N·m");
        assert_eq!(Units::Si.say(Kind::Torque, 999.6), "1000 N·m");
        assert_eq!(Units::Us.say(Kind::Torque, 0.5), "0.369 lb-ft");
    }

    #[test]
    fn a_mass_is_whole_and_something_small_never_reads_as_nothing() {
        assert_eq!(Units::Both.say(Kind::Mass, 2268.0), "2268 kg (5000 lb)");
        assert_eq!(Units::Si.say(Kind::Mass, -0.3), "-0.3 kg");
        assert_eq!(Units::Si.say(Kind::Mass, 0.0), "0 kg");
        assert_eq!(Units::Si.say(Kind::Mass, -0.0), "0 kg");
        assert_eq!(Units::Us.say(Kind::Mass, 5000.0), "11,023 lb");
    }

    #[test]
    fn a_rating_is_rounded_down_and_a_load_up() {
        // 500 lb is 226.796 kg: 227 kg would allow more than the stamp does.
        assert_eq!(Units::Both.say(Kind::Allowed, 226.796_185), "226 kg (500 lb)");
        assert_eq!(Units::Both.say(Kind::Load, 226.1), "227 kg (499 lb)");
        assert_eq!(Units::Si.say(Kind::Allowed, -13.2), "-14 kg");
        assert_eq!(Units::Si.say(Kind::Load, 240.0), "240 kg");
    }

    #[test]
    fn angles_and_shares_have_one_decimal() {
        assert_eq!(Units::Both.say(Kind::Angle, 11.26), "11.3 °");
        // What there must be at least is told as messages and drawings tell it, binary noise aside; a doubt is never less.
        assert_eq!(Units::Both.say(Kind::Opening, 5.7961), "5.7 °");
        assert_eq!(Units::Both.say(Kind::Opening, 5.799_999_99), "5.8 °");
        assert_eq!(Units::Both.say(Kind::AngleOff, 0.1401), "0.2 °");
        assert_eq!(Units::Both.say(Kind::AngleOff, 0.200_000_001), "0.2 °");
        assert_eq!(Units::Both.say(Kind::Share, 0.105), "10.5 %");
        assert_eq!(Units::Both.say(Kind::Factor, 0.18), "0.180");
    }
}
