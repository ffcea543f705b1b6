//! Why a calculation has no answer. Always the input, never the machine.

/// Why a calculation has no answer.
///
/// Exhaustive on purpose: a new variant must stop the build where errors become replies.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalcError {
    /// An input lies outside the range its formula is published for.
    #[error("must be {min} to {max} {unit}, is {value}")]
    OutOfRange {
        /// The input to blame.
        field: &'static str,
        /// What it was.
        value: f64,
        /// The unit of the value and the bounds.
        unit: &'static str,
        /// The least allowed value.
        min: f64,
        /// The greatest allowed value.
        max: f64,
    },

    /// Two inputs are each valid but cannot occur together.
    #[error("contradicts {other}: {why}")]
    Conflict {
        /// The input to blame.
        field: &'static str,
        /// The input it contradicts.
        other: &'static str,
        /// Why they cannot occur together.
        why: &'static str,
    },

    /// The table has no such row. Rows are never interpolated.
    #[error("{key:?} is not a row of {table}; rows are: {rows}")]
    NoSuchRow {
        /// The input to blame.
        field: &'static str,
        /// What was asked for.
        key: String,
        /// The table, by standard and edition.
        table: &'static str,
        /// The rows it has, or the nearest of them.
        rows: String,
    },

    /// The formula needs an input that was not given.
    #[error("is needed for {by}")]
    Missing {
        /// The input to blame.
        field: &'static str,
        /// The calculation that needs it.
        by: &'static str,
    },

    /// The text could not be read as the quantity it should be.
    #[error("{text:?} is not {wanted}: {why}; write it like {example}")]
    Unreadable {
        /// The input to blame.
        field: &'static str,
        /// What was read.
        text: String,
        /// What it should have been, with its article: `a torque`.
        wanted: &'static str,
        /// What is wrong with it.
        why: String,
        /// A readable example.
        example: &'static str,
    },
}

impl CalcError {
    /// Returns the input to blame; every variant has one.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::OutOfRange { field, .. }
            | Self::Conflict { field, .. }
            | Self::NoSuchRow { field, .. }
            | Self::Missing { field, .. }
            | Self::Unreadable { field, .. } => field,
        }
    }
}
