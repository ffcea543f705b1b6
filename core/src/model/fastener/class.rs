//! Property classes and grades as they are stamped and spoken.

use std::fmt;

use super::{BoltClass, IsoClass, NutClass, SaeGrade, StainlessClass};
use crate::error::CalcError;
use crate::units::text::{number, unreadable};

/// Which family of standards a class belongs to; classes of different families have no common measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClassSystem {
    /// ISO 898, steel, metric threads.
    Iso,
    /// SAE J429 and J995, steel, inch threads.
    Sae,
    /// ISO 3506, austenitic stainless steel, metric threads.
    Stainless,
}

const BOLT_EXAMPLE: &str = "8.8, SAE 5 or A2-70";
const NUT_EXAMPLE: &str = "8, SAE 5 or A2-70";

impl IsoClass {
    /// Every class, weakest first.
    pub const ALL: [Self; 9] =
        [Self::C4_6, Self::C4_8, Self::C5_6, Self::C5_8, Self::C6_8, Self::C8_8, Self::C9_8, Self::C10_9, Self::C12_9];

    /// Returns the mark on the head.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::C4_6 => "4.6",
            Self::C4_8 => "4.8",
            Self::C5_6 => "5.6",
            Self::C5_8 => "5.8",
            Self::C6_8 => "6.8",
            Self::C8_8 => "8.8",
            Self::C9_8 => "9.8",
            Self::C10_9 => "10.9",
            Self::C12_9 => "12.9",
        }
    }
}

impl SaeGrade {
    /// Every grade, by number.
    pub const ALL: [Self; 7] = [Self::G1, Self::G2, Self::G4, Self::G5, Self::G5_2, Self::G8, Self::G8_2];

    /// Returns the grade without its system: `5.2`.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::G1 => "1",
            Self::G2 => "2",
            Self::G4 => "4",
            Self::G5 => "5",
            Self::G5_2 => "5.2",
            Self::G8 => "8",
            Self::G8_2 => "8.2",
        }
    }

    /// Returns the grade's number, which a nut's must reach; 5.2 counts as 5.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::G1 => 1,
            Self::G2 => 2,
            Self::G4 => 4,
            Self::G5 | Self::G5_2 => 5,
            Self::G8 | Self::G8_2 => 8,
        }
    }
}

impl StainlessClass {
    /// Every class, weakest first.
    pub const ALL: [Self; 3] = [Self::C50, Self::C70, Self::C80];

    /// Returns a tenth of the least tensile strength in megapascals.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::C50 => 50,
            Self::C70 => 70,
            Self::C80 => 80,
        }
    }
}

impl BoltClass {
    /// Returns every class and grade.
    pub fn all() -> impl Iterator<Item = Self> {
        let iso = IsoClass::ALL.into_iter().map(Self::Iso);
        let sae = SaeGrade::ALL.into_iter().map(Self::Sae);
        iso.chain(sae).chain(StainlessClass::ALL.into_iter().map(Self::Stainless))
    }

    /// Returns the family the class belongs to.
    #[must_use]
    pub const fn system(self) -> ClassSystem {
        match self {
            Self::Iso(_) => ClassSystem::Iso,
            Self::Sae(_) => ClassSystem::Sae,
            Self::Stainless(_) => ClassSystem::Stainless,
        }
    }

    /// Reads a class as stamped or spoken: `8.8`, `class 10.9`, `SAE 5`, `Grade 8`, `Gr. 5.2`, `A2-70`.
    ///
    /// # Errors
    ///
    /// [`CalcError::NoSuchRow`] with the classes that exist; [`CalcError::Unreadable`] for a decimal comma, for an empty
    /// text and for a leading 0, which marks a head or shank that cannot carry the class's full load.
    pub fn read(text: &str) -> Result<Self, CalcError> {
        let bad = |why: &str| unreadable("class", text, "a bolt class", why, BOLT_EXAMPLE);
        let tidied = number::tidy(text).map_err(|why| bad(&why))?;
        let (system, mark) = split(&tidied);
        if mark.contains(',') {
            return Err(bad(&format!("write a point, not a comma: {}", mark.replace(',', "."))));
        }
        if mark.starts_with('0') && system != Some(ClassSystem::Sae) {
            return Err(bad("a leading 0 marks reduced loadability, so no figure of the full class may be used"));
        }
        let found = Self::all().find(|class| {
            let asked = match system {
                Some(system) => system == class.system(),
                // Bare numbers are ISO's; a bare `8` or `5.2` could be anything and is refused.
                None => class.system() == ClassSystem::Iso,
            };
            asked && class.mark() == mark
        });
        found.ok_or_else(|| no_row(text, "bolt classes", Self::all()))
    }

    /// Returns the grade that a number of radial lines on an inch head stands for: 3 for grade 5, 6 for grade 8.
    ///
    /// Source: SAE J429 line marks, opened in reproductions.
    /// No lines mean grade 1, 2 or no grade at all, so nothing is returned for them.
    #[must_use]
    pub const fn from_radial_lines(lines: u32) -> Option<Self> {
        match lines {
            3 => Some(Self::Sae(SaeGrade::G5)),
            6 => Some(Self::Sae(SaeGrade::G8)),
            _ => None,
        }
    }

    fn mark(self) -> &'static str {
        match self {
            Self::Iso(class) => class.mark(),
            Self::Sae(grade) => grade.mark(),
            Self::Stainless(StainlessClass::C50) => "50",
            Self::Stainless(StainlessClass::C70) => "70",
            Self::Stainless(StainlessClass::C80) => "80",
        }
    }
}

impl NutClass {
    /// Every class and grade.
    pub const ALL: [Self; 15] = [
        Self::Iso04,
        Self::Iso05,
        Self::Iso4,
        Self::Iso5,
        Self::Iso6,
        Self::Iso8,
        Self::Iso9,
        Self::Iso10,
        Self::Iso12,
        Self::Sae2,
        Self::Sae5,
        Self::Sae8,
        Self::Stainless50,
        Self::Stainless70,
        Self::Stainless80,
    ];

    /// Returns the family the class belongs to.
    #[must_use]
    pub const fn system(self) -> ClassSystem {
        match self {
            Self::Sae2 | Self::Sae5 | Self::Sae8 => ClassSystem::Sae,
            Self::Stainless50 | Self::Stainless70 | Self::Stainless80 => ClassSystem::Stainless,
            _ => ClassSystem::Iso,
        }
    }

    /// Returns the class without its system: `05`, `10`.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::Iso04 => "04",
            Self::Iso05 => "05",
            Self::Iso4 => "4",
            Self::Iso5 | Self::Sae5 => "5",
            Self::Iso6 => "6",
            Self::Iso8 | Self::Sae8 => "8",
            Self::Iso9 => "9",
            Self::Iso10 => "10",
            Self::Iso12 => "12",
            Self::Sae2 => "2",
            Self::Stainless50 => "50",
            Self::Stainless70 => "70",
            Self::Stainless80 => "80",
        }
    }

    /// Returns the class's number; a thin nut's counts as nothing.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::Iso04 | Self::Iso05 => 0,
            Self::Sae2 => 2,
            Self::Iso4 => 4,
            Self::Iso5 | Self::Sae5 => 5,
            Self::Iso6 => 6,
            Self::Iso8 | Self::Sae8 => 8,
            Self::Iso9 => 9,
            Self::Iso10 => 10,
            Self::Iso12 => 12,
            Self::Stainless50 => 50,
            Self::Stainless70 => 70,
            Self::Stainless80 => 80,
        }
    }

    /// Returns whether the class is of a thin nut, which never develops the bolt.
    #[must_use]
    pub const fn is_thin(self) -> bool {
        matches!(self, Self::Iso04 | Self::Iso05)
    }

    /// Reads a class as stamped or spoken: `8`, `class 10`, `04`, `SAE 5`, `Grade 8`, `A2-70`.
    ///
    /// # Errors
    ///
    /// [`CalcError::NoSuchRow`] with the classes that exist; [`CalcError::Unreadable`] for an empty text.
    pub fn read(text: &str) -> Result<Self, CalcError> {
        let tidied = number::tidy(text).map_err(|why| unreadable("class", text, "a nut class", why, NUT_EXAMPLE))?;
        let (system, mark) = split(&tidied);
        let found =
            Self::ALL.into_iter().find(|c| c.system() == system.unwrap_or(ClassSystem::Iso) && c.mark() == mark);
        found.ok_or_else(|| no_row(text, "nut classes", Self::ALL.into_iter()))
    }
}

/// Splits tidied text into the family its words name, if they name one, and the mark.
fn split(tidied: &str) -> (Option<ClassSystem>, String) {
    let upper = tidied.to_ascii_uppercase();
    let grade = upper.trim_start_matches("STAINLESS").trim_start();
    if let Some(mark) = grade.strip_prefix("A2-").or_else(|| grade.strip_prefix("A4-")) {
        return (Some(ClassSystem::Stainless), mark.to_owned());
    }
    let mut rest = upper.as_str();
    let mut system = None;
    loop {
        rest = rest.trim_start_matches([' ', '.', '-', ':']);
        let words: [(&str, Option<ClassSystem>); 12] = [
            ("STAINLESS", Some(ClassSystem::Stainless)),
            ("SAE", Some(ClassSystem::Sae)),
            ("J429", Some(ClassSystem::Sae)),
            ("J995", Some(ClassSystem::Sae)),
            ("GRADE", Some(ClassSystem::Sae)),
            ("GR", Some(ClassSystem::Sae)),
            ("ISO", Some(ClassSystem::Iso)),
            ("898-1", Some(ClassSystem::Iso)),
            ("898-2", Some(ClassSystem::Iso)),
            ("PROPERTY", None),
            ("CLASS", None),
            ("CL", None),
        ];
        let Some((after, named)) = words.iter().find_map(|(word, named)| Some((rest.strip_prefix(word)?, named)))
        else {
            return (system, rest.to_owned());
        };
        // `SAE 5` and `class 8.8` name one family; `ISO grade 8.8` is ISO's for all that people say grade.
        system = system.or(*named);
        rest = after;
    }
}

fn no_row(text: &str, table: &'static str, rows: impl Iterator<Item = impl fmt::Display>) -> CalcError {
    let rows: Vec<_> = rows.map(|class| class.to_string()).collect();
    let key = text.trim().chars().take(number::LONGEST).collect();
    CalcError::NoSuchRow { field: "class", key, table, rows: rows.join(", ") }
}

impl fmt::Display for IsoClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.mark())
    }
}

impl fmt::Display for SaeGrade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SAE {}", self.mark())
    }
}

/// `stainless 70`: the class says nothing of the steel, so neither A2 nor A4 is put before it.
impl fmt::Display for StainlessClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "stainless {}", self.number())
    }
}

impl fmt::Display for BoltClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Iso(class) => class.fmt(f),
            Self::Sae(grade) => grade.fmt(f),
            Self::Stainless(class) => class.fmt(f),
        }
    }
}

impl fmt::Display for NutClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.system() {
            ClassSystem::Iso => f.write_str(self.mark()),
            ClassSystem::Sae => write!(f, "SAE {}", self.mark()),
            ClassSystem::Stainless => write!(f, "stainless {}", self.mark()),
        }
    }
}

#[cfg(test)]
mod tests;
