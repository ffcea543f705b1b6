//! The columns of a fleet sheet.

mod fixed;
mod list;
mod parts;
mod paths;

use std::fmt::Write as _;

pub use list::column_list;
pub use paths::Told;

use fixed::COLUMNS;
use parts::{FITTED_PARTS, FOLLOW_UP_PARTS, ITEM_PARTS, JOINT_PARTS, Part, READING_PARTS};

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
    /// A distance driven, with its unit.
    Distance,
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
    BedCoupling,
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
    LimitCabGap,
    LimitRailGap,
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
    Work(Work),
    WorkDay,
    Policy,
    Note,
}

/// Where in the record of the work a column's value goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    Today,
    Released,
    Person,
    Wrench,
    OdometerHandover,
    OdometerNow,
    ReadingTorque(usize),
    ReadingTime(usize),
    ReadingPerson(usize),
    ReadingWrench(usize),
    ReadingRecheck(usize),
    FittedBolt(usize),
    FittedLot(usize),
    FollowUpDue(usize),
    FollowUpDone(usize),
}

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
    /// The readings that the sheet has columns for: the joint, or the joint and which of its bolts, `frame.2`.
    pub readings: Vec<String>,
    /// The joints of which the sheet says what went in.
    pub fitted: Vec<String>,
    /// What the sheet says is still to be done, by label.
    pub follow_ups: Vec<String>,
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
        let work: [(&str, &[Part], &mut Vec<String>); 3] = [
            ("reading.", READING_PARTS, &mut self.readings),
            ("fitted.", FITTED_PARTS, &mut self.fitted),
            ("follow_up.", FOLLOW_UP_PARTS, &mut self.follow_ups),
        ];
        for (prefix, parts, known) in work {
            if let Some(found) = repeated(name, prefix, parts, known)? {
                return Ok(found);
            }
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
    let at = known.iter().position(|known| plain(known) == plain(label)).unwrap_or_else(|| {
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

/// Returns a heading in the one way that all ways to write it have in common.
fn plain(heading: &str) -> String {
    heading.to_lowercase().replace([' ', '-'], "_")
}

/// Returns the name of a column; what the shop calls its item, joint or follow-up stays as it was written.
fn name_of(heading: &str) -> String {
    let (first, last) = (heading.find('.'), heading.rfind('.'));
    match first.zip(last).filter(|(first, last)| first < last) {
        Some((first, last)) => {
            format!("{}{}{}", plain(&heading[..first]), &heading[first..last], plain(&heading[last..]))
        }
        None => plain(heading),
    }
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
    let name = name_of(name.trim());
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
