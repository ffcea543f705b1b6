//! The book's port: named records, one counter, whole commits.
//!
//! A [`Book`] keeps opaque values under entry names. It knows nothing of specifications, of gRPC or of access: the layer
//! above encodes what it keeps and decodes what it reads. What the port promises, whichever engine stands behind it:
//!
//! * **Durable before visible.** [`Book::commit`] resolves only when the commit is on disk; no reader, follower or
//!   watcher sees a revision before that.
//! * **Whole commits.** All changes of a commit take effect at one [`Revision`], or none does.
//! * **One order.** Revisions are dense (1, 2, 3, …); preconditions are judged against the state just before the commit's
//!   own revision, so the book is linearizable per name and across names.
//! * **Stable views.** A [`Snapshot`] shows exactly its revision for as long as it lives.
//! * **One effect per request id.** A request id is stored in the same commit as its effect.
//! * **A failed sync is final.** After one the book answers reads and refuses writes until it is opened again: what a
//!   failed `fdatasync` left behind is unknown, and a second one that succeeds proves nothing about the first.
//!
//! Look-ups and scans are synchronous because they read memory alone. Whatever may wait for a disk (or, behind another
//! engine, for a network) returns a [`Pending`].

mod bounds;
pub mod catalog;
mod committer;
mod disk;
mod engine;
mod error;
mod frame;
mod history;
mod horizon;
mod journal;
mod local;
mod lock;
mod memory;
mod pace;
mod record;
mod shelf;
mod sled;
mod tally;

#[cfg(test)]
mod scenarios;

use std::fmt::Debug;
use std::pin::Pin;
use std::sync::Arc;

use tokio::sync::watch;

pub use bounds::Bounds;
pub use error::{BookError, Quota, Unmet};
pub use horizon::{Condensed, Hold, Horizon};
pub use journal::backup;
pub use local::LocalBook;
pub use pace::Pace;
pub use record::{
    Change, Commit, Committed, Damage, Expect, Known, Line, Moment, Name, Past, PastCommit, Precondition, Record,
    Request, Revision, StoredAnswer, Verified,
};
pub use shelf::{Page, Snapshot};
pub use tally::Tally;

/// What may wait for a disk or a network: a future that any runtime can poll and that never blocks it.
pub type Pending<'a, T> = Pin<Box<dyn Future<Output = Result<T, BookError>> + Send + 'a>>;

/// Is told of every commit, once, in order, after it is durable and before its caller is.
///
/// The call is made on the committer's own thread: it must not block and must not commit.
pub trait Follower: Send + Sync {
    /// Takes one group of whole commits, oldest first; the book already answers reads at the last one's revision.
    fn published(&self, commits: &[Arc<PastCommit>]);
}

/// Whether the book takes writes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Takes reads and writes.
    Writable,
    /// Takes reads only, until it is opened again.
    ReadOnly {
        /// What went wrong, in words for the log and the caller.
        why: Arc<str>,
    },
    /// Was closed.
    Closed,
}

/// The book: named values, one counter, whole commits.
pub trait Book: Send + Sync + Debug {
    /// Returns the newest published revision; 0 for an empty book.
    fn revision(&self) -> Revision;

    /// Returns the newest record of a name. Reads memory only.
    fn get(&self, name: &str) -> Option<Arc<Record>>;

    /// Pins the newest revision and returns a view of it.
    fn snapshot(&self) -> Snapshot;

    /// Pins a past revision, such as the one a page token carries.
    ///
    /// # Errors
    /// [`BookError::RevisionGone`] when it is older than the book still keeps in memory,
    /// [`BookError::RevisionAhead`] when it was not published yet.
    fn snapshot_at(&self, revision: Revision) -> Result<Snapshot, BookError>;

    /// Returns up to `limit` records whose name starts with `prefix` and comes after `after`, in order of names, at
    /// `at` or, without it, at the newest revision. Reads memory only.
    ///
    /// # Errors
    /// As [`Book::snapshot_at`].
    fn scan(&self, prefix: &str, after: Option<&str>, limit: usize, at: Option<Revision>) -> Result<Page, BookError>;

    /// Judges the preconditions, makes the changes durable at the next revision, publishes them, and only then resolves.
    ///
    /// A commit with neither changes nor a request takes no revision: it judges its preconditions and returns the
    /// newest revision. A caller that stops polling cannot take its commit back; its outcome is then found by asking
    /// again with the same request id.
    ///
    /// # Errors
    /// [`BookError::Precondition`] with every name that failed, [`BookError::RequestReused`], [`BookError::Repeated`],
    /// [`BookError::TooLarge`], [`BookError::Full`], [`BookError::ReadOnly`] and [`BookError::Closed`] when nothing was
    /// changed; [`BookError::Uncertain`] when the write failed half way.
    fn commit(&self, commit: Commit) -> Pending<'_, Committed>;

    /// Returns whole commits after `after`, oldest first, at most `limit` of them; an empty list when there are none.
    /// Fewer than `limit` may come back: ask again from the last one's revision.
    ///
    /// # Errors
    /// [`BookError::RevisionGone`] when the commit after `after` is no longer kept,
    /// [`BookError::RevisionAhead`] when `after` was not published yet.
    fn changes_since(&self, after: Revision, limit: usize) -> Pending<'_, Vec<Arc<PastCommit>>>;

    /// Returns where the kept commits begin.
    fn horizon(&self) -> Horizon {
        Horizon::default()
    }

    /// Keeps the horizon where it is for as long as what is returned lives. Blocks while commits are being let go of.
    fn hold(&self) -> Hold {
        Hold::default()
    }

    /// Reads every entry as it stood at the horizon, in no order, and what all commits through it came to; nothing when
    /// every commit is kept. Blocks.
    ///
    /// # Errors
    /// [`BookError::Damaged`] or [`BookError::Io`] when it cannot be read, or not be taken.
    fn condensed(&self, _: &mut dyn FnMut(Record) -> std::io::Result<()>) -> Result<Condensed, BookError> {
        Ok(Condensed::default())
    }

    /// Returns when the commit of a revision was made; the horizon's is known too, and the empty book's is the epoch.
    ///
    /// # Errors
    /// As [`Book::changes_since`].
    fn time_of(&self, revision: Revision) -> Pending<'_, Moment> {
        let horizon = self.horizon();
        Box::pin(async move {
            if revision == horizon.revision {
                return Ok(horizon.time);
            }
            let before = Revision::new(revision.get().saturating_sub(1));
            let newest = self.revision();
            if revision > newest {
                return Err(BookError::RevisionAhead { asked: revision, newest });
            }
            let commits = self.changes_since(before, 1).await?;
            let gone = BookError::RevisionGone { asked: revision, oldest: horizon.revision, newest };
            commits.first().map(|commit| commit.time).ok_or(gone)
        })
    }

    /// Returns what happened to a name, newest first, at most `limit` of it, starting before `before` when given.
    ///
    /// # Errors
    /// [`BookError::Damaged`] or [`BookError::Io`] when it cannot be read.
    fn history(&self, name: Name, before: Option<Revision>, limit: usize) -> Pending<'_, Vec<Past>>;

    /// Returns what a request id was answered, while it is remembered.
    ///
    /// # Errors
    /// [`BookError::Damaged`] or [`BookError::Io`] when it cannot be read.
    fn request(&self, id: Arc<str>) -> Pending<'_, Option<StoredAnswer>>;

    /// Subscribes to the newest published revision. Together with [`Book::changes_since`] this is all a feed needs.
    fn subscribe(&self) -> watch::Receiver<Revision>;

    /// Registers a follower and pins the revision after which it will be told everything: no gap, no repeat.
    fn follow(&self, follower: Arc<dyn Follower>) -> Snapshot;

    /// Returns the number of entries and their digest at the newest revision.
    fn tally(&self) -> Tally;

    /// Returns whether the book takes writes.
    fn standing(&self) -> Standing;

    /// Returns how long commits took since the book was opened, where that is measured.
    fn pace(&self) -> Option<Pace<'_>> {
        None
    }

    /// Reads everything on disk again and compares it with itself, with the second copy, with what the book recorded and
    /// with a chain that was kept elsewhere; mends from one copy what the other one lost. When neither copy holds it, the
    /// book takes no more writes: what is acknowledged from then on might not be read back at the next start.
    ///
    /// # Errors
    /// [`BookError::Io`] when the system refuses, [`BookError::Closed`]. What differs is no error: it is among the damages.
    fn verify(&self, known: Option<Known>) -> Pending<'_, Verified>;

    /// Finishes the commits already handed in, then closes the store; later commits answer [`BookError::Closed`].
    /// Reads go on from memory.
    ///
    /// # Errors
    /// [`BookError::Io`] when the store could not be closed cleanly; what was acknowledged is safe all the same.
    fn close(&self) -> Pending<'_, ()>;
}
