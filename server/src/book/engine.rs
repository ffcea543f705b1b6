//! What a store must do for the book: load everything, make one group of commits durable, and read the past.

use std::sync::Arc;

use super::error::BookError;
use super::horizon::{Condensed, Hold, Horizon};
use super::record::{Known, Moment, Name, Past, PastCommit, Record, Revision, StoredAnswer, Verified};
use super::tally::Tally;
use crate::measure::Timing;

/// Takes one record after the other; its failure ends the reading.
pub(super) type TakeRecord<'a> = &'a mut dyn FnMut(Record) -> std::io::Result<()>;

/// What was loaded at open.
#[derive(Debug, Default)]
pub(super) struct Loaded {
    pub(super) revision: Revision,
    pub(super) records: Vec<Arc<Record>>,
    pub(super) requests: Vec<RequestMark>,
    pub(super) tally: Tally,
}

/// What is remembered in memory of a request; its answer stays in the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct RequestMark {
    pub(super) id: Arc<str>,
    pub(super) digest: [u8; 32],
    pub(super) revision: Revision,
    pub(super) time: Moment,
}

/// What is made durable together.
#[derive(Debug)]
pub(super) struct Group<'a> {
    /// At least one commit, oldest first.
    pub(super) commits: &'a [Arc<PastCommit>],
    /// Request ids that are no longer remembered.
    pub(super) forgotten: &'a [Arc<str>],
    /// The tally after the last commit.
    pub(super) tally: Tally,
}

/// Which part of the past to read: after `after`, up to and including `through`, at most `limit` and about `bytes`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub(super) after: Revision,
    pub(super) through: Revision,
    pub(super) limit: usize,
    pub(super) bytes: usize,
}

/// Why a group could not be made durable.
#[derive(Clone, Debug)]
pub(super) enum Failed {
    /// There was no room, and nothing was changed: the next group may find some.
    NoRoom {
        /// About how much room the group needs.
        needed_bytes: usize,
    },
    /// The store cannot be relied on until it is opened again. How much of the group reached the disk is not known.
    Broken {
        /// What went wrong.
        why: Arc<str>,
    },
}

impl Failed {
    /// What it means to somebody who is not the committer.
    pub(super) fn into_error(self, directory: &std::path::Path) -> BookError {
        match self {
            Self::NoRoom { needed_bytes } => BookError::Full { needed_bytes },
            Self::Broken { why } => BookError::Io {
                doing: "write",
                path: directory.display().to_string(),
                cause: why.as_ref().to_owned(),
                full: false,
            },
        }
    }
}

/// A store behind the book. One thread calls [`Engine::append`]; any thread may read at the same time. Every method may
/// block. A read never returns anything beyond the revision it is given, even when the store already holds it.
pub(super) trait Engine: Send + Sync {
    /// Reads everything the book keeps in memory, and checks it against what the store last recorded of itself.
    fn load(&self) -> Result<Loaded, BookError>;

    /// Makes a group durable, all of it or none, and returns only then.
    fn append(&self, group: &Group<'_>) -> Result<(), Failed>;

    /// Reads whole commits, oldest first.
    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError>;

    /// Where the kept commits begin.
    fn horizon(&self) -> Horizon {
        Horizon::default()
    }

    /// Lets go of nothing for as long as what is returned lives.
    fn hold(&self) -> Hold {
        Hold::default()
    }

    /// Reads every entry as it stood at the horizon; nothing when all commits are kept.
    fn condensed(&self, _: TakeRecord<'_>) -> Result<Condensed, BookError> {
        Ok(Condensed::default())
    }

    /// Reads what happened to a name, newest first, within a span.
    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError>;

    /// Reads what a request was answered.
    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError>;

    /// Reads everything on disk again, compares it, and mends what it can.
    fn verify(&self, known: Option<Known>) -> Result<Verified, BookError>;

    /// Returns how long each sync of a group took, where there are syncs.
    fn syncs(&self) -> Option<&Timing> {
        None
    }

    /// Closes the store. Nothing is called after it.
    fn close(&self) -> Result<(), BookError>;
}
