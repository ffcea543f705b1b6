//! Why the book refuses: facts, one variant each. What they mean to a caller on the wire is decided elsewhere.

use std::fmt;
use std::io;
use std::path::Path;
use std::sync::Arc;

use super::record::{Expect, Name, Revision};

/// A name whose precondition did not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmet {
    /// The entry.
    pub name: Name,
    /// What was expected of it.
    pub expect: Expect,
    /// The revision it has; `None` when it is not in the book.
    pub current: Option<Revision>,
}

/// Something the book bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quota {
    /// Bytes of an entry's name.
    NameBytes,
    /// Bytes of an entry's value.
    ValueBytes,
    /// Changes in one commit.
    CommitChanges,
    /// Preconditions in one commit.
    CommitPreconditions,
    /// Bytes of one commit.
    CommitBytes,
    /// Bytes of a request id.
    RequestIdBytes,
    /// Bytes of an author's name.
    AuthorBytes,
}

impl fmt::Display for Quota {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NameBytes => "bytes in an entry's name",
            Self::ValueBytes => "bytes in an entry",
            Self::CommitChanges => "changes in one commit",
            Self::CommitPreconditions => "preconditions in one commit",
            Self::CommitBytes => "bytes in one commit",
            Self::RequestIdBytes => "bytes in a request id",
            Self::AuthorBytes => "bytes in an author's name",
        })
    }
}

/// Why the book refuses.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BookError {
    /// Preconditions did not hold; nothing was changed.
    #[error("{}", unmet_text(.unmet))]
    Precondition {
        /// Every one that did not hold, in the order they were asked.
        unmet: Vec<Unmet>,
    },
    /// The request id was used before with other content; nothing was changed.
    #[error("request id {id} was used at revision {revision} with other content")]
    RequestReused {
        /// The id.
        id: Arc<str>,
        /// The revision of its first use.
        revision: Revision,
    },
    /// One commit changes a name twice; nothing was changed.
    #[error("{name} is changed more than once in one commit")]
    Repeated {
        /// The name.
        name: Name,
    },
    /// Something is larger than the book takes; nothing was changed.
    #[error("{found} {quota}; at most {limit} are taken")]
    TooLarge {
        /// What.
        quota: Quota,
        /// How large it is.
        found: usize,
        /// How large it may be.
        limit: usize,
    },
    /// A name is empty or holds something else than visible ASCII.
    #[error("{name:?} cannot be a name: 1 to 128 visible ASCII characters")]
    Unnameable {
        /// What was given.
        name: Arc<str>,
    },
    /// A revision is older than what is kept.
    #[error("revision {asked} is no longer kept; the oldest is {oldest}, the newest {newest}")]
    RevisionGone {
        /// The revision asked for.
        asked: Revision,
        /// The oldest that can be asked for.
        oldest: Revision,
        /// The newest.
        newest: Revision,
    },
    /// A revision was not published yet.
    #[error("revision {asked} is not in the book yet; the newest is {newest}")]
    RevisionAhead {
        /// The revision asked for.
        asked: Revision,
        /// The newest.
        newest: Revision,
    },
    /// What is on disk is not what was written.
    #[error("{what}{}; {next}", affected_text(.names))]
    Damaged {
        /// What was found.
        what: String,
        /// The entries it touches, where that can be told.
        names: Vec<String>,
        /// What to do about it.
        next: String,
    },
    /// Another process has the data directory open.
    #[error("{directory} is in use by another process; {next}")]
    InUse {
        /// The directory.
        directory: String,
        /// What to do about it.
        next: String,
    },
    /// The disk has no room; nothing was changed.
    #[error("the disk is full; about {needed_bytes} bytes are needed")]
    Full {
        /// About how much room the commit needs.
        needed_bytes: usize,
    },
    /// The book takes no writes until it is opened again; nothing was changed.
    #[error("the book takes no writes until it is opened again: {why}")]
    ReadOnly {
        /// What went wrong before.
        why: Arc<str>,
    },
    /// The write failed half way: whether it took effect shows when the book is opened again. Asking then with the same
    /// request id has one effect in either case.
    #[error("the write failed and may or may not have taken effect: {why}")]
    Uncertain {
        /// What went wrong.
        why: Arc<str>,
    },
    /// The book was closed; nothing was changed.
    #[error("the book is closed")]
    Closed,
    /// The operating system refused.
    #[error("cannot {doing} {path}: {cause}")]
    Io {
        /// What was being done, as a verb.
        doing: &'static str,
        /// To which file or directory.
        path: String,
        /// What the system said.
        cause: String,
        /// Whether that was that there is no room.
        full: bool,
    },
}

impl BookError {
    /// Takes what the operating system said of a file.
    pub(crate) fn io(doing: &'static str, path: &Path, cause: &io::Error) -> Self {
        Self::Io {
            doing,
            path: path.display().to_string(),
            cause: cause.to_string(),
            full: super::disk::is_full(cause),
        }
    }
}

fn unmet_text(unmet: &[Unmet]) -> String {
    let texts: Vec<String> = unmet
        .iter()
        .map(|one| {
            let is = match one.current {
                Some(revision) => format!("is at revision {revision}"),
                None => "is not in the book".to_owned(),
            };
            match one.expect {
                Expect::Any => format!("{} {is}", one.name),
                Expect::Absent => format!("{} {is}, expected not to be in the book", one.name),
                Expect::Present => format!("{} {is}, expected to be", one.name),
                Expect::At(revision) => format!("{} {is}, expected revision {revision}", one.name),
            }
        })
        .collect();
    texts.join("; ")
}

fn affected_text(names: &[String]) -> String {
    const SHOWN: usize = 10;
    if names.is_empty() {
        return String::new();
    }
    let more = names.len().saturating_sub(SHOWN);
    let shown = names.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", ");
    if more == 0 { format!(" (touches {shown})") } else { format!(" (touches {shown} and {more} more)") }
}
