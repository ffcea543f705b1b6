//! What a number rests on: the formula, where it is published, which printing, and whether anybody opened it.

/// Whether the figures behind a source were read in it, or recalled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seen {
    /// A copy or reproduction of the source was opened.
    Opened,
    /// Recalled from the named source; nobody opened it. Confirm before relying on it.
    FromMemory,
    /// Common practice of the trade, with no source.
    CommonPractice,
    /// Follows from mechanics or geometry; nothing to look up.
    Derived,
}

impl Seen {
    /// Returns the words that are printed beside a source.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
            Self::Derived => "derived",
        }
    }
}

/// A published source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The document and the place in it: `ISO 898-1, table 3`.
    pub title: &'static str,
    /// Which printing: `2013`. Empty when the source has no editions.
    pub edition: &'static str,
    /// Whether anybody opened it.
    pub seen: Seen,
}

impl Source {
    /// Names a source.
    #[must_use]
    pub const fn new(title: &'static str, edition: &'static str, seen: Seen) -> Self {
        Self { title, edition, seen }
    }
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The edition belongs to the document, which the first comma parts from the place in it.
        let (document, place) = self.title.split_at(self.title.find(',').unwrap_or(self.title.len()));
        f.write_str(document)?;
        if !self.edition.is_empty() {
            f.write_str(":")?;
            f.write_str(self.edition)?;
        }
        f.write_str(place)?;
        if self.seen == Seen::Opened { Ok(()) } else { write!(f, " ({})", self.seen.words()) }
    }
}

/// One step of a calculation, echoed in the reply: which formula, from where, on which numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// Our stable name of the formula: `torque-short-form`.
    pub formula: &'static str,
    /// The formula as text: `T = K · F · d`.
    pub text: &'static str,
    /// Where it is published.
    pub source: Source,
    /// The inputs it was used on, in the units of the wire.
    pub inputs: Vec<Input>,
}

/// One input of a [`Basis`].
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its name as on the wire, with the unit suffix: `preload_n`.
    pub name: &'static str,
    /// Its value in that unit.
    pub value: f64,
}

impl Basis {
    /// Records a step.
    #[must_use]
    pub fn new(formula: &'static str, text: &'static str, source: Source, inputs: &[(&'static str, f64)]) -> Self {
        let inputs = inputs.iter().map(|&(name, value)| Input { name, value }).collect();
        Self { formula, text, source, inputs }
    }
}
