//! Flags as people write them: `75 lb-ft`, `21 5/8 in`, `10.5 %`, `cargo=400 kg@3300 mm`.

pub mod electric;
pub mod parts;

use std::{fmt, time::Duration};

use baybook_core::{
    error::CalcError,
    units::{Angle, Force, Length, Mass, Stress, Torque, text},
};
use baybook_proto::v1 as pb;

use crate::fail;

/// Why a flag's text cannot be read, and how it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadError {
    /// Why, with what is allowed.
    pub why: String,
    /// What to type instead.
    pub next: String,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.why, self.next)
    }
}

impl std::error::Error for ReadError {}

impl ReadError {
    fn new(why: impl Into<String>, example: &str) -> Self {
        Self { why: why.into(), next: format!("write it like {example}") }
    }
}

fn from_calc(read: &str, error: &CalcError) -> ReadError {
    let (why, next) = fail::unreadable(read, error);
    ReadError { why, next }
}

/// Reads a mass with its unit.
pub fn mass(read: &str) -> Result<pb::Mass, ReadError> {
    Ok(pb::Mass { value_kg: Some(mass_kg(read)?), printed: String::new() })
}

/// Reads a mass with its unit, in kilograms.
pub fn mass_kg(read: &str) -> Result<f64, ReadError> {
    text::read_mass(read).map(Mass::kg).map_err(|error| from_calc(read, &error))
}

/// Reads a length with its unit, in millimetres.
pub fn length_mm(read: &str) -> Result<f64, ReadError> {
    text::read_length(read).map(Length::mm).map_err(|error| from_calc(read, &error))
}

/// Reads a torque with its unit.
pub fn torque(read: &str) -> Result<pb::Torque, ReadError> {
    let torque = text::read_torque(read).map(Torque::n_m).map_err(|error| from_calc(read, &error))?;
    Ok(pb::Torque { value_n_m: Some(torque), printed: String::new() })
}

/// Reads a force with its unit.
pub fn force(read: &str) -> Result<pb::Force, ReadError> {
    let force = text::read_force(read).map(Force::n).map_err(|error| from_calc(read, &error))?;
    Ok(pb::Force { value_n: Some(force), printed: String::new() })
}

/// Reads a force with its unit, in newtons.
pub fn force_n(read: &str) -> Result<f64, ReadError> {
    text::read_force(read).map(Force::n).map_err(|error| from_calc(read, &error))
}

/// Reads a stress with its unit, in megapascals.
pub fn stress_mpa(read: &str) -> Result<f64, ReadError> {
    text::read_stress(read).map(Stress::mpa).map_err(|error| from_calc(read, &error))
}

/// Reads an angle with its unit, in degrees.
pub fn angle_deg(read: &str) -> Result<f64, ReadError> {
    text::read_angle(read).map(Angle::deg).map_err(|error| from_calc(read, &error))
}

/// Reads a share: `10 %`, or as a ratio of at most one, `0.1`.
pub fn share(read: &str) -> Result<f64, ReadError> {
    const EXAMPLE: &str = "10 %";
    let trimmed = read.trim();
    let (digits, percent) = match trimmed.strip_suffix('%') {
        Some(digits) => (digits.trim_end(), true),
        None => (trimmed, false),
    };
    if digits.contains(',') {
        return Err(ReadError::new("a comma is no decimal point; write a point", EXAMPLE));
    }
    match digits.parse::<f64>() {
        Ok(value) if !value.is_finite() => Err(ReadError::new("it is not a finite number", EXAMPLE)),
        Ok(value) if percent => Ok(value / 100.0),
        Ok(value) if value <= 1.0 => Ok(value),
        Ok(value) => Err(ReadError::new("without a % sign it is a ratio of 0 to 1", &format!("{value} %"))),
        Err(_) => Err(ReadError::new("it is not a share: a number and a % sign", EXAMPLE)),
    }
}

/// A tongue load, as weighed or as a share of the trailer's mass.
pub fn tongue(read: &str) -> Result<pb::upfit_plan::Tongue, ReadError> {
    if read.contains('%') {
        return share(read).map(pb::upfit_plan::Tongue::TongueShare);
    }
    mass(read).map(pb::upfit_plan::Tongue::TongueLoad).map_err(|error| ReadError {
        why: error.why,
        next: "write it as a mass like 210 kg, or as a share of the trailer's mass like 10.5 %".to_owned(),
    })
}

/// Something that rides along: `cargo=400 kg@3300 mm`, the station rearward of the front axle.
pub fn item(read: &str) -> Result<pb::LoadItem, ReadError> {
    const EXAMPLE: &str = "cargo=400 kg@3300 mm";
    let part = |error: ReadError| ReadError::new(error.why, EXAMPLE);
    let Some((label, rest)) = read.split_once('=') else {
        return Err(ReadError::new("it has no '=' between what it is and its mass", EXAMPLE));
    };
    let (weight, station) = match rest.rsplit_once('@') {
        Some((weight, station)) => (weight, Some(length_mm(station).map_err(part)?)),
        None => (rest, None),
    };
    let label = label.trim();
    if label.is_empty() {
        return Err(ReadError::new("it does not say what it is before the '='", EXAMPLE));
    }
    let mass = Some(mass(weight).map_err(part)?);
    Ok(pb::LoadItem { label: label.to_owned(), mass, station_mm: station, permanent: false })
}

/// A point of an underside: `belly=200 mm@1820 mm`, the height and then the station rearward of the front axle.
pub fn point(read: &str) -> Result<pb::ProfilePoint, ReadError> {
    const EXAMPLE: &str = "belly=200 mm@1820 mm";
    let part = |error: ReadError| ReadError::new(error.why, EXAMPLE);
    let Some((label, rest)) = read.split_once('=') else {
        return Err(ReadError::new("it has no '=' between what hangs there and its height", EXAMPLE));
    };
    let Some((height, station)) = rest.rsplit_once('@') else {
        return Err(ReadError::new("it has no '@' between its height and its station", EXAMPLE));
    };
    let label = label.trim();
    if label.is_empty() {
        return Err(ReadError::new("it does not say what hangs there before the '='", EXAMPLE));
    }
    let (height, station) = (length_mm(height).map_err(part)?, length_mm(station).map_err(part)?);
    Ok(pb::ProfilePoint { label: label.to_owned(), station_mm: Some(station), height_mm: Some(height) })
}

/// A point of a trailer's nose: `jack handle=-100 mm@250 mm`, how far behind the ball and how far off the middle.
pub fn nose_point(read: &str) -> Result<pb::NosePoint, ReadError> {
    const EXAMPLE: &str = "jack handle=-100 mm@250 mm";
    let point = point(read).map_err(|error| ReadError::new(error.why, EXAMPLE))?;
    Ok(pb::NosePoint { label: point.label, behind_ball_mm: point.height_mm, aside_mm: point.station_mm })
}

/// A terrain: corners parted by semicolons, each a distance and a height, `0 mm,0 mm; 3000 mm,450 mm`.
pub fn ground(read: &str) -> Result<pb::Terrain, ReadError> {
    const EXAMPLE: &str = "0 mm,0 mm; 3000 mm,450 mm";
    let mut points = Vec::new();
    for corner in read.split(';').filter(|corner| !corner.trim().is_empty()) {
        let Some((run, rise)) = corner.rsplit_once(',') else {
            return Err(ReadError::new(format!("{:?} has no ',' between distance and height", corner.trim()), EXAMPLE));
        };
        let part = |error: ReadError| ReadError::new(format!("in {:?} {}", corner.trim(), error.why), EXAMPLE);
        let (run, rise) = (length_mm(run).map_err(part)?, length_mm(rise).map_err(part)?);
        points.push(pb::GroundPoint { run_mm: Some(run), rise_mm: Some(rise) });
    }
    if points.is_empty() {
        return Err(ReadError::new("it has no corners", EXAMPLE));
    }
    Ok(pb::Terrain { label: "ground".to_owned(), points })
}

/// A condition: an entry `finishes/…`, nut factors given here, `K=0.12/0.15/0.18`, or frictions, `MU=0.10/0.12/0.14` for
/// threads and face alike, `MU=0.10/0.12/0.14,0.08/0.10/0.12` for threads, then face.
pub fn finish(read: &str) -> Result<pb::FinishRef, ReadError> {
    const EXAMPLE: &str = "finishes/zinc-dry, K=0.12/0.15/0.18 or MU=0.10/0.12/0.14";
    let trimmed = read.trim();
    let after = |names: [&str; 2]| names.iter().find_map(|name| trimmed.strip_prefix(name));
    let given = |finish: pb::Finish| {
        pb::finish_ref::Finish::Spec(Box::new(pb::Finish {
            label: trimmed.to_owned(),
            friction_source: "given with the call".to_owned(),
            ..finish
        }))
    };
    let spec = if let Some(factors) = after(["K=", "k="]) {
        given(pb::Finish { nut_factor: Some(band(factors, "K=0.12/0.15/0.18")?), ..pb::Finish::default() })
    } else if let Some(frictions) = after(["MU=", "mu="]) {
        let (thread, face) = frictions.split_once(',').unwrap_or((frictions, frictions));
        given(pb::Finish {
            thread_friction: Some(band(thread, "MU=0.10/0.12/0.14")?),
            face_friction: Some(band(face, "MU=0.10/0.12/0.14,0.08/0.10/0.12")?),
            ..pb::Finish::default()
        })
    } else if trimmed.contains('/') {
        pb::finish_ref::Finish::Name(trimmed.to_owned())
    } else {
        return Err(ReadError {
            why: "it is neither an entry nor nut factors nor frictions".to_owned(),
            next: format!("write it like {EXAMPLE}"),
        });
    };
    Ok(pb::FinishRef { finish: Some(spec) })
}

/// Three numbers: low, likely, high.
fn band(read: &str, example: &str) -> Result<pb::Band, ReadError> {
    let values: Result<Vec<f64>, _> = read.split('/').map(|value| value.trim().parse::<f64>()).collect();
    let Ok(&[low, nominal, high]) = values.as_deref() else {
        return Err(ReadError::new("a band is three numbers: low, likely, high", example));
    };
    Ok(pb::Band { low_share: Some(low), nominal_share: Some(nominal), high_share: Some(high) })
}

/// Reads a time: `500ms`, `30s`, `2m`.
pub fn time(read: &str) -> Result<Duration, ReadError> {
    const EXAMPLE: &str = "30s";
    let folded: String = read.chars().filter(|c| !c.is_whitespace()).collect();
    let end = folded.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(folded.len());
    let (digits, unit) = folded.split_at(end);
    let seconds = match unit {
        "ms" => 0.001,
        "s" => 1.0,
        "m" | "min" => 60.0,
        _ => return Err(ReadError::new("it is not a time in ms, s or m", EXAMPLE)),
    };
    let value: f64 = digits.parse().map_err(|_| ReadError::new("it does not start with a number", EXAMPLE))?;
    let seconds = value * seconds;
    if !(0.001..=3600.0).contains(&seconds) {
        return Err(ReadError::new("it must be 1 ms to 60 m", EXAMPLE));
    }
    Ok(Duration::from_secs_f64(seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_write_is_read() {
        assert_eq!(mass_kg("1,000 lb"), Ok(453.592_37));
        assert_eq!(length_mm("21 5/8 in"), Ok(549.275));
        assert_eq!(torque("100 N·m").map(|torque| torque.value_n_m), Ok(Some(100.0)));
        assert_eq!(angle_deg("90°").map(f64::round), Ok(90.0));
        assert_eq!(share("10 %"), Ok(0.1));
        assert_eq!(share("0.25"), Ok(0.25));
        assert_eq!(time("2 m"), Ok(Duration::from_secs(120)));
        assert_eq!(time("500ms"), Ok(Duration::from_millis(500)));
    }

    #[test]
    fn a_number_without_its_unit_is_refused() {
        for read in ["100", "100 pebbles", "", "1,5 kg"] {
            assert!(mass_kg(read).is_err(), "{read}");
        }
        assert!(share("10").unwrap_err().next.contains("10 %"));
        assert!(share("10,5 %").is_err());
        assert!(time("30").is_err() && time("0s").is_err() && time("2h").is_err());
    }

    #[test]
    fn an_item_says_what_how_much_and_where() {
        let item = item("ladder rack = 64 kg @ 2.1 m").unwrap();
        assert_eq!((item.label.as_str(), item.station_mm), ("ladder rack", Some(2100.0)));
        assert_eq!(item.mass.and_then(|mass| mass.value_kg), Some(64.0));
        assert_eq!(super::item("crew=160 kg").unwrap().station_mm, None);
        for bad in ["400 kg@3300 mm", "=400 kg", "cargo=400@3300 mm", "cargo=400 kg@3300"] {
            assert!(super::item(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_point_and_a_ground_are_lengths_with_units() {
        let point = point("front lip = 260 mm @ -820 mm").unwrap();
        assert_eq!((point.label.as_str(), point.height_mm, point.station_mm), ("front lip", Some(260.0), Some(-820.0)));
        for bad in ["belly=200 mm", "200 mm@1820 mm", "=200 mm@1 m", "belly=200@1820 mm"] {
            assert!(super::point(bad).is_err(), "{bad}");
        }
        let ground = ground("0 mm,0 mm; 3 m,450 mm;").unwrap();
        assert_eq!(ground.points.len(), 2);
        assert_eq!((ground.points[1].run_mm, ground.points[1].rise_mm), (Some(3000.0), Some(450.0)));
        for bad in ["", ";", "0 mm", "0,0; 1 m,1 m", "0 mm,0 kg"] {
            assert!(super::ground(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_tongue_is_a_mass_or_a_share() {
        use pb::upfit_plan::Tongue;
        assert_eq!(tongue("10.5 %"), Ok(Tongue::TongueShare(0.105)));
        assert!(matches!(tongue("210 kg"), Ok(Tongue::TongueLoad(_))));
        assert!(tongue("210").unwrap_err().next.contains("10.5 %"));
    }

    #[test]
    fn a_condition_is_an_entry_or_nut_factors() {
        use pb::finish_ref::Finish;
        assert_eq!(finish("finishes/oiled").unwrap().finish, Some(Finish::Name("finishes/oiled".to_owned())));
        let Some(Finish::Spec(spec)) = finish("K=0.12/0.15/0.18").unwrap().finish else { panic!("not a spec") };
        assert_eq!(spec.nut_factor.and_then(|band| band.high_share), Some(0.18));
        assert!(finish("oiled").is_err() && finish("K=0.15").is_err());
        let Some(Finish::Spec(spec)) = finish("MU=0.10/0.12/0.14").unwrap().finish else { panic!("not a spec") };
        assert_eq!(spec.thread_friction, spec.face_friction);
        assert_eq!(spec.nut_factor, None);
        let Some(Finish::Spec(spec)) = finish("MU=0.10/0.12/0.14, 0.08/0.10/0.12").unwrap().finish else {
            panic!("not a spec")
        };
        assert_eq!(spec.face_friction.and_then(|band| band.low_share), Some(0.08));
        assert!(finish("MU=0.12").is_err() && finish("MU=0.10/0.12/0.14,0.1").is_err());
    }
}
