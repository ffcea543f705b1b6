//! From the mark on a head or a nut to its class, and back.
//!
//! An unknown mark is refused. No mark means the lowest class there is, never a likely one.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::{
        fastener::{BoltClass, ClassSystem, IsoClass, NutClass, SaeGrade},
        thread::ThreadSystem,
    },
};

/// Where marks of metric bolts are printed.
pub const ISO_SOURCE: Source = Source::new("ISO 898-1, marking", "2013", Seen::Opened);
/// Where the leading nought is printed.
pub const REDUCED_SOURCE: Source = Source::new("ISO 898-1, reduced loadability, by a fastener maker", "", Seen::Opened);
/// Where the underlined class of older editions is printed.
pub const UNDERLINED_SOURCE: Source = Source::new("ISO 898-1, older editions, marking", "", Seen::FromMemory);
/// Where marks of stainless bolts are printed.
pub const STAINLESS_SOURCE: Source = Source::new("ISO 3506-1, marking", "", Seen::Opened);
/// Where the radial lines are printed.
pub const LINES_SOURCE: Source = Source::new("SAE J429, line marks, in a trade magazine", "", Seen::Opened);
/// What an unmarked inch head is taken for.
pub const UNMARKED_INCH: Source = Source::new("SAE J429, unmarked heads, in a trade article", "", Seen::Opened);
/// What an unmarked metric head or a nut without mark is taken for.
pub const UNMARKED: Source = Source::new("unmarked means the lowest class", "", Seen::CommonPractice);
/// Where marks of metric nuts are printed.
pub const NUT_SOURCE: Source = Source::new("ISO 898-2, marking", "", Seen::FromMemory);
/// Where marks of inch nuts are printed.
pub const INCH_NUT_SOURCE: Source = Source::new("SAE J995, marking", "", Seen::FromMemory);

/// What is on a head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeadMark<'t> {
    /// Letters and figures: `8.8`, `A2-70`.
    Text(&'t str),
    /// Letters and figures, underlined: low-carbon martensitic steel by older editions.
    Underlined(&'t str),
    /// Radial lines, evenly spread.
    Lines(u32),
    /// Radial lines in a cluster or in pairs.
    ClusteredLines(u32),
    /// Nothing but, at most, a maker's mark.
    Nothing,
}

/// A stainless steel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Steel {
    /// A2.
    A2,
    /// A4.
    A4,
}

/// Something to know about a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkNote {
    /// Its class was assumed, because it bears no mark.
    Assumed,
    /// Head or shank does not carry the class's full load: never count on it.
    ReducedLoad,
    /// A comma was read as a point.
    CommaRead,
    /// Low-carbon martensitic steel, by an older edition.
    LowCarbon,
    /// A thin nut: it never develops the bolt.
    ThinNut,
}

/// What a head's mark means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadReading {
    /// The class.
    pub class: BoltClass,
    /// The stainless steel, where the mark names it.
    pub steel: Option<Steel>,
    /// What is to be known about it.
    pub note: Option<MarkNote>,
    /// Whether a comma was read as a point.
    pub comma_read: bool,
    /// Where the mark is printed.
    pub source: Source,
}

impl HeadReading {
    /// Returns whether the full strength of the class may be used.
    #[must_use]
    pub const fn full_strength(&self) -> bool {
        !matches!(self.note, Some(MarkNote::ReducedLoad))
    }

    /// Returns what it rests on.
    #[must_use]
    pub fn basis(&self) -> Basis {
        Basis::new("head-mark", "class by the mark on the head", self.source, &[])
    }
}

fn refused(mark: String, table: &'static str, rows: &str) -> CalcError {
    CalcError::NoSuchRow { field: "mark", key: mark.chars().take(40).collect(), table, rows: rows.to_owned() }
}

const METRIC_MARKS: &str = "4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9, 12.9, each also with a 0 before it; \
     A2- or A4- with 50, 70, 80";
const INCH_MARKS: &str = "3 lines evenly spread (grade 5), 6 lines evenly spread (grade 8)";

/// Returns what a mark on a head means.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a mark that does not exist, or whose table nobody saw: clustered lines, ASTM letters;
/// [`CalcError::Conflict`] for a metric mark on an inch thread or the reverse; [`CalcError::Unreadable`] for an empty text.
///
/// # Source
///
/// [`ISO_SOURCE`], [`STAINLESS_SOURCE`], [`LINES_SOURCE`]; no mark: [`UNMARKED_INCH`] and [`UNMARKED`].
pub fn read_head(mark: HeadMark<'_>, system: ThreadSystem) -> Result<HeadReading, CalcError> {
    let plain = |class, source| HeadReading { class, steel: None, note: None, comma_read: false, source };
    let lines = |count: u32, how: &str| refused(format!("{count} lines{how}"), "SAE J429, line marks", INCH_MARKS);
    let only = |wanted: ThreadSystem, why: &'static str| {
        if system == wanted { Ok(()) } else { Err(CalcError::Conflict { field: "mark", other: "thread", why }) }
    };
    match mark {
        HeadMark::Nothing => Ok(HeadReading {
            note: Some(MarkNote::Assumed),
            ..match system {
                ThreadSystem::Metric => plain(BoltClass::Iso(IsoClass::C4_6), UNMARKED),
                ThreadSystem::Unified => plain(BoltClass::Sae(SaeGrade::G1), UNMARKED_INCH),
            }
        }),
        HeadMark::Lines(count) => {
            only(ThreadSystem::Unified, "radial lines mark inch bolts")?;
            let class = BoltClass::from_radial_lines(count).ok_or_else(|| lines(count, ""))?;
            Ok(plain(class, LINES_SOURCE))
        }
        HeadMark::ClusteredLines(count) => Err(lines(count, " in a cluster")),
        HeadMark::Underlined(text) => {
            let read = read_text(text)?;
            only(ThreadSystem::Metric, "an underlined class marks metric bolts")?;
            if read.class.system() != ClassSystem::Iso || read.note.is_some() {
                return Err(refused(format!("{text}, underlined"), "ISO 898-1, older editions", METRIC_MARKS));
            }
            Ok(HeadReading { note: Some(MarkNote::LowCarbon), source: UNDERLINED_SOURCE, ..read })
        }
        HeadMark::Text(text) => {
            let read = read_text(text)?;
            only(ThreadSystem::Metric, "this mark is of metric bolts")?;
            Ok(read)
        }
    }
}

fn read_text(text: &str) -> Result<HeadReading, CalcError> {
    let bare = text.trim();
    if bare.is_empty() {
        return Err(CalcError::Unreadable {
            field: "mark",
            text: text.chars().take(40).collect(),
            wanted: "a head mark",
            why: "it is empty; say that there is no mark when there is none".to_owned(),
            example: "8.8",
        });
    }
    let upper = bare.to_ascii_uppercase();
    for (prefix, steel) in [("A2-", Steel::A2), ("A4-", Steel::A4)] {
        if let Some(class) = upper.strip_prefix(prefix) {
            let found = BoltClass::all().find(|row| row.system() == ClassSystem::Stainless && row.mark() == class);
            let class = found.ok_or_else(|| refused(upper.clone(), "ISO 3506-1", METRIC_MARKS))?;
            return Ok(HeadReading {
                class,
                steel: Some(steel),
                note: None,
                comma_read: false,
                source: STAINLESS_SOURCE,
            });
        }
    }
    // One comma between two figures is how half of the world writes the point.
    let point = upper.replacen(',', ".", 1);
    let comma_read = point != upper;
    let (reduced, mark) = match point.strip_prefix('0') {
        Some(rest) => (true, rest),
        None => (false, point.as_str()),
    };
    let class = IsoClass::ALL.into_iter().find(|class| class.mark() == mark);
    let class = class.ok_or_else(|| refused(bare.to_owned(), "ISO 898-1, marks", METRIC_MARKS))?;
    let note = if reduced { Some(MarkNote::ReducedLoad) } else { comma_read.then_some(MarkNote::CommaRead) };
    let source = if reduced { REDUCED_SOURCE } else { ISO_SOURCE };
    Ok(HeadReading { class: BoltClass::Iso(class), steel: None, note, comma_read, source })
}

/// What a bolt of a class must bear on its head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Expected {
    /// This text.
    Text(String),
    /// So many lines, evenly spread.
    Lines(u32),
    /// Nothing.
    Nothing,
    /// The steel, a dash and this number: `A2-70` or `A4-70`.
    Stainless(&'static str),
    /// A mark of its own that nobody saw.
    NotSeen,
}

/// Returns what a bolt of a class bears on its head.
#[must_use]
pub fn mark_of(class: BoltClass) -> Expected {
    match class {
        BoltClass::Iso(class) => Expected::Text(class.mark().to_owned()),
        BoltClass::Stainless(_) => Expected::Stainless(class.mark()),
        BoltClass::Sae(SaeGrade::G1 | SaeGrade::G2) => Expected::Nothing,
        BoltClass::Sae(SaeGrade::G5) => Expected::Lines(3),
        BoltClass::Sae(SaeGrade::G8) => Expected::Lines(6),
        BoltClass::Sae(SaeGrade::G4 | SaeGrade::G5_2 | SaeGrade::G8_2) => Expected::NotSeen,
    }
}

impl Expected {
    /// Returns it in words for people.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Lines(count) => format!("{count} radial lines, evenly spread"),
            Self::Nothing => "no mark".to_owned(),
            Self::Stainless(class) => format!("A2-{class} or A4-{class}"),
            Self::NotSeen => "a mark of its own, whose table was not seen".to_owned(),
        }
    }
}

/// Returns what a nut of a class bears, in words for people.
///
/// # Source
///
/// [`NUT_SOURCE`], [`INCH_NUT_SOURCE`].
#[must_use]
pub fn nut_mark_of(class: NutClass) -> String {
    match class {
        NutClass::Sae2 => "no mark".to_owned(),
        NutClass::Sae5 => "two marks 120° apart".to_owned(),
        NutClass::Sae8 => "two marks 60° apart".to_owned(),
        _ if class.system() == ClassSystem::Stainless => Expected::Stainless(class.mark()).words(),
        _ => class.mark().to_owned(),
    }
}

/// What is on a nut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NutMark<'t> {
    /// Figures: `8`, `04`, `A2-70`.
    Text(&'t str),
    /// Two marks on the face of an inch nut, so many degrees apart.
    Apart(u32),
    /// Nothing but, at most, a maker's mark.
    Nothing,
}

/// What a nut's mark means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutReading {
    /// The class.
    pub class: NutClass,
    /// What is to be known about it.
    pub note: Option<MarkNote>,
    /// Where the mark is printed.
    pub source: Source,
}

/// Returns what a mark on a nut means.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a mark that does not exist; [`CalcError::Conflict`] for a metric mark on an inch thread or
/// the reverse; [`CalcError::Unreadable`] for an empty text.
///
/// # Source
///
/// [`NUT_SOURCE`], [`INCH_NUT_SOURCE`], [`UNMARKED`].
pub fn read_nut(mark: NutMark<'_>, system: ThreadSystem) -> Result<NutReading, CalcError> {
    let conflict = |why| CalcError::Conflict { field: "mark", other: "thread", why };
    match mark {
        NutMark::Nothing => Ok(NutReading {
            class: match system {
                ThreadSystem::Metric => NutClass::Iso4,
                ThreadSystem::Unified => NutClass::Sae2,
            },
            note: Some(MarkNote::Assumed),
            source: UNMARKED,
        }),
        NutMark::Apart(degrees) => {
            if system != ThreadSystem::Unified {
                return Err(conflict("marks a number of degrees apart are of inch nuts"));
            }
            let class = match degrees {
                120 => NutClass::Sae5,
                60 => NutClass::Sae8,
                _ => return Err(refused(format!("{degrees}° apart"), "SAE J995, marking", "120° (5), 60° (8)")),
            };
            Ok(NutReading { class, note: None, source: INCH_NUT_SOURCE })
        }
        NutMark::Text(text) => {
            let class = NutClass::read(text).map_err(|why| match why {
                CalcError::NoSuchRow { key, table, rows, .. } => {
                    CalcError::NoSuchRow { field: "mark", key, table, rows }
                }
                CalcError::Unreadable { text, wanted, why, example, .. } => {
                    CalcError::Unreadable { field: "mark", text, wanted, why, example }
                }
                other => other,
            })?;
            let metric = class.system() != ClassSystem::Sae;
            if metric != (system == ThreadSystem::Metric) {
                return Err(conflict("this mark belongs to the other system of threads"));
            }
            let note = class.is_thin().then_some(MarkNote::ThinNut);
            let source = if metric { NUT_SOURCE } else { INCH_NUT_SOURCE };
            Ok(NutReading { class, note, source })
        }
    }
}
