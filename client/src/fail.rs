//! Why a command did not do what it was asked, in four parts: what, where, why with the limit, what to type next.

mod status;

use std::{fmt, io, path::Path};

use baybook_core::error::CalcError;

/// How a command ends, as its exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// It did what it was asked.
    Ok = 0,
    /// Our own fault.
    Fault = 1,
    /// Usage, or input that cannot be read.
    Usage = 2,
    /// Findings block at least one plan.
    Blocked = 3,
    /// Something named is not there.
    NotFound = 4,
    /// Something changed meanwhile, or is in the way.
    Conflict = 5,
    /// Not allowed.
    Denied = 6,
    /// The service cannot be reached, or took too long.
    Unreachable = 7,
    /// Stored data is damaged.
    Damaged = 8,
    /// Somebody ended it from the keyboard.
    Interrupted = 130,
}

/// One place that is at fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Where: a flag, a file and line, a field.
    pub at: String,
    /// Why, with the limit.
    pub why: String,
}

/// Why a command stopped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// How the process ends.
    pub exit: Exit,
    /// What went wrong, in one line.
    pub what: String,
    /// Where and why, each place once.
    pub places: Vec<Place>,
    /// What to type next.
    pub next: String,
}

/// Why a command ends early.
#[derive(Debug)]
pub enum Stop {
    /// Something to tell.
    Failure(Box<Failure>),
    /// Nobody reads the output any more; that is no error.
    ClosedPipe,
}

/// What a command comes to.
pub type Outcome = Result<Exit, Stop>;

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Self {
        Self::Failure(Box::new(failure))
    }
}

impl Failure {
    /// Starts a failure of a kind.
    pub fn new(exit: Exit, what: impl Into<String>) -> Self {
        Self { exit, what: what.into(), places: Vec::new(), next: String::new() }
    }

    /// Input that cannot be read.
    pub fn usage(what: impl Into<String>) -> Self {
        Self::new(Exit::Usage, what)
    }

    /// Adds where and why.
    pub fn at(mut self, at: impl Into<String>, why: impl Into<String>) -> Self {
        self.places.push(Place { at: at.into(), why: why.into() });
        self
    }

    /// Says what to type next. A reason that ended with the same words says them no longer.
    pub fn next(mut self, next: impl Into<String>) -> Self {
        self.next = next.into();
        for place in &mut self.places {
            if let Some(reason) = place.why.strip_suffix(&self.next).filter(|_| !self.next.is_empty()) {
                place.why = reason.trim_end_matches([';', ' ']).to_owned();
            }
        }
        self
    }

    /// A file that cannot be opened, read or written.
    pub fn file(doing: &str, path: &Path, error: &io::Error) -> Self {
        let exit = match error.kind() {
            io::ErrorKind::NotFound => Exit::NotFound,
            io::ErrorKind::PermissionDenied => Exit::Denied,
            _ => Exit::Fault,
        };
        Self::new(exit, format!("the file cannot be {doing}"))
            .at(path.display().to_string(), error.to_string())
            .next("check the path and who may use it")
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Self::ClosedPipe;
        }
        Failure::new(Exit::Fault, "the output cannot be written")
            .at("standard output", error.to_string())
            .next("check the disk and the pipe behind the command")
            .into()
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "error: {}", self.what)?;
        for Place { at, why } in &self.places {
            writeln!(f, "  where  {at}")?;
            if !why.is_empty() {
                writeln!(f, "  why    {why}")?;
            }
        }
        if !self.next.is_empty() {
            writeln!(f, "  next   {}", self.next)?;
        }
        Ok(())
    }
}

/// Says why text is no quantity, and how it is written.
pub fn unreadable(read: &str, error: &CalcError) -> (String, String) {
    match error {
        CalcError::Unreadable { wanted, why, example, .. } => {
            (format!("it is not {wanted}: {why}"), format!("write it like {example}"))
        }
        other => (format!("it {other}"), format!("write another value than {read:?}")),
    }
}

/// Which flag fills which field, by the start of the field's path; the longest start wins.
#[derive(Debug, Clone, Copy)]
pub struct Flags(pub &'static [(&'static str, &'static str)]);

impl Flags {
    /// No flag is known.
    pub const NONE: Self = Self(&[]);

    /// Returns the flag and the field, or the field alone.
    fn place(self, field: &str) -> String {
        // A specification given in place goes by what it is: the arm of the `oneof` says nothing to a person.
        let short = field.replace(".spec.", ".");
        let starts =
            |path: &str| short.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
        match self.0.iter().filter(|(path, _)| starts(path)).max_by_key(|(path, _)| path.len()) {
            Some((_, flag)) => format!("{flag} ({field})"),
            None => field.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closed_pipe_is_no_failure() {
        assert!(matches!(Stop::from(io::Error::from(io::ErrorKind::BrokenPipe)), Stop::ClosedPipe));
        assert!(matches!(Stop::from(io::Error::from(io::ErrorKind::StorageFull)), Stop::Failure(_)));
    }
}
