//! The second copy of all commits, in sled, guarded against what sled is known to do on damaged files and full disks.

use std::any::Any;
use std::fmt;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use parking_lot::Mutex;
use tracing::{debug, warn};

use super::copy::SecondCopy;
use super::recover::next_step;
use crate::book::engine::{Loaded, Span};
use crate::book::error::BookError;
use crate::book::record::PastCommit;
use crate::book::sled::{Progress, SledStore, store_of};
use crate::book::{Revision, Tally};

pub(super) const ASIDE: &str = "damaged";
const REACHED: &str = "reached";
/// The second copy.
pub(in crate::book) struct Mirror {
    pub(super) directory: PathBuf,
    cache_bytes: u64,
    store: Mutex<Option<SledStore>>,
    /// Held by whoever writes it or compares it, so that what is compared does not move.
    pub(super) turn: Mutex<()>,
    /// What was damaged and begun anew.
    pub(super) mended: Mutex<Vec<String>>,
}

impl fmt::Debug for Mirror {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Mirror").field("directory", &self.directory).finish_non_exhaustive()
    }
}

impl Mirror {
    pub(super) fn new(directory: &Path, cache_bytes: u64) -> Self {
        Self {
            directory: directory.to_owned(),
            cache_bytes,
            store: Mutex::new(None),
            turn: Mutex::default(),
            mended: Mutex::default(),
        }
    }

    /// Whether there is a store at all.
    pub(super) fn is_there(&self) -> bool {
        let store = store_of(&self.directory);
        ["db", "conf"].iter().any(|name| store.join(name).exists())
    }

    /// Uses the store, opening it if need be. sled panics on some damaged files and on a full disk: that too is an answer,
    /// and what panicked is not used again.
    pub(in crate::book) fn with<T>(
        &self,
        work: impl FnOnce(&SledStore) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let mut slot = self.store.lock();
        let used = catch_unwind(AssertUnwindSafe(|| {
            let store = match slot.take() {
                Some(store) => store,
                None => SledStore::open(&self.directory, self.cache_bytes)?,
            };
            // Not dropped while unwinding: sled would write.
            let store = slot.insert(store);
            work(store)
        }));
        used.unwrap_or_else(|panic| {
            let gone = slot.take();
            drop(catch_unwind(AssertUnwindSafe(|| drop(gone))));
            Err(self.damaged(&format!("the second copy's store failed: {}", words(panic.as_ref()))))
        })
    }

    pub(super) fn damaged(&self, what: &str) -> BookError {
        BookError::Damaged { what: what.to_owned(), names: Vec::new(), next: next_step(&self.directory) }
    }

    pub(super) fn is_led_by_a_journal(&self) -> Result<bool, BookError> {
        self.with(SledStore::is_led)
    }

    pub(super) fn load(&self) -> Result<Loaded, BookError> {
        self.with(SledStore::load)
    }

    pub(super) fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        self.with(|store| store.commits(span))
    }

    pub(super) fn progress(&self) -> Result<Option<Progress>, BookError> {
        self.with(SledStore::progress)
    }

    pub(super) fn try_body(&self, revision: Revision) -> Result<Option<Vec<u8>>, BookError> {
        self.with(|store| store.body(revision))
    }

    pub(super) fn tally(&self) -> Result<(Tally, Vec<String>), BookError> {
        self.with(SledStore::tally)
    }

    pub(super) fn take(&self, commits: &[Arc<PastCommit>], tally: Option<Tally>) -> Result<(), BookError> {
        self.with(|store| store.take(commits, tally))?;
        if let Some(last) = commits.last() {
            self.note(last.revision);
        }
        Ok(())
    }

    /// Notes beside sled's own files how far the store has come, so that opening the book need not open the store.
    pub(super) fn note(&self, revision: Revision) {
        let number = revision.get().to_be_bytes();
        let mut bytes = number.to_vec();
        bytes.extend(crc32fast::hash(&number).to_be_bytes());
        if let Err(cause) = std::fs::write(store_of(&self.directory).join(REACHED), bytes) {
            debug!(%cause, "how far the second copy has come was not noted; opening the book asks the store itself");
        }
    }

    /// How far the store had come when that was last noted; nothing when the note is not there or cannot be read.
    pub(super) fn noted(&self) -> Option<Revision> {
        let bytes = std::fs::read(store_of(&self.directory).join(REACHED)).ok()?;
        let (number, check) = bytes.split_first_chunk::<8>()?;
        (crc32fast::hash(number).to_be_bytes() == check).then(|| Revision::new(u64::from_be_bytes(*number)))
    }

    /// At least how far the store has come, by the note or by the store itself.
    pub(super) fn reached(&self) -> Option<Revision> {
        self.noted().or_else(|| self.newest())
    }

    /// Lets go of the store.
    pub(super) fn close(&self) {
        let gone = self.store.lock().take();
        let closed = catch_unwind(AssertUnwindSafe(|| {
            let synced = gone.as_ref().map_or(Ok(()), SledStore::sync);
            drop(gone);
            synced
        }));
        match closed {
            Ok(Ok(())) => {}
            Ok(Err(cause)) => warn!(%cause, "the second copy was not closed cleanly"),
            Err(panic) => warn!(why = words(panic.as_ref()), "the second copy was not closed cleanly"),
        }
    }

    /// Puts the store aside, so that a new one is begun.
    pub(super) fn put_aside(&self) -> std::io::Result<()> {
        self.close();
        let store = store_of(&self.directory);
        if !store.exists() {
            return Ok(());
        }
        let aside = self.directory.join(ASIDE);
        std::fs::create_dir_all(&aside)?;
        let count = std::fs::read_dir(&aside)?.count();
        std::fs::rename(&store, aside.join(format!("store.{count}")))
    }
}

fn words(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str).or_else(|| panic.downcast_ref::<&str>().copied());
    text.unwrap_or("no reason given")
}

impl SecondCopy for Mirror {
    fn newest(&self) -> Option<Revision> {
        if !self.is_there() {
            return None;
        }
        self.progress().ok().flatten().map(|progress| progress.revision)
    }

    fn body(&self, revision: Revision) -> Option<Vec<u8>> {
        if !self.is_there() {
            return None;
        }
        self.try_body(revision).ok().flatten()
    }

    fn names(&self, after: Revision, through: Revision) -> Vec<String> {
        if !self.is_there() {
            return Vec::new();
        }
        self.with(|store| Ok(store.names(after, through))).unwrap_or_default()
    }
}
