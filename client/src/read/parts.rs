//! Parts of a joint as people write them: `frame rail: 5 mm, hole=13.5 mm, rm=410 MPa`, `160 mm, -430 mm, 10 mm`.

use baybook_core::units::Rate;
use baybook_proto::v1 as pb;

use super::{ReadError, electric::number, force_n, length_mm, stress_mpa};

/// How a clamped part is written.
const PLATE: &str = "frame rail: 5 mm, hole=13.5 mm, material=s355, rm=470 MPa, e=205 GPa, end=25 mm, side=25 mm";
/// How a plate that pries is written.
const PRYING: &str = "length=80 mm, thickness=10 mm, yield=355 MPa, web=30 mm, edge=35 mm, bolts=2";

fn part(example: &str) -> impl Fn(ReadError) -> ReadError {
    move |error| ReadError::new(error.why, example)
}

/// Splits `key=value, …`; a value without a key is the part's thickness.
fn pairs<'t>(read: &'t str, example: &str) -> Result<Vec<(&'t str, &'t str)>, ReadError> {
    let pairs = read.split(',').map(str::trim).filter(|pair| !pair.is_empty());
    let pairs: Vec<_> =
        pairs.map(|pair| pair.split_once('=').map_or(("", pair), |(k, v)| (k.trim(), v.trim()))).collect();
    for (at, (key, _)) in pairs.iter().enumerate() {
        if pairs.iter().take(at).any(|(before, _)| before == key) {
            let twice = if key.is_empty() { "its thickness".to_owned() } else { format!("{key:?}") };
            return Err(ReadError::new(format!("it says {twice} twice"), example));
        }
    }
    Ok(pairs)
}

/// A clamped part: its name, a colon, its thickness, and whatever else is known of it.
pub fn plate(read: &str) -> Result<pb::ClampedPlate, ReadError> {
    let (label, rest) = read.split_once(':').unwrap_or(("", read));
    let mut plate = pb::ClampedPlate { label: label.trim().to_owned(), ..pb::ClampedPlate::default() };
    for (key, value) in pairs(rest, PLATE)? {
        let length = || length_mm(value).map(Some).map_err(part(PLATE));
        let stress = || stress_mpa(value).map(Some).map_err(part(PLATE));
        match key {
            "" => plate.thickness_mm = length()?,
            "hole" => plate.hole_diameter_mm = length()?,
            "material" => plate.material = value.to_owned(),
            "limit" => plate.limiting_pressure_mpa = stress()?,
            "rm" => plate.tensile_mpa = stress()?,
            "e" => plate.modulus_mpa = stress()?,
            "end" => plate.end_distance_mm = length()?,
            "side" => plate.side_distance_mm = length()?,
            "next" => plate.next_hole_mm = length()?,
            "strip" => {
                let (width, holes) = value
                    .split_once('/')
                    .ok_or_else(|| ReadError::new("a strip is a width, a slash and its holes", "strip=60 mm/1"))?;
                plate.strip_width_mm = Some(length_mm(width).map_err(part("strip=60 mm/1"))?);
                let holes = holes.trim().parse();
                plate.strip_hole_count = Some(
                    holes.map_err(|_| ReadError::new("a strip ends with how many holes it has", "strip=60 mm/1"))?,
                );
            }
            other => {
                let why = format!("{other:?} is none of hole, material, limit, rm, e, end, side, next, strip");
                return Err(ReadError::new(why, PLATE));
            }
        }
    }
    Ok(plate)
}

/// A place: rearward, to the right, upward, each with its unit.
pub fn place(read: &str) -> Result<pb::BracketPlace, ReadError> {
    const EXAMPLE: &str = "160 mm, -430 mm, 10 mm";
    let [rearward, right, up] = three(read, EXAMPLE)?.map(|text| length_mm(text).map_err(part(EXAMPLE)));
    Ok(pb::BracketPlace { rearward_mm: Some(rearward?), right_mm: Some(right?), up_mm: Some(up?) })
}

/// A force on the ball: rearward, to the right, upward, each with its unit.
pub fn hitch_force(read: &str) -> Result<pb::HitchForce, ReadError> {
    const EXAMPLE: &str = "12 kN, 0 kN, -3 kN";
    let [rearward, right, up] = three(read, EXAMPLE)?.map(|text| force_n(text).map_err(part(EXAMPLE)));
    Ok(pb::HitchForce { rearward_n: Some(rearward?), right_n: Some(right?), up_n: Some(up?) })
}

fn three<'t>(read: &'t str, example: &str) -> Result<[&'t str; 3], ReadError> {
    let parts: Vec<&str> = read.split(',').map(str::trim).collect();
    <[&str; 3]>::try_from(parts).map_err(|parts| {
        let why = format!("it has {} parts, not three: rearward, to the right, upward", parts.len());
        ReadError::new(why, example)
    })
}

/// A plate that pries.
pub fn prying(read: &str) -> Result<pb::JointPrying, ReadError> {
    let mut prying = pb::JointPrying::default();
    for (key, value) in pairs(read, PRYING)? {
        let length = || length_mm(value).map(Some).map_err(part(PRYING));
        match key {
            "length" => prying.effective_length_mm = length()?,
            "thickness" => prying.thickness_mm = length()?,
            "yield" => prying.yield_mpa = Some(stress_mpa(value).map_err(part(PRYING))?),
            "web" => prying.to_web_mm = length()?,
            "edge" => prying.to_edge_mm = length()?,
            "bolts" => {
                let bolts = value.parse().map_err(|_| ReadError::new("bolts is a whole number", PRYING))?;
                prying.bolt_count = Some(bolts);
            }
            other => {
                let why = format!("{other:?} is none of length, thickness, yield, web, edge, bolts");
                return Err(ReadError::new(why, PRYING));
            }
        }
    }
    Ok(prying)
}

/// Reads a stiffness with its unit, in newtons per millimetre.
pub fn rate(read: &str) -> Result<f64, ReadError> {
    const EXAMPLE: &str = "666 kN/mm";
    let (value, unit) = number(read, EXAMPLE)?;
    match unit.to_lowercase().as_str() {
        "n/mm" => Ok(value),
        "kn/mm" => Ok(value * 1000.0),
        "lbf/in" | "lb/in" => Ok(Rate::from_lbf_per_in(value).n_per_mm()),
        "" => Err(ReadError::new("it has no unit", EXAMPLE)),
        other => Err(ReadError::new(format!("{other:?} is no unit of stiffness"), EXAMPLE)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plate_says_what_is_known_of_it() {
        let plate =
            plate("frame rail: 5 mm, hole=13.5 mm, material=s355, rm=470 MPa, end=1 in, strip=60 mm/2").unwrap();
        assert_eq!((plate.label.as_str(), plate.material.as_str()), ("frame rail", "s355"));
        assert_eq!(
            (plate.thickness_mm, plate.hole_diameter_mm, plate.end_distance_mm),
            (Some(5.0), Some(13.5), Some(25.4))
        );
        assert_eq!(
            (plate.tensile_mpa, plate.strip_width_mm, plate.strip_hole_count),
            (Some(470.0), Some(60.0), Some(2))
        );
        assert_eq!(super::plate("5 mm").unwrap().thickness_mm, Some(5.0));
        for bad in ["rail: 5", "rail: 5 mm, hole=13.5", "rail: 5 mm, bore=13 mm", "rail: 5 mm, 6 mm", "strip=60 mm"] {
            assert!(super::plate(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_place_and_a_force_have_three_parts() {
        let place = place("160 mm, -430 mm, 0 mm").unwrap();
        assert_eq!((place.rearward_mm, place.right_mm, place.up_mm), (Some(160.0), Some(-430.0), Some(0.0)));
        assert_eq!(hitch_force("12 kN, 0 N, -3 kN").unwrap().up_n, Some(-3000.0));
        for bad in ["160 mm, 0 mm", "1, 2, 3", "a, b, c", ""] {
            assert!(super::place(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_stiffness_has_its_unit() {
        assert_eq!((rate("666 kN/mm"), rate("90 N/mm")), (Ok(666_000.0), Ok(90.0)));
        // 1 lbf/in is 0.175 127 N/mm (NIST SP 811, B.8, from memory).
        assert!((rate("1 lbf/in").unwrap() - 0.175_127).abs() < 5e-7);
        assert!(rate("666").is_err() && rate("666 kN").is_err() && rate("stiff").is_err());
    }

    #[test]
    fn a_prying_plate_names_its_measures() {
        let plate = prying("length=80 mm, thickness=10 mm, yield=355 MPa, web=30 mm, edge=35 mm, bolts=2").unwrap();
        assert_eq!((plate.effective_length_mm, plate.bolt_count, plate.yield_mpa), (Some(80.0), Some(2), Some(355.0)));
        assert!(prying("length=80").is_err() && prying("bolts=two").is_err() && prying("80 mm").is_err());
    }
}
