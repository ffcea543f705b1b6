//! The columns of a fleet sheet.

mod list;
mod parts;

use std::fmt::Write as _;

pub use list::column_list;

use parts::{ITEM_PARTS, JOINT_PARTS, Part};

use super::BadHeader;

/// What a cell of a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// The name of an entry; the folder may be left out.
    Name(&'static str),
    /// A mass with its unit.
    Mass,
    /// A length with its unit.
    Length,
    /// An angle with its unit.
    Angle,
    /// A torque with its unit.
    Torque,
    /// A share, 0 to 1, or a percentage.
    Share,
    /// A year.
    Year,
    /// Yes or no.
    YesNo,
    /// One of some words.
    Choice(&'static [(&'static str, i32)]),
}

/// Where in a plan a column's value goes; [`COLUMNS`] says what each means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    Unit,
    Vin,
    ModelYear,
    Vehicle,
    Receiver,
    ReplacedReceiver,
    BallMount,
    Ball,
    Coupler,
    Trailer,
    TrailerMass,
    TongueLoad,
    TongueShare,
    MassAddedBefore,
    MassRemoved,
    SaleState,
    Jurisdiction,
    ChainRule,
    SpringBars,
    BrakeController,
    Socket,
    Converter,
    ExtensionTrailer,
    ExtensionTongue,
    ExtensionLength,
    LimitApproach,
    LimitDeparture,
    LimitDepartureLaden,
    LimitRamp,
    LimitHitchHeight,
    LimitTongueShareMin,
    LimitTongueShareMax,
    LimitLevelTolerance,
    LimitTerrainMargin,
    LimitTailSwing,
    LimitArticulation,
    OwnGvwr,
    OwnGcwr,
    OwnFrontGawr,
    OwnRearGawr,
    OwnFrontKerb,
    OwnRearKerb,
    OwnTrailerGvwr,
    OwnCouplerHeight,
    AnswerMakerPoints,
    AnswerNearFuel,
    AnswerGuardRemoved,
    AnswerLampHidden,
    AnswerRust,
    AnswerRecall,
    AnswerCaptiveNut,
    AnswerChains,
    AnswerRaisesGvwr,
    AnswerMassLabel,
    AnswerAltererLabel,
    AnswerBeyond,
    AnswerPressure,
    Terrain,
    OffRoadClass,
    AnswerEarths,
    AnswerLampMoved,
    AnswerLampTested,
    PinTrailer,
    PinTongue,
    Restoration,
    StatedTrain,
    LabelSeenOn,
    OwnFrontTyres,
    OwnRearTyres,
    AnswerWired,
    Circuit(usize),
    Routing(usize),
    ItemMass(usize),
    ItemStation(usize),
    ItemPermanent(usize),
    JointBolt(usize),
    JointNut(usize),
    JointWasher(usize),
    JointCondition(usize),
    JointTorque(usize),
    JointReused(usize),
    JointGrip(usize),
    JointWashers(usize),
    JointHole(usize),
    JointMaterial(usize),
    JointEngagement(usize),
    JointEdge(usize),
    JointCoated(usize),
    JointWrench(usize),
    JointInspected(usize),
    JointNutReused(usize),
    JointPlate(usize),
    WorkDay,
    Policy,
    Note,
}

const SALE: &[(&str, i32)] = &[("before-first-sale", 1), ("in-use", 2)];
const CHAINS: &[(&str, i32)] = &[("each", 1), ("combined", 2)];
const OFF_ROAD: &[(&str, i32)] = &[("european-g", 1), ("us-light-truck", 2)];
const SOCKETS: &[(&str, i32)] =
    &[("four-flat", 1), ("seven-way-light", 2), ("seven-way-heavy", 3), ("iso-1724", 4), ("iso-11446", 5)];

/// Every column with a fixed heading: heading, place, kind, meaning.
pub const COLUMNS: &[(&str, Field, Kind, &str)] = &[
    ("unit", Field::Unit, Kind::Text, "the shop's own unit number"),
    ("vin", Field::Vin, Kind::Text, "the vehicle identification number"),
    ("model_year", Field::ModelYear, Kind::Year, "the model year on the order"),
    ("vehicle", Field::Vehicle, Kind::Name("vehicles"), "the vehicle's entry"),
    ("receiver", Field::Receiver, Kind::Name("receivers"), "the receiver to be fitted"),
    ("replaced_receiver", Field::ReplacedReceiver, Kind::Name("receivers"), "the receiver that comes off"),
    ("ball_mount", Field::BallMount, Kind::Name("ballmounts"), "the ball mount"),
    ("ball", Field::Ball, Kind::Name("balls"), "the ball"),
    ("coupler", Field::Coupler, Kind::Name("couplers"), "the coupler, when it is not the trailer's own"),
    ("trailer", Field::Trailer, Kind::Name("trailers"), "the trailer"),
    ("policy", Field::Policy, Kind::Name("policies"), "the shop's policy, when it is not the one of the whole check"),
    ("trailer_mass", Field::TrailerMass, Kind::Mass, "the trailer as it will be loaded"),
    ("tongue_load", Field::TongueLoad, Kind::Mass, "the tongue load as weighed"),
    ("tongue_share", Field::TongueShare, Kind::Share, "the tongue load as a share of the trailer's mass"),
    ("mass_added_before", Field::MassAddedBefore, Kind::Mass, "mass that other shops added since certification"),
    ("mass_removed", Field::MassRemoved, Kind::Mass, "mass of parts taken off for good"),
    ("sale_state", Field::SaleState, Kind::Choice(SALE), "where the vehicle stands in its life"),
    ("jurisdiction", Field::Jurisdiction, Kind::Text, "whose law applies, such as US-TX or EU"),
    ("chain_rule", Field::ChainRule, Kind::Choice(CHAINS), "how chains are counted there"),
    ("spring_bars", Field::SpringBars, Kind::YesNo, "spring bars are planned"),
    ("brake_controller", Field::BrakeController, Kind::YesNo, "a brake controller is fitted"),
    ("socket", Field::Socket, Kind::Choice(SOCKETS), "the socket on the vehicle"),
    ("converter", Field::Converter, Kind::YesNo, "a stop/turn converter is planned"),
    ("extension_trailer", Field::ExtensionTrailer, Kind::Mass, "trailer rating of an extension or adapter"),
    ("extension_tongue", Field::ExtensionTongue, Kind::Mass, "tongue rating of an extension or adapter"),
    ("extension_length", Field::ExtensionLength, Kind::Length, "how much further back an extension puts the ball"),
    ("limit.approach", Field::LimitApproach, Kind::Angle, "least approach angle"),
    ("limit.departure", Field::LimitDeparture, Kind::Angle, "least departure angle, unladen"),
    ("limit.departure_laden", Field::LimitDepartureLaden, Kind::Angle, "least departure angle, laden"),
    ("limit.ramp", Field::LimitRamp, Kind::Angle, "least ramp angle, laden"),
    ("limit.hitch_height", Field::LimitHitchHeight, Kind::Length, "least height of the gear, laden"),
    ("limit.tongue_share_min", Field::LimitTongueShareMin, Kind::Share, "least tongue share"),
    ("limit.tongue_share_max", Field::LimitTongueShareMax, Kind::Share, "greatest tongue share"),
    ("limit.level_tolerance", Field::LimitLevelTolerance, Kind::Length, "how far the ball may sit off level"),
    ("limit.terrain_margin", Field::LimitTerrainMargin, Kind::Length, "how far everything must stay off the terrain"),
    ("limit.tail_swing", Field::LimitTailSwing, Kind::Length, "how far the tail may swing out at full lock"),
    ("limit.articulation", Field::LimitArticulation, Kind::Angle, "up to which angle the trailer must not touch"),
    ("own.gvwr", Field::OwnGvwr, Kind::Mass, "this unit's gross vehicle rating, from its label"),
    ("own.gcwr", Field::OwnGcwr, Kind::Mass, "this unit's gross combination rating"),
    ("own.front_gawr", Field::OwnFrontGawr, Kind::Mass, "this unit's front axle rating"),
    ("own.rear_gawr", Field::OwnRearGawr, Kind::Mass, "this unit's rear axle rating"),
    ("own.front_kerb", Field::OwnFrontKerb, Kind::Mass, "this unit's weighed front axle at kerb state"),
    ("own.rear_kerb", Field::OwnRearKerb, Kind::Mass, "this unit's weighed rear axle at kerb state"),
    ("own.trailer_gvwr", Field::OwnTrailerGvwr, Kind::Mass, "the gross rating on this trailer's label"),
    ("own.coupler_height", Field::OwnCouplerHeight, Kind::Length, "this trailer's coupler height, level"),
    ("answer.maker_points_used", Field::AnswerMakerPoints, Kind::YesNo, "the maker's mounting points are used"),
    ("answer.near_fuel", Field::AnswerNearFuel, Kind::YesNo, "drilling, heat or routing near tank or battery"),
    ("answer.guard_removed", Field::AnswerGuardRemoved, Kind::YesNo, "a guard, shield or tow eye comes off"),
    ("answer.lamp_hidden", Field::AnswerLampHidden, Kind::YesNo, "a lamp, plate, sensor or camera is hidden"),
    ("answer.rust_at_mounts", Field::AnswerRust, Kind::YesNo, "structural rust was found at the mounts"),
    ("answer.recall_open", Field::AnswerRecall, Kind::YesNo, "a recall that bears on towing is open"),
    ("answer.captive_nut_loose", Field::AnswerCaptiveNut, Kind::YesNo, "a captive nut broke loose"),
    ("answer.chains_on_ball_mount", Field::AnswerChains, Kind::YesNo, "chains hang on the ball mount or bumper"),
    ("answer.raises_gvwr", Field::AnswerRaisesGvwr, Kind::YesNo, "the order asks to raise the GVWR"),
    ("answer.mass_label_planned", Field::AnswerMassLabel, Kind::YesNo, "the added-mass label is planned"),
    ("answer.alterer_label_planned", Field::AnswerAltererLabel, Kind::YesNo, "the alterer's label is planned"),
    ("answer.beyond_readily_attachable", Field::AnswerBeyond, Kind::YesNo, "work goes beyond readily attachable parts"),
    ("answer.pressure_at_placard", Field::AnswerPressure, Kind::YesNo, "tyres were at placard pressure when measured"),
    ("terrain", Field::Terrain, Kind::Name("terrains"), "the ground it must get over, such as its depot's ramp"),
    ("work_day", Field::WorkDay, Kind::Text, "the day the work is done, as 2026-11-26"),
    ("off_road_class", Field::OffRoadClass, Kind::Choice(OFF_ROAD), "the off-road class it must keep"),
    (
        "answer.earths_joined",
        Field::AnswerEarths,
        Kind::YesNo,
        "earths of a thirteen-pin plug are joined on the trailer",
    ),
    (
        "answer.plate_lamp_moved",
        Field::AnswerLampMoved,
        Kind::YesNo,
        "the plate lamp is moved with the bumper or its bracket",
    ),
    ("answer.plate_lamp_tested", Field::AnswerLampTested, Kind::YesNo, "the moved plate lamp was wired and tested"),
    ("pin_trailer", Field::PinTrailer, Kind::Mass, "trailer rating stamped on pin and clip"),
    ("pin_tongue", Field::PinTongue, Kind::Mass, "tongue rating stamped on pin and clip"),
    ("restoration", Field::Restoration, Kind::Share, "what spring bars give back of the front axle's loss"),
    ("stated_train", Field::StatedTrain, Kind::Mass, "the mass of the whole train as the order states it"),
    ("label_seen_on", Field::LabelSeenOn, Kind::Text, "the day this unit's labels were read, YYYY-MM-DD"),
    ("own.front_tyres", Field::OwnFrontTyres, Kind::Text, "the designation on this unit's front tyres"),
    ("own.rear_tyres", Field::OwnRearTyres, Kind::Text, "the designation on this unit's rear tyres"),
    ("answer.wired_elsewhere", Field::AnswerWired, Kind::YesNo, "the trailer's wiring is there, or another job's"),
    ("circuit_1", Field::Circuit(0), Kind::Name("circuits"), "a circuit of the job"),
    ("circuit_2", Field::Circuit(1), Kind::Name("circuits"), "a second circuit"),
    ("circuit_3", Field::Circuit(2), Kind::Name("circuits"), "a third circuit"),
    ("circuit_4", Field::Circuit(3), Kind::Name("circuits"), "a fourth circuit"),
];

/// A column as the header names it.
#[derive(Debug)]
pub struct Column {
    /// The heading as written.
    pub heading: String,
    /// Where its values go.
    pub field: Field,
    /// What they are.
    pub kind: Kind,
    /// The unit in the heading: `kg`. Cells may then be bare numbers.
    pub unit: Option<String>,
}

/// The header of a sheet.
#[derive(Debug, Default)]
pub struct Header {
    /// Its columns, in the sheet's order; `None` is a column left out.
    pub columns: Vec<Option<Column>>,
    /// The items that the sheet has columns for, by label.
    pub items: Vec<String>,
    /// The joints that the sheet has columns for, by id.
    pub joints: Vec<String>,
    /// The questions of the routing checklist that the sheet has columns for, by name.
    pub routing: Vec<String>,
}

impl Header {
    /// Reads the headings of a sheet.
    ///
    /// # Errors
    ///
    /// Every heading that is not known, doubled, or carries a unit that its column cannot have.
    pub fn read(headings: &[String], skip: &[String]) -> Result<Self, Vec<BadHeader>> {
        let mut header = Self::default();
        let mut bad = Vec::new();
        let mut seen: Vec<Field> = Vec::new();
        for heading in headings {
            let trimmed = heading.trim();
            let skipped = skip.iter().any(|skip| skip.trim().eq_ignore_ascii_case(trimmed));
            if skipped || trimmed.is_empty() {
                header.columns.push(None);
                continue;
            }
            match header.column(trimmed) {
                Ok(column) if column.field == Field::Note => header.columns.push(None),
                Ok(column) if seen.contains(&column.field) => {
                    bad.push(BadHeader { heading: trimmed.to_owned(), why: "stands there twice; keep one".to_owned() });
                }
                Ok(column) => {
                    seen.push(column.field);
                    header.columns.push(Some(column));
                }
                Err(why) => bad.push(BadHeader { heading: trimmed.to_owned(), why }),
            }
        }
        if !seen.contains(&Field::Vehicle) && bad.is_empty() {
            let why = "is missing; it names the vehicle's entry, such as `van-l35`".to_owned();
            bad.push(BadHeader { heading: "vehicle".to_owned(), why });
        }
        if bad.is_empty() { Ok(header) } else { Err(bad) }
    }

    fn column(&mut self, heading: &str) -> Result<Column, String> {
        let (name, unit) = split_unit(heading);
        let (field, kind) = self.place(&name)?;
        if let Some(unit) = &unit {
            super::cells::unit_factor(kind, unit).map_err(|why| format!("its unit {unit:?} {why}"))?;
        }
        Ok(Column { heading: heading.to_owned(), field, kind, unit })
    }

    fn place(&mut self, name: &str) -> Result<(Field, Kind), String> {
        if name == "note" || name.starts_with("note.") {
            return Ok((Field::Note, Kind::Text));
        }
        if let Some((_, field, kind, _)) = COLUMNS.iter().find(|(known, ..)| *known == name) {
            return Ok((*field, *kind));
        }
        if let Some(found) = repeated(name, "item.", ITEM_PARTS, &mut self.items)? {
            return Ok(found);
        }
        if let Some(found) = repeated(name, "joint.", JOINT_PARTS, &mut self.joints)? {
            return Ok(found);
        }
        if let Some(question) = name.strip_prefix("routing.").filter(|question| !question.is_empty()) {
            self.routing.push(question.replace('_', "-"));
            return Ok((Field::Routing(self.routing.len() - 1), Kind::YesNo));
        }
        Err(unknown(name))
    }
}

fn repeated(
    name: &str,
    prefix: &str,
    parts: &[Part],
    known: &mut Vec<String>,
) -> Result<Option<(Field, Kind)>, String> {
    let Some(rest) = name.strip_prefix(prefix) else { return Ok(None) };
    let list = || parts.iter().map(|(part, ..)| format!("{prefix}NAME.{part}")).collect::<Vec<_>>().join(", ");
    let Some((label, part)) = rest.rsplit_once('.') else { return Err(format!("is not complete; write {}", list())) };
    let Some((_, field, kind, _)) = parts.iter().find(|(known, ..)| *known == part) else {
        return Err(format!("has no part {part:?}; write {}", list()));
    };
    let at = known.iter().position(|known| known == label).unwrap_or_else(|| {
        known.push(label.to_owned());
        known.len() - 1
    });
    Ok(Some((field(at), *kind)))
}

fn unknown(name: &str) -> String {
    let mut nearest: Vec<(usize, &str)> =
        COLUMNS.iter().map(|(known, ..)| (strsim::damerau_levenshtein(name, known), *known)).collect();
    nearest.sort_unstable();
    let mut why = "is not a column of a fleet sheet".to_owned();
    if let Some((distance, known)) = nearest.first()
        && *distance <= 4.max(name.len() / 3)
    {
        let _ = write!(why, "; the nearest is `{known}`");
    }
    why.push_str("; leave it out with `--skip-column`, or see `baybook check --columns`");
    why
}

/// Splits `trailer mass (kg)`, `trailer_mass [kg]` and `trailer_mass_kg` into the column's name and its unit.
fn split_unit(heading: &str) -> (String, Option<String>) {
    let (name, unit) = match heading.find(['(', '[']) {
        Some(at) => {
            let unit = heading[at + 1..].trim_end_matches([')', ']', ' ']).trim();
            (heading[..at].trim(), (!unit.is_empty()).then(|| unit.to_owned()))
        }
        None => (heading, None),
    };
    let name = name.trim().to_lowercase().replace([' ', '-'], "_");
    if unit.is_some() || COLUMNS.iter().any(|(known, ..)| *known == name) {
        return (name, unit);
    }
    for (suffix, unit) in [
        ("_kg", "kg"),
        ("_lb", "lb"),
        ("_mm", "mm"),
        ("_in", "in"),
        ("_deg", "deg"),
        ("_n_m", "N·m"),
        ("_lb_ft", "lb-ft"),
    ] {
        if let Some(stem) = name.strip_suffix(suffix) {
            return (stem.to_owned(), Some(unit.to_owned()));
        }
    }
    (name, None)
}
