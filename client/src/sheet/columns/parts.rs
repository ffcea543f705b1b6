//! Columns that repeat: of items, of joints, and of the record of the work.

use super::{Field, Kind, Work};

const WASHERS: &[(&str, i32)] = &[("0", 0), ("1", 1), ("2", 2)];

/// A part of a column that repeats: its name, where it goes, what it holds, what it means.
pub type Part = (&'static str, fn(usize) -> Field, Kind, &'static str);

/// The parts of a column that repeats: `item.NAME.mass`, `joint.NAME.torque`.
pub const ITEM_PARTS: &[Part] = &[
    ("mass", Field::ItemMass, Kind::Mass, "what the item weighs"),
    ("station", Field::ItemStation, Kind::Length, "where it sits, rearward of the front axle"),
    ("permanent", Field::ItemPermanent, Kind::YesNo, "whether the shop adds it for good"),
];
pub const JOINT_PARTS: &[Part] = &[
    ("bolt", Field::JointBolt, Kind::Name("bolts"), "the bolt that goes in, when not as specified"),
    ("nut", Field::JointNut, Kind::Name("nuts"), "the nut that goes on, when not as specified"),
    ("washer", Field::JointWasher, Kind::Name("washers"), "the washer that goes under, when not as specified"),
    ("condition", Field::JointCondition, Kind::Name("finishes"), "the condition the joint is really in"),
    ("torque", Field::JointTorque, Kind::Torque, "what the shop means to set"),
    ("reused", Field::JointReused, Kind::YesNo, "the bolt has been tightened before"),
    ("grip", Field::JointGrip, Kind::Length, "everything between head and nut, washers left out"),
    ("washers", Field::JointWashers, Kind::Choice(WASHERS), "how many washers lie under head and nut"),
    ("hole", Field::JointHole, Kind::Length, "the largest hole in the clamped parts"),
    ("material", Field::JointMaterial, Kind::Text, "what lies under head and nut, such as s355"),
    ("engagement", Field::JointEngagement, Kind::Length, "engaged thread, when not the nut's height"),
    ("edge", Field::JointEdge, Kind::Length, "from a hole's centre to the nearest edge"),
    ("coated", Field::JointCoated, Kind::YesNo, "paint or rubber lies between the parts"),
    ("wrench", Field::JointWrench, Kind::Name("wrenches"), "the wrench it is tightened with"),
    ("found_good", Field::JointInspected, Kind::YesNo, "a used bolt was looked over and found good in all"),
    ("nut_reused", Field::JointNutReused, Kind::YesNo, "the nut has been tightened before"),
    ("plate", Field::JointPlate, Kind::Length, "thickness of the thinnest clamped part"),
];
/// `reading.JOINT.torque`, or bolt by bolt `reading.JOINT.2.torque`.
pub const READING_PARTS: &[Part] = &[
    (
        "torque",
        |at| Field::Work(Work::ReadingTorque(at)),
        Kind::Torque,
        "what the wrench showed; NAME is JOINT, or JOINT.2 for its second reading",
    ),
    (
        "taken_at",
        |at| Field::Work(Work::ReadingTime(at)),
        Kind::Text,
        "when: 2026-11-26T14:05:00, with Z or an offset or not",
    ),
    ("person", |at| Field::Work(Work::ReadingPerson(at)), Kind::Text, "who, when not work.person"),
    ("wrench", |at| Field::Work(Work::ReadingWrench(at)), Kind::Name("wrenches"), "with which, when not work.wrench"),
    ("recheck", |at| Field::Work(Work::ReadingRecheck(at)), Kind::YesNo, "it was read after the first drive"),
];
pub const FITTED_PARTS: &[Part] = &[
    ("bolt", |at| Field::Work(Work::FittedBolt(at)), Kind::Name("bolts"), "the bolt that went in, by head and box"),
    ("lot", |at| Field::Work(Work::FittedLot(at)), Kind::Text, "the lot it came from"),
];
pub const FOLLOW_UP_PARTS: &[Part] = &[
    ("due", |at| Field::Work(Work::FollowUpDue(at)), Kind::Text, "the day by which it is to be done, as 2026-12-10"),
    ("done", |at| Field::Work(Work::FollowUpDone(at)), Kind::YesNo, "it is done"),
];
