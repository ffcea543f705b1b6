//! An entry that was not as its caller expected.

/// One entry whose etag or absence was not as the call expected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Conflict {
    /// It is in the book, and the call meant to create it.
    Exists {
        /// Its name.
        name: String,
        /// Its current etag.
        etag: String,
    },
    /// It has changed since the caller read it.
    Stale {
        /// Its name.
        name: String,
        /// Its current etag.
        etag: String,
        /// The fields that changed meanwhile.
        changed: Vec<String>,
    },
    /// It is not in the book, or no longer.
    Missing {
        /// Its name.
        name: String,
        /// The nearest names.
        nearest: Vec<String>,
    },
}

impl Conflict {
    /// Returns the name of the entry.
    #[must_use]
    pub fn name(&self) -> &str {
        let (Self::Exists { name, .. } | Self::Stale { name, .. } | Self::Missing { name, .. }) = self;
        name
    }

    /// Returns its kind in a `PreconditionFailure`.
    pub(super) const fn word(&self) -> &'static str {
        match self {
            Self::Exists { .. } => "ENTRY_EXISTS",
            Self::Stale { .. } => "STALE_ETAG",
            Self::Missing { .. } => "ENTRY_NOT_FOUND",
        }
    }
}
