//! Which column a field's path in a plan came from.

use super::{Field, Header, Work};

/// The field of a column that repeats, by its place in the header.
type Place = fn(usize) -> Field;

/// Which of the header's items, joints and parts of the record a row tells of, in the order of its plan.
#[derive(Debug, Default)]
pub struct Told {
    /// The items.
    pub items: Vec<usize>,
    /// The joints.
    pub joints: Vec<usize>,
    /// The torque readings.
    pub readings: Vec<usize>,
    /// The bolts that went in.
    pub fitted: Vec<usize>,
    /// What is still to be done.
    pub follow_ups: Vec<usize>,
}

impl Header {
    /// Returns the heading of the column that the field of a plan came from, as the sheet writes it: `work.readings[0].torque`
    /// is `reading.frame-side.torque`, and `limits.cab_gap_min_mm` is `limit.cab_gap`.
    pub fn heading(&self, told: &Told, path: &str) -> Option<&str> {
        let known = |field: Field| {
            let columns = self.columns.iter().flatten();
            columns.into_iter().find(|column| column.field == field).map(|column| column.heading.as_str())
        };
        if let Some(limit) = path.strip_prefix("limits.") {
            return of_limit(limit).and_then(known);
        }
        let (list, rest) = path.split_once('[')?;
        let (index, part) = rest.split_once(']')?;
        let index: usize = index.parse().ok()?;
        let part = part.trim_start_matches('.');
        let (positions, field): (_, fn(&str) -> Option<Place>) = match list {
            "items" => (&told.items, of_item),
            "joints" => (&told.joints, of_joint),
            "work.readings" => (&told.readings, of_reading),
            "work.fitted" => (&told.fitted, of_fitted),
            "work.follow_ups" => (&told.follow_ups, of_follow_up),
            _ => return None,
        };
        let at = *positions.get(index)?;
        // Who took a reading, and with which wrench, may stand in one column for all.
        let usual = match (list, plain(part)) {
            ("work.readings", "person") => Some(Field::Work(Work::Person)),
            ("work.readings", "wrench") => Some(Field::Work(Work::Wrench)),
            _ => None,
        };
        field(plain(part)).and_then(|place| known(place(at))).or_else(|| usual.and_then(known))
    }
}

/// Returns the field without what it is made of: `torque` of `torque.value_n_m`.
fn plain(part: &str) -> &str {
    part.strip_suffix(".name")
        .or_else(|| part.strip_suffix(".value_kg"))
        .or_else(|| part.strip_suffix(".value_n_m"))
        .or_else(|| part.strip_suffix(".value_mm"))
        .unwrap_or(part)
}

fn of_limit(part: &str) -> Option<Field> {
    Some(match part {
        "approach_min_deg" => Field::LimitApproach,
        "departure_min_deg" => Field::LimitDeparture,
        "departure_laden_min_deg" => Field::LimitDepartureLaden,
        "ramp_min_deg" => Field::LimitRamp,
        "hitch_height_min_mm" => Field::LimitHitchHeight,
        "tongue_min_share" => Field::LimitTongueShareMin,
        "tongue_max_share" => Field::LimitTongueShareMax,
        "level_tolerance_mm" => Field::LimitLevelTolerance,
        "terrain_margin_mm" => Field::LimitTerrainMargin,
        "tail_swing_max_mm" => Field::LimitTailSwing,
        "articulation_min_deg" => Field::LimitArticulation,
        "cab_gap_min_mm" => Field::LimitCabGap,
        "rail_gap_min_mm" => Field::LimitRailGap,
        _ => return None,
    })
}

fn of_item(part: &str) -> Option<Place> {
    Some(match part {
        "mass" => Field::ItemMass,
        "station_mm" => Field::ItemStation,
        "permanent" => Field::ItemPermanent,
        _ => return None,
    })
}

fn of_joint(part: &str) -> Option<Place> {
    Some(match part {
        "bolt" => Field::JointBolt,
        "nut" => Field::JointNut,
        "washer" => Field::JointWasher,
        "finish" => Field::JointCondition,
        "planned_torque" => Field::JointTorque,
        "bolt_reused" => Field::JointReused,
        "nut_reused" => Field::JointNutReused,
        "wrench" => Field::JointWrench,
        "stack.grip_mm" => Field::JointGrip,
        "stack.washer_count" => Field::JointWashers,
        "stack.hole_diameter_mm" => Field::JointHole,
        "stack.head_material" | "stack.nut_material" => Field::JointMaterial,
        "stack.engagement_mm" => Field::JointEngagement,
        "stack.edge_distance_mm" => Field::JointEdge,
        "stack.coated" => Field::JointCoated,
        "stack.plate_thickness_mm" => Field::JointPlate,
        // A joint that the receiver does not have is named by every one of its columns; the first will do.
        "id" => Field::JointTorque,
        _ => return None,
    })
}

fn of_reading(part: &str) -> Option<Place> {
    Some(match part {
        "torque" | "joint" => |at| Field::Work(Work::ReadingTorque(at)),
        "taken_at" => |at| Field::Work(Work::ReadingTime(at)),
        "person" => |at| Field::Work(Work::ReadingPerson(at)),
        "wrench" => |at| Field::Work(Work::ReadingWrench(at)),
        "recheck" => |at| Field::Work(Work::ReadingRecheck(at)),
        _ => return None,
    })
}

fn of_fitted(part: &str) -> Option<Place> {
    Some(match part {
        "bolt" | "joint" => |at| Field::Work(Work::FittedBolt(at)),
        "lot" => |at| Field::Work(Work::FittedLot(at)),
        _ => return None,
    })
}

fn of_follow_up(part: &str) -> Option<Place> {
    Some(match part {
        "due" => |at| Field::Work(Work::FollowUpDue(at)),
        "done" => |at| Field::Work(Work::FollowUpDone(at)),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use prost_reflect::DescriptorPool;

    use super::{super::fixed::COLUMNS, Header, Told};

    #[test]
    fn every_limit_of_the_contract_is_told_by_a_column_of_its_own() {
        let headings: Vec<_> =
            COLUMNS.iter().map(|column| column.0).filter(|name| name.starts_with("limit.")).collect();
        let owned: Vec<_> = headings.iter().chain([&"vehicle"]).map(|heading| (*heading).to_owned()).collect();
        let header = Header::read(&owned, &[]).unwrap();
        let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
        let limits = pool.get_message_by_name("baybook.v1.Limits").unwrap();
        let mut told: Vec<_> = limits
            .fields()
            .map(|field| header.heading(&Told::default(), &format!("limits.{}", field.name())).unwrap())
            .collect();
        told.sort_unstable();
        let mut all = headings;
        all.sort_unstable();
        assert_eq!(told, all);
        assert_eq!(header.heading(&Told::default(), "limits.nothing"), None);
    }
}
