//! The book in this process: a store, its one committer, and the shelf everybody reads.

use std::collections::HashSet;
use std::fmt;
use std::path::Path;
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::Instant;

use parking_lot::Mutex;
use tokio::runtime::Handle;
use tokio::sync::{mpsc, oneshot, watch};

use super::bounds::Bounds;
use super::committer::{Ask, Committer, Shared, commit_bytes};
use super::engine::{Engine, Span};
use super::error::{BookError, Quota};
use super::horizon::{Condensed, Hold, Horizon};
use super::journal::JournalEngine;
use super::memory::MemoryEngine;
use super::record::{Commit, Committed, Known, Name, Past, PastCommit, Record, Revision, StoredAnswer, Verified};
use super::shelf::{Page, Shelf, Snapshot};
use super::tally::Tally;
use super::{Book, Follower, Pace, Pending, Standing};
use crate::measure::Timing;

/// A book kept by this process, on disk or in memory.
pub struct LocalBook {
    shared: Arc<Shared>,
    bounds: Bounds,
    asks: Mutex<Option<mpsc::Sender<Ask>>>,
    committer: Mutex<Option<JoinHandle<()>>>,
    commits: Timing,
}

impl LocalBook {
    /// Opens the book in a data directory, creating it if need be, and reads all current entries into memory. Blocks.
    ///
    /// # Errors
    /// [`BookError::InUse`] when another process has it open, [`BookError::Damaged`] when what is there is not what was
    /// written, [`BookError::Io`] when the system refuses.
    pub fn open(directory: &Path, bounds: Bounds) -> Result<Self, BookError> {
        let engine = JournalEngine::open(directory, &bounds)?;
        Self::with_engine(Arc::new(engine), bounds)
    }

    /// Starts an empty book that lives as long as this process.
    ///
    /// # Errors
    /// [`BookError::Io`] when no thread can be started.
    pub fn in_memory(bounds: Bounds) -> Result<Self, BookError> {
        Self::with_engine(Arc::new(MemoryEngine::default()), bounds)
    }

    pub(super) fn with_engine(engine: Arc<dyn Engine>, bounds: Bounds) -> Result<Self, BookError> {
        let loaded = engine.load()?;
        let shelf = Arc::new(Shelf::new(&bounds, loaded.revision, loaded.records, loaded.tally));
        let shared = Arc::new(Shared {
            shelf,
            engine,
            followers: Mutex::default(),
            newest: watch::Sender::new(loaded.revision),
            standing: parking_lot::RwLock::new(Standing::Writable),
            ended: watch::Sender::new(None),
        });
        let (asks, receiver) = mpsc::channel(bounds.waiting.max(1));
        let committer = Committer::new(Arc::clone(&shared), bounds.clone(), loaded.requests);
        let thread = std::thread::Builder::new()
            .name("book-committer".to_owned())
            .spawn(move || committer.run(receiver))
            .map_err(|cause| BookError::Io {
                doing: "start",
                path: "the committer's thread".to_owned(),
                cause: cause.to_string(),
                full: false,
            })?;
        Ok(Self {
            shared,
            bounds,
            asks: Mutex::new(Some(asks)),
            committer: Mutex::new(Some(thread)),
            commits: Timing::default(),
        })
    }

    /// What can be refused without knowing the book's state is refused on the caller's own time.
    fn check(&self, commit: &Commit) -> Result<(), BookError> {
        let bounds = &self.bounds;
        at_most(Quota::CommitChanges, commit.changes.len(), bounds.commit_changes)?;
        at_most(Quota::CommitPreconditions, commit.preconditions.len(), bounds.commit_preconditions)?;
        at_most(Quota::AuthorBytes, commit.author.len(), bounds.author_bytes)?;
        if let Some(request) = &commit.request {
            at_most(Quota::RequestIdBytes, request.id.len(), bounds.request_id_bytes)?;
        }
        let mut names = HashSet::with_capacity(commit.changes.len());
        for change in &commit.changes {
            if let super::Change::Put { value, .. } = change {
                at_most(Quota::ValueBytes, value.len(), bounds.value_bytes)?;
            }
            if !names.insert(change.name()) {
                return Err(BookError::Repeated { name: change.name().clone() });
            }
        }
        at_most(Quota::CommitBytes, commit_bytes(commit), bounds.commit_bytes)
    }

    /// Reads the store where that may block, away from the runtime's own threads.
    fn read<T: Send + 'static>(
        &self,
        read: impl FnOnce(&dyn Engine) -> Result<T, BookError> + Send + 'static,
    ) -> Pending<'_, T> {
        let engine = Arc::clone(&self.shared.engine);
        Box::pin(async move {
            match Handle::try_current() {
                Err(_) => read(engine.as_ref()),
                Ok(runtime) => match runtime.spawn_blocking(move || read(engine.as_ref())).await {
                    Ok(result) => result,
                    Err(_) => Err(BookError::Damaged {
                        what: "the store failed while it was read".to_owned(),
                        names: Vec::new(),
                        next: "current entries are still served from memory; stop the service, open the book again, \
                               and restore the last backup if it does not open"
                            .to_owned(),
                    }),
                },
            }
        })
    }

    #[cfg(test)]
    pub(super) fn shelf(&self) -> &Shelf {
        &self.shared.shelf
    }

    fn span(&self, after: Revision, through: Revision, limit: usize) -> Span {
        Span { after, through, limit: limit.min(self.bounds.answer_commits), bytes: self.bounds.answer_bytes }
    }
}

fn at_most(quota: Quota, found: usize, limit: usize) -> Result<(), BookError> {
    if found > limit { Err(BookError::TooLarge { quota, found, limit }) } else { Ok(()) }
}

impl Book for LocalBook {
    fn revision(&self) -> Revision {
        self.shared.shelf.revision()
    }

    fn get(&self, name: &str) -> Option<Arc<Record>> {
        self.shared.shelf.get(name)
    }

    fn snapshot(&self) -> Snapshot {
        self.shared.shelf.snapshot()
    }

    fn snapshot_at(&self, revision: Revision) -> Result<Snapshot, BookError> {
        self.shared.shelf.snapshot_at(revision)
    }

    fn scan(&self, prefix: &str, after: Option<&str>, limit: usize, at: Option<Revision>) -> Result<Page, BookError> {
        self.shared.shelf.scan(prefix, after, limit, at)
    }

    fn commit(&self, commit: Commit) -> Pending<'_, Committed> {
        Box::pin(async move {
            self.check(&commit)?;
            if let Standing::ReadOnly { why } = self.standing() {
                // Before it is written anywhere: nothing about it is uncertain.
                return Err(BookError::ReadOnly { why });
            }
            let begun = Instant::now();
            let asks = self.asks.lock().clone().ok_or(BookError::Closed)?;
            let (reply, answer) = oneshot::channel();
            asks.send(Ask { commit, reply }).await.map_err(|_| BookError::Closed)?;
            drop(asks);
            let answer = answer
                .await
                .unwrap_or_else(|_| Err(BookError::Uncertain { why: "the committer ended before it answered".into() }));
            if answer.is_ok() {
                self.commits.note(begun.elapsed());
            }
            answer
        })
    }

    fn changes_since(&self, after: Revision, limit: usize) -> Pending<'_, Vec<Arc<PastCommit>>> {
        let newest = self.revision();
        if after > newest {
            return Box::pin(async move { Err(BookError::RevisionAhead { asked: after, newest }) });
        }
        let span = self.span(after, newest, limit);
        if let Some(recent) = self.shared.shelf.recent(after, span.limit, span.bytes) {
            return Box::pin(async move { Ok(recent) });
        }
        let oldest = self.horizon().revision;
        if after < oldest {
            return Box::pin(async move { Err(BookError::RevisionGone { asked: after, oldest, newest }) });
        }
        if span.limit == 0 {
            return Box::pin(async move { Ok(Vec::new()) });
        }
        let read = self.read(move |engine| engine.commits(span));
        Box::pin(async move {
            let commits = read.await?;
            match commits.first().map(|first| first.revision) {
                Some(first) if first == after.next() => Ok(commits),
                first => {
                    let oldest = first.map_or(newest, |first| Revision::new(first.get().saturating_sub(1)));
                    Err(BookError::RevisionGone { asked: after, oldest, newest })
                }
            }
        })
    }

    fn horizon(&self) -> Horizon {
        self.shared.engine.horizon()
    }

    fn hold(&self) -> Hold {
        self.shared.engine.hold()
    }

    fn condensed(&self, take: &mut dyn FnMut(Record) -> std::io::Result<()>) -> Result<Condensed, BookError> {
        self.shared.engine.condensed(take)
    }

    fn history(&self, name: Name, before: Option<Revision>, limit: usize) -> Pending<'_, Vec<Past>> {
        let newest = self.revision();
        let through = before.map_or(newest, |before| Revision::new(before.get().saturating_sub(1)).min(newest));
        let span = self.span(Revision::ZERO, through, limit);
        self.read(move |engine| engine.history(&name, span))
    }

    fn request(&self, id: Arc<str>) -> Pending<'_, Option<StoredAnswer>> {
        let newest = self.revision();
        self.read(move |engine| Ok(engine.answer(&id)?.filter(|stored| stored.revision <= newest)))
    }

    fn subscribe(&self) -> watch::Receiver<Revision> {
        self.shared.newest.subscribe()
    }

    fn follow(&self, follower: Arc<dyn Follower>) -> Snapshot {
        let mut followers = self.shared.followers.lock();
        followers.push(follower);
        self.shared.shelf.snapshot()
    }

    fn tally(&self) -> Tally {
        self.shared.shelf.tally()
    }

    fn standing(&self) -> Standing {
        self.shared.standing.read().clone()
    }

    fn pace(&self) -> Option<Pace<'_>> {
        Some(Pace { commits: &self.commits, syncs: self.shared.engine.syncs() })
    }

    fn verify(&self, known: Option<Known>) -> Pending<'_, Verified> {
        let tally = self.tally();
        let read = self.read(move |engine| engine.verify(known));
        Box::pin(async move {
            let mut verified = read.await?;
            if let Some(why) = &verified.refused {
                let mut standing = self.shared.standing.write();
                if *standing == Standing::Writable {
                    *standing = Standing::ReadOnly { why: Arc::clone(why) };
                }
            }
            if verified.chain == [0; 32] && verified.tally == Tally::default() {
                // A book in memory keeps no tally of its own.
                verified.tally = tally;
            }
            Ok(verified)
        })
    }

    fn close(&self) -> Pending<'_, ()> {
        Box::pin(async move {
            drop(self.asks.lock().take());
            let mut ended = self.shared.ended.subscribe();
            let ended = ended.wait_for(Option::is_some).await.map(|ended| ended.clone());
            *self.shared.standing.write() = Standing::Closed;
            ended.ok().flatten().unwrap_or(Ok(()))
        })
    }
}

impl Drop for LocalBook {
    /// Waits for the committer, so that the data directory is free when the book is gone.
    fn drop(&mut self) {
        drop(self.asks.lock().take());
        if let Some(committer) = self.committer.lock().take()
            && committer.thread().id() != std::thread::current().id()
        {
            drop(committer.join());
        }
    }
}

impl fmt::Debug for LocalBook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("LocalBook").field("revision", &self.revision()).field("standing", &self.standing()).finish()
    }
}
