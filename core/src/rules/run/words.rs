//! Numbers as a person reads them aloud: thousands parted, loads rounded up, ratings rounded down.

use std::fmt;

/// What is taken off before rounding up, so that a hair of binary noise does not show as one more kilogram.
const NOISE: f64 = 1e-6;

/// A load in kilograms, rounded up: `1,997 kg`.
#[derive(Debug, Clone, Copy)]
pub struct Load(pub f64);

/// A rating in kilograms, rounded down: `226 kg`.
#[derive(Debug, Clone, Copy)]
pub struct Rating(pub f64);

/// By how much a load exceeds a rating, as the difference of the two numbers shown.
#[derive(Debug, Clone, Copy)]
pub struct Over(pub f64, pub f64);

/// A share as a percentage with one decimal: `10.5 %`.
#[derive(Debug, Clone, Copy)]
pub struct Percent(pub f64);

/// A number in a unit of the wire, fine enough to tell two values apart that lie half a hundredth from each other.
#[derive(Debug, Clone, Copy)]
pub struct Measured(pub f64, pub &'static str);

/// An angle in degrees, rounded down to one decimal, which is all a tape can tell: `11.5°`.
#[derive(Debug, Clone, Copy)]
pub struct Degrees(pub f64);

/// Returns a unit suffix of the wire as it is spoken: `kg`, `N·m`, `°`.
#[must_use]
pub fn spoken(unit: &'static str) -> &'static str {
    match unit {
        "n_m" => "N·m",
        "n" => "N",
        "kn" => "kN",
        "mpa" => "MPa",
        "deg" => "°",
        "share" => "of one",
        "hv" => "HV",
        other => other,
    }
}

impl fmt::Display for Measured {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self(value, unit) = *self;
        if matches!(unit, "kg" | "n" | "mm") {
            let tenths = (value.abs() * 10.0).round();
            parted(f, (tenths / 10.0).floor().copysign(value))?;
            return write!(f, ".{:.0}", tenths % 10.0);
        }
        write!(f, "{value:.3}")
    }
}

fn up(value: f64) -> f64 {
    (value - NOISE).ceil()
}

fn down(value: f64) -> f64 {
    (value + NOISE).floor()
}

fn parted(f: &mut fmt::Formatter<'_>, whole: f64) -> fmt::Result {
    let sign = if whole < 0.0 { "-" } else { "" };
    let n = whole.abs() as u64;
    match n {
        0..1000 => write!(f, "{sign}{n}"),
        1000..1_000_000 => write!(f, "{sign}{},{:03}", n / 1000, n % 1000),
        _ => write!(f, "{sign}{},{:03},{:03}", n / 1_000_000, n / 1000 % 1000, n % 1000),
    }
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        parted(f, up(self.0))?;
        f.write_str(" kg")
    }
}

impl fmt::Display for Rating {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        parted(f, down(self.0))?;
        f.write_str(" kg")
    }
}

impl fmt::Display for Over {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        parted(f, up(self.0) - down(self.1))?;
        f.write_str(" kg")
    }
}

impl fmt::Display for Degrees {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1}°", down(self.0 * 10.0) / 10.0)
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} %", self.0 * 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_go_up_and_ratings_go_down() {
        // 500 lb is 226.796 kg: shown as 227 it would let 0.2 kg too much pass.
        assert_eq!(Rating(226.796).to_string(), "226 kg");
        assert_eq!(Load(226.9).to_string(), "227 kg");
        assert_eq!(Over(226.9, 226.796).to_string(), "1 kg");
        assert_eq!(Load(1996.0).to_string(), "1,996 kg");
        assert_eq!(Load(1_996.000_000_000_2).to_string(), "1,996 kg");
        assert_eq!(Load(1_234_567.0).to_string(), "1,234,567 kg");
        assert_eq!(Percent(0.105).to_string(), "10.5 %");
    }
}
