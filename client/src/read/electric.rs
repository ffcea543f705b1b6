//! Wires, currents and temperatures as people write them: `12 AWG`, `2.5 mm2 cable`, `60 °C`, `marker=45 ohm@6 m`.

use baybook_core::units::{Amps, Volts, text};
use baybook_proto::v1 as pb;

use super::{ReadError, from_calc, length_mm};

/// A conductor, in one of the three ways the contract takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Conductor {
    /// An American gauge.
    Gauge(i32),
    /// A metric cable's nominal size, mm².
    Cable(f64),
    /// A copper area, mm².
    Copper(f64),
}

/// Reads a current with its unit, in amperes.
pub fn amps(read: &str) -> Result<f64, ReadError> {
    text::read_amps(read).map(Amps::a).map_err(|error| from_calc(read, &error))
}

/// Reads a voltage with its unit, in volts.
pub fn volts(read: &str) -> Result<f64, ReadError> {
    text::read_volts(read).map(Volts::v).map_err(|error| from_calc(read, &error))
}

/// Splits a text into its number and what follows.
pub(super) fn number<'a>(read: &'a str, example: &str) -> Result<(f64, &'a str), ReadError> {
    let read = read.trim();
    let end = read.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | '-' | '+')).unwrap_or(read.len());
    let (digits, rest) = read.split_at(end);
    if rest.starts_with(',') {
        return Err(ReadError::new("a comma is no decimal point; write a point", example));
    }
    let value: f64 = digits.parse().map_err(|_| ReadError::new("it does not start with a number", example))?;
    Ok((value, rest.trim()))
}

/// Reads a resistance with its unit, in ohms.
pub fn ohms(read: &str) -> Result<f64, ReadError> {
    const EXAMPLE: &str = "3.2 ohm";
    let (value, unit) = number(read, EXAMPLE)?;
    match unit.to_lowercase().as_str() {
        "ohm" | "ohms" | "ω" | "Ω" => Ok(value),
        "mohm" | "mω" => Ok(value / 1000.0),
        "" => Err(ReadError::new("it has no unit", EXAMPLE)),
        other => Err(ReadError::new(format!("{other:?} is no unit of resistance"), EXAMPLE)),
    }
}

/// Reads a temperature with its unit, in degrees Celsius.
pub fn celsius(read: &str) -> Result<f64, ReadError> {
    const EXAMPLE: &str = "60 C or 140 F";
    let (value, unit) = number(read, EXAMPLE)?;
    match unit.trim_start_matches('°').trim().to_lowercase().as_str() {
        "c" | "degc" | "deg c" => Ok(value),
        "f" | "degf" | "deg f" => Ok((value - 32.0) / 1.8),
        "" => Err(ReadError::new("it has no unit", EXAMPLE)),
        other => Err(ReadError::new(format!("{other:?} is no unit of temperature"), EXAMPLE)),
    }
}

/// Reads a conductor: a gauge, a cable or a copper area. A square millimetre is not a gauge, and a bare area is not a
/// cable.
pub fn conductor(read: &str) -> Result<Conductor, ReadError> {
    const EXAMPLE: &str = "12 AWG, 2.5 mm2 cable or 3.3 mm2 copper";
    let folded = read.trim().to_lowercase().replace('²', "2");
    let (value, unit) = match folded.strip_prefix("awg") {
        Some(rest) => (number(rest, EXAMPLE)?.0, "awg".to_owned()),
        None => number(&folded, EXAMPLE).map(|(value, unit)| (value, unit.to_owned()))?,
    };
    let words: Vec<&str> = unit.split_whitespace().collect();
    match words.as_slice() {
        ["awg" | "ga" | "gauge"] if value.fract() == 0.0 && value.abs() < 1000.0 => Ok(Conductor::Gauge(value as i32)),
        ["awg" | "ga" | "gauge"] => Err(ReadError::new("a gauge is a whole number", EXAMPLE)),
        ["mm2", "cable"] => Ok(Conductor::Cable(value)),
        ["mm2", "copper"] => Ok(Conductor::Copper(value)),
        ["mm2"] => Err(ReadError::new("it does not say whether that is a cable's size or measured copper", EXAMPLE)),
        [] => Err(ReadError::new("it does not say whether that is a gauge or an area", EXAMPLE)),
        _ => Err(ReadError::new(format!("{unit:?} is no size of wire"), EXAMPLE)),
    }
}

/// A load along the run: `marker=45 ohm@6 m`.
pub fn tap(read: &str) -> Result<pb::CircuitTap, ReadError> {
    const EXAMPLE: &str = "marker=45 ohm@6 m";
    let part = |error: ReadError| ReadError::new(error.why, EXAMPLE);
    let Some((label, rest)) = read.split_once('=') else {
        return Err(ReadError::new("it has no '=' between what it is and its resistance", EXAMPLE));
    };
    let Some((load, at)) = rest.rsplit_once('@') else {
        return Err(ReadError::new("it has no '@' before how far from the source it is", EXAMPLE));
    };
    let (load_ohm, at_mm) = (ohms(load).map_err(part)?, length_mm(at).map_err(part)?);
    Ok(pb::CircuitTap { label: label.trim().to_owned(), at_mm: Some(at_mm), load_ohm: Some(load_ohm) })
}

/// An answer to a question of the routing checklist: `grommets=yes`.
pub fn routing(read: &str) -> Result<pb::RoutingAnswer, ReadError> {
    const EXAMPLE: &str = "grommets=yes";
    let Some((question, answer)) = read.split_once('=') else {
        return Err(ReadError::new("it has no '=' between the question and yes or no", EXAMPLE));
    };
    let good = match answer.trim().to_lowercase().as_str() {
        "yes" => true,
        "no" => false,
        _ => return Err(ReadError::new("the answer is yes or no", EXAMPLE)),
    };
    Ok(pb::RoutingAnswer { question: question.trim().to_owned(), good: Some(good) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_write_is_read() {
        assert_eq!(amps("12 A"), Ok(12.0));
        assert_eq!(volts("13.5 V"), Ok(13.5));
        assert_eq!(ohms("3.2 ohm"), Ok(3.2));
        assert_eq!(ohms("3.2Ω"), Ok(3.2));
        assert_eq!(ohms("800 mOhm"), Ok(0.8));
        assert_eq!(celsius("60 °C"), Ok(60.0));
        assert_eq!(celsius("-40F"), Ok(-40.0));
        assert_eq!(celsius("140 F"), Ok(60.0));
        for text in ["12 AWG", "AWG 12", "12 ga", "12awg"] {
            assert_eq!(conductor(text), Ok(Conductor::Gauge(12)), "{text}");
        }
        assert_eq!(conductor("2.5 mm² cable"), Ok(Conductor::Cable(2.5)));
        assert_eq!(conductor("3.3 mm2 copper"), Ok(Conductor::Copper(3.3)));
        let tap = tap("rear marker = 45 ohm @ 6 m").unwrap();
        assert_eq!((tap.label.as_str(), tap.load_ohm, tap.at_mm), ("rear marker", Some(45.0), Some(6000.0)));
        assert_eq!(routing("grommets=No").map(|answer| answer.good), Ok(Some(false)));
    }

    #[test]
    fn what_could_mean_two_things_is_refused() {
        for bad in ["12", "2.5 mm2", "12.5 AWG", "2,5 mm2 cable", "wire", ""] {
            assert!(conductor(bad).is_err(), "{bad}");
        }
        assert!(ohms("3.2").is_err() && celsius("60").is_err() && celsius("60 K").is_err() && amps("12").is_err());
        assert!(tap("45 ohm@6 m").is_err() && tap("a=45 ohm").is_err() && tap("a=45@6 m").is_err());
        assert!(routing("grommets").is_err() && routing("grommets=maybe").is_err());
    }
}
