//! Vehicle and trailer, seen from above.

use baybook_core::{
    model::plan_view::{Nose, NosePoint, Tail},
    units::Length,
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, fields::LABEL_MAX, ranges};

/// The most further points of a trailer's nose.
const POINTS_MAX: usize = 100;

impl FromWire for Tail {
    type Wire = pb::VehicleTail;

    fn from_wire(wire: &pb::VehicleTail, fields: &mut Fields) -> Option<Self> {
        let mut mm = |name, value, range| fields.number(name, value, range).map(Length::from_mm);
        Some(Self {
            half_width: mm("width_mm", wire.width_mm, &ranges::BODY_WIDTH).map(|width| width / 2.0),
            rear_face_station: mm("rear_face_station_mm", wire.rear_face_station_mm, &ranges::STATION),
            turn_radius: mm("turn_radius_mm", wire.turn_radius_mm, &ranges::TURN),
        })
    }
}

impl FromWire for NosePoint {
    type Wire = pb::NosePoint;

    fn from_wire(wire: &pb::NosePoint, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let behind = fields.needed("behind_ball_mm", wire.behind_ball_mm, &ranges::BEHIND_BALL);
        let aside = fields.needed("aside_mm", wire.aside_mm, &ranges::ASIDE);
        Some(Self { label, behind: Length::from_mm(behind?), aside: Length::from_mm(aside?) })
    }
}

impl FromWire for Nose {
    type Wire = pb::TrailerNose;

    fn from_wire(wire: &pb::TrailerNose, fields: &mut Fields) -> Option<Self> {
        let behind = fields.number("behind_ball_mm", wire.behind_ball_mm, &ranges::BEHIND_BALL);
        let width = fields.number("width_mm", wire.width_mm, &ranges::BODY_WIDTH);
        Some(Self {
            behind: behind.map(Length::from_mm),
            half_width: width.map(|width| Length::from_mm(width / 2.0)),
            points: fields.list("points", &wire.points, POINTS_MAX),
        })
    }
}
