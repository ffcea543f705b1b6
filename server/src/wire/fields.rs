//! The reader's notebook: where it stands in the message, and what it found wrong.

use std::fmt::{self, Write as _};

use baybook_core::{error::CalcError, range::Range};

use super::{FromWire, load::Lack};

/// The most characters of a name for people.
pub const LABEL_MAX: usize = 200;
/// The most characters of a free note or a printed source.
pub const NOTE_MAX: usize = 2000;
/// The most elements of a repeated field.
pub const LIST_MAX: usize = 1000;

/// One step of a path.
#[derive(Debug, Clone, Copy)]
enum Step {
    Field(&'static str),
    Index(usize),
}

/// An input that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// The full path of the field: `plans[17].trailer.spec.gvwr.value_kg`.
    pub field: String,
    /// What is wrong with it, with the allowed range and its unit, and what to do next.
    pub description: String,
}

/// A name that is not in the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotFound {
    /// The full path of the field that names it.
    pub field: String,
    /// The name.
    pub name: String,
    /// The nearest names of the same kind.
    pub nearest: Vec<String>,
}

/// Why a message could not be read: everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WireError {
    /// The fields that are missing, unreadable or out of range, in the order of the message.
    pub violations: Vec<Violation>,
    /// The names that are not in the book, in the order of the message.
    pub not_found: Vec<NotFound>,
}

impl fmt::Display for WireError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut gap = "";
        for Violation { field, description } in &self.violations {
            write!(f, "{gap}{field} {description}")?;
            gap = "; ";
        }
        for NotFound { field, name, nearest } in &self.not_found {
            write!(f, "{gap}{field}: {name} is not in the book")?;
            if !nearest.is_empty() {
                write!(f, "; nearest: {}", nearest.join(", "))?;
            }
            gap = "; ";
        }
        Ok(())
    }
}

impl std::error::Error for WireError {}

impl WireError {
    /// Returns whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.violations.is_empty() && self.not_found.is_empty()
    }

    /// Returns the error of a single field.
    #[must_use]
    pub fn of(field: impl Into<String>, description: impl Into<String>) -> Self {
        let violation = Violation { field: field.into(), description: description.into() };
        Self { violations: vec![violation], not_found: Vec::new() }
    }
}

/// Collects everything that is wrong with a message while it is read.
#[derive(Debug, Default)]
pub struct Fields {
    path: Vec<Step>,
    error: WireError,
}

impl Fields {
    /// Returns the value when nothing was wrong, and is then as good as new.
    ///
    /// # Errors
    ///
    /// Everything that was noted since the last call.
    pub fn finish<T>(&mut self, value: Option<T>) -> Result<T, WireError> {
        match value {
            Some(value) if self.is_clean() => Ok(value),
            _ => Err(self.error()),
        }
    }

    /// Returns everything that was noted since the last call, or that something could not be read.
    pub fn error(&mut self) -> WireError {
        let error = std::mem::take(&mut self.error);
        if error.is_empty() { WireError::of(self.here(), "could not be read") } else { error }
    }

    /// Returns whether nothing was wrong so far.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.error.is_empty()
    }

    /// Reads something inside the field `name`.
    pub fn under<T>(&mut self, name: &'static str, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(Step::Field(name));
        let value = read(self);
        self.path.pop();
        value
    }

    /// Reads something inside element `index` of the repeated field `name`.
    pub fn at<T>(&mut self, name: &'static str, index: usize, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(Step::Field(name));
        self.path.push(Step::Index(index));
        let value = read(self);
        self.path.truncate(self.path.len().saturating_sub(2));
        value
    }

    /// Notes that the field `name`, inside of where the reader stands, is wrong.
    #[cold]
    pub fn reject(&mut self, name: &'static str, description: impl Into<String>) {
        let field = self.path_of(name);
        self.error.violations.push(Violation { field, description: description.into() });
    }

    /// Notes that what the reader stands in is wrong.
    #[cold]
    pub fn reject_here(&mut self, description: impl Into<String>) {
        let field = self.here();
        self.error.violations.push(Violation { field, description: description.into() });
    }

    /// Notes that a calculator refused its input; the field it blames is `name`, inside of where the reader stands.
    #[cold]
    pub fn reject_calc(&mut self, name: &'static str, error: &CalcError) {
        self.reject(name, error.to_string());
    }

    /// Notes that the field `name` names an entry that is not in the book.
    #[cold]
    pub fn not_found(&mut self, field: &'static str, name: &str, nearest: Vec<String>) {
        self.not_found_at(field, name, nearest);
    }

    /// Notes that a field further down, by its path from where the reader stands, names an entry that is not in the
    /// book.
    #[cold]
    pub fn not_found_at(&mut self, field: &str, name: &str, nearest: Vec<String>) {
        let missing = NotFound { field: self.path_of(field), name: name.to_owned(), nearest };
        if !self.error.not_found.contains(&missing) {
            self.error.not_found.push(missing);
        }
    }

    /// Notes that a field beside the repeated field `list`, in which the reader stands, names an entry that is not in
    /// the book.
    #[cold]
    pub fn not_found_beside(&mut self, list: &'static str, field: &str, name: &str, nearest: Vec<String>) {
        let depth = self.path.iter().rposition(|step| matches!(step, Step::Field(field) if *field == list));
        let inside = self.path.split_off(depth.unwrap_or(self.path.len()));
        self.not_found_at(field, name, nearest);
        self.path.extend(inside);
    }

    /// Notes everything inside of the field `name` that a calculation lacks.
    pub fn lacking(&mut self, name: &'static str, lacks: &[Lack]) {
        self.under(name, |fields| {
            for Lack { field, why } in lacks {
                let field = fields.path_of(field);
                let description = format!("{why}: the calculation needs it");
                fields.error.violations.push(Violation { field, description });
            }
        });
    }

    /// Returns the path of the field `name`, inside of where the reader stands.
    #[must_use]
    pub fn path_of(&self, name: &str) -> String {
        let mut path = self.here();
        if !path.is_empty() && !name.is_empty() {
            path.push('.');
        }
        path.push_str(name);
        path
    }

    fn here(&self) -> String {
        let mut path = String::new();
        for step in &self.path {
            match step {
                Step::Field(name) if path.is_empty() => path.push_str(name),
                Step::Field(name) => {
                    path.push('.');
                    path.push_str(name);
                }
                // Writing to a string cannot fail.
                Step::Index(index) => drop(write!(path, "[{index}]")),
            }
        }
        path
    }

    /// Notes a field as missing when it has no value.
    pub fn required<T>(&mut self, name: &'static str, value: Option<T>) -> Option<T> {
        if value.is_none() {
            self.reject(name, "is required");
        }
        value
    }

    /// Reads a number that may be absent.
    pub fn number(&mut self, name: &'static str, value: Option<f64>, range: &Range) -> Option<f64> {
        let value = value?;
        if range.holds(value) {
            return Some(value);
        }
        self.reject(name, out_of_range(value, range));
        None
    }

    /// Reads a number that must be there.
    pub fn needed(&mut self, name: &'static str, value: Option<f64>, range: &Range) -> Option<f64> {
        let value = self.required(name, value);
        self.number(name, value, range)
    }

    /// Reads a ratio of 0 to 1 that may be absent.
    pub fn share(&mut self, name: &'static str, value: Option<f64>) -> Option<f64> {
        self.number(name, value, &SHARE)
    }

    /// Reads a count or a code that may be absent.
    pub fn count(&mut self, name: &'static str, value: Option<i32>, least: i32, most: i32) -> Option<i32> {
        let value = value?;
        if (least..=most).contains(&value) {
            return Some(value);
        }
        self.reject(name, format!("must be {least} to {most}, is {value}"));
        None
    }

    /// Reads an enum; unspecified is not known.
    pub fn choice<W: TryFrom<i32>, D>(
        &mut self,
        name: &'static str,
        number: i32,
        map: impl FnOnce(W) -> Option<D>,
    ) -> Option<D> {
        if let Ok(wire) = W::try_from(number) {
            return map(wire);
        }
        let most = (1..1000).take_while(|&number| W::try_from(number).is_ok()).last().unwrap_or(0);
        self.reject(name, format!("is {number}, which no value has; known values are 1 to {most}"));
        None
    }

    /// Reads an enum that must be specified.
    pub fn needed_choice<W: TryFrom<i32>, D>(
        &mut self,
        name: &'static str,
        number: i32,
        map: impl FnOnce(W) -> Option<D>,
    ) -> Option<D> {
        if number == 0 {
            self.reject(name, "is required: an unspecified value says nothing");
            return None;
        }
        self.choice(name, number, map)
    }

    /// Reads text of at most `most` characters, without control characters.
    pub fn text(&mut self, name: &'static str, text: &str, most: usize) -> String {
        if self.fits(name, text, most) { text.to_owned() } else { String::new() }
    }

    /// Returns whether text has at most `most` characters and no control characters, and notes when it does not.
    pub fn fits(&mut self, name: &'static str, text: &str, most: usize) -> bool {
        // Most text is short and plain.
        if text.len() <= most && text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
            return true;
        }
        // Bytes are counted first: text that is short in bytes is short in characters.
        if text.len() > most && text.chars().count() > most {
            let count = text.chars().count();
            self.reject(name, format!("must have at most {most} characters, has {count}: shorten it"));
            return false;
        }
        if text.chars().any(char::is_control) {
            self.reject(name, "must not hold control characters: remove line breaks and tabs");
            return false;
        }
        true
    }

    /// Reads text that may be empty, which is then absent.
    pub fn optional_text(&mut self, name: &'static str, text: &str, most: usize) -> Option<String> {
        let text = text.trim();
        if text.is_empty() {
            return None;
        }
        Some(self.text(name, text, most))
    }

    /// Reads a message that may be absent.
    pub fn message<D: FromWire>(&mut self, name: &'static str, wire: Option<&D::Wire>) -> Option<D> {
        let wire = wire?;
        self.under(name, |fields| D::from_wire(wire, fields))
    }

    /// Reads every element of a repeated field of at most `most`.
    pub fn list<D: FromWire>(&mut self, name: &'static str, wire: &[D::Wire], most: usize) -> Vec<D> {
        self.each(name, wire, most, |wire, fields| D::from_wire(wire, fields))
    }

    /// Reads every element of a repeated field of at most `most` with a reader of its own.
    pub fn each<W, D>(
        &mut self,
        name: &'static str,
        wire: &[W],
        most: usize,
        mut read: impl FnMut(&W, &mut Self) -> Option<D>,
    ) -> Vec<D> {
        if wire.len() > most {
            self.reject(name, format!("must have at most {most} elements, has {}", wire.len()));
            return Vec::new();
        }
        let mut domain = Vec::with_capacity(wire.len());
        for (index, wire) in wire.iter().enumerate() {
            domain.extend(self.at(name, index, |fields| read(wire, fields)));
        }
        domain
    }
}

/// A ratio of 0 to 1.
pub const SHARE: Range = Range::new("share", "", 0.0, 1.0);

/// Says what a number is and what it must be.
#[cold]
fn out_of_range(value: f64, range: &Range) -> String {
    let Range { unit, min, max, .. } = range;
    let gap = if unit.is_empty() { "" } else { " " };
    if value.is_finite() {
        format!("must be {min} to {max}{gap}{unit}, is {value}")
    } else {
        format!("must be a number from {min} to {max}{gap}{unit}, is {value}")
    }
}
