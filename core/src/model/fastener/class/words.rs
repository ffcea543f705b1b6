//! Classes and grades as they are stamped and spoken, both directions.

use std::fmt;

use super::ClassSystem;
use crate::error::CalcError;
use crate::model::fastener::{BoltClass, IsoClass, NutClass, SaeGrade, StainlessClass};
use crate::units::text::{number, unreadable};

const BOLT_EXAMPLE: &str = "8.8, SAE 5 or A2-70";
const NUT_EXAMPLE: &str = "8, SAE 5 or A2-70";

impl BoltClass {
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
}

impl NutClass {
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
