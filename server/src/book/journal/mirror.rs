//! The second copy of all commits, in sled, guarded against what sled is known to do on damaged files and full disks.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};

use parking_lot::Mutex;
use tracing::{debug, warn};

use super::Journal;
use super::apart::{Answer, Patience, StoreThread};
use super::copy::SecondCopy;
use super::recover::next_step;
use crate::book::bounds::Bounds;
use crate::book::engine::{Loaded, Span};
use crate::book::error::BookError;
use crate::book::horizon::Condensed;
use crate::book::record::{PastCommit, Record};
use crate::book::sled::{Progress, SledStore, store_of};
use crate::book::{Revision, Tally};

pub(super) const ASIDE: &str = "damaged";
const REACHED: &str = "reached";
/// How many entries are taken in at once.
const PORTION: usize = 512;
/// How long a store that panicked is waited for.
const LETTING_GO: Duration = Duration::from_secs(1);
/// How often a store may leave its callers without an answer before no other one is begun: sled's threads are then of no
/// use any more in this process.
const SILENT: u32 = 2;

/// The second copy.
pub(in crate::book) struct Mirror {
    pub(super) directory: PathBuf,
    cache_bytes: u64,
    patience: Duration,
    /// How long closing the book waits for the store at most, all in all.
    closing: Duration,
    store: Mutex<Option<StoreThread>>,
    /// How many stores did not answer.
    silent: AtomicU32,
    /// The one that is there did not; nobody asks it again.
    hangs: AtomicBool,
    /// Until when anybody waits for the store, once the book is being closed.
    until: Mutex<Option<Instant>>,
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
    pub(super) fn new(directory: &Path, bounds: &Bounds) -> Self {
        Self {
            directory: directory.to_owned(),
            cache_bytes: bounds.cache_bytes,
            patience: bounds.store_patience,
            closing: bounds.store_closing,
            store: Mutex::new(None),
            silent: AtomicU32::new(0),
            hangs: AtomicBool::new(false),
            until: Mutex::default(),
            turn: Mutex::default(),
            mended: Mutex::default(),
        }
    }

    /// Whether there is a store at all.
    pub(super) fn is_there(&self) -> bool {
        let store = store_of(&self.directory);
        ["db", "conf"].iter().any(|name| store.join(name).exists())
    }

    /// Uses the store, opening it if need be. sled panics on some damaged files and on a full disk, and sometimes never
    /// comes back: each is an answer too, and a store that gave it is not used again.
    pub(in crate::book) fn with<T: Send + 'static>(
        &self,
        work: impl FnOnce(&SledStore) -> Result<T, BookError> + Send + 'static,
    ) -> Result<T, BookError> {
        let mut slot = self.store.lock();
        if self.hangs.load(Ordering::Relaxed) {
            return Err(self.no_answer());
        }
        let mut thread = match slot.take() {
            Some(thread) => thread,
            None => StoreThread::start(self.directory.clone(), self.cache_bytes)
                .map_err(|cause| BookError::io("start the second copy's thread for", &self.directory, &cause))?,
        };
        match thread.ask(work, self.patience()) {
            Answer::Given(result) => {
                *slot = Some(thread);
                result
            }
            Answer::Panicked(why) => {
                // It is waited for a little, so that the next store finds the files free.
                drop(thread.end(Patience { most: LETTING_GO, ..self.patience() }));
                Err(self.damaged(&format!("the second copy's store failed: {why}")))
            }
            Answer::Silent => {
                self.leave_behind();
                Err(self.no_answer())
            }
        }
    }

    fn leave_behind(&self) {
        self.silent.fetch_add(1, Ordering::Relaxed);
        self.hangs.store(true, Ordering::Relaxed);
    }

    fn no_answer(&self) -> BookError {
        BookError::Damaged {
            what: format!("the store in {} does not answer", self.directory.display()),
            names: Vec::new(),
            next:
                "the journal is whole: the second copy is begun anew, at the latest when the service is started again"
                    .to_owned(),
        }
    }

    fn patience(&self) -> Patience<'_> {
        Patience { most: self.patience, until: &self.until }
    }

    /// From now on nobody waits for the store much longer.
    pub(super) fn hasten(&self) {
        self.until.lock().get_or_insert_with(|| Instant::now() + self.closing);
    }

    /// Whether the book is being closed.
    pub(super) fn is_hastened(&self) -> bool {
        self.until.lock().is_some()
    }

    /// Whether so many stores did not answer that none is asked any more.
    pub(super) fn is_without_answer(&self) -> bool {
        self.silent.load(Ordering::Relaxed) >= SILENT
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
        self.with(move |store| store.commits(span))
    }

    pub(super) fn progress(&self) -> Result<Option<Progress>, BookError> {
        self.with(SledStore::progress)
    }

    pub(super) fn try_body(&self, revision: Revision) -> Result<Option<Vec<u8>>, BookError> {
        self.with(move |store| store.body(revision))
    }

    pub(super) fn tally(&self) -> Result<(Tally, Vec<String>), BookError> {
        self.with(SledStore::tally)
    }

    pub(super) fn take(&self, commits: &[Arc<PastCommit>], tally: Option<Tally>) -> Result<(), BookError> {
        let own = commits.to_vec();
        self.with(move |store| store.take(&own, tally))?;
        if let Some(last) = commits.last() {
            self.note(last.revision);
        }
        Ok(())
    }

    /// Begins an empty store with what the journal has let go of.
    pub(super) fn take_base(&self, journal: &Journal) -> Result<Condensed, BookError> {
        let mut portion: Vec<Record> = Vec::with_capacity(PORTION);
        let mut failed = None;
        let give = |portion: &mut Vec<Record>| {
            let records = std::mem::take(portion);
            self.with(move |store| store.take_entries(&records))
        };
        let base = journal.old_entries(&mut |record| {
            portion.push(record);
            if portion.len() < PORTION {
                return Ok(());
            }
            if self.is_hastened() {
                return Err(std::io::ErrorKind::Interrupted.into());
            }
            give(&mut portion).map_err(|why| {
                let text = why.to_string();
                failed.get_or_insert(why);
                std::io::Error::other(text)
            })
        });
        if let Some(why) = failed {
            return Err(why);
        }
        let base = base?;
        give(&mut portion)?;
        let progress = Progress { revision: base.revision(), tally: Some(base.tally) };
        self.with(move |store| store.follow(progress))?;
        self.note(base.revision());
        Ok(base)
    }

    /// Lets go of the commits before a revision.
    pub(super) fn forget(&self, before: Revision) -> Result<(), BookError> {
        let mut more = before > Revision::ZERO;
        // What is left when the book is closed goes after the next start.
        while more && !self.is_hastened() {
            more = self.with(move |store| store.forget(before))?;
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
        let Some(thread) = self.store.lock().take() else { return };
        match thread.end(self.patience()) {
            Some(Ok(())) => {}
            Some(Err(why)) => warn!(why, "the second copy was not closed cleanly"),
            None => {
                self.leave_behind();
                warn!("the second copy's store does not come to an end; it is left behind");
            }
        }
    }

    /// Puts the store aside, so that a new one is begun.
    pub(super) fn put_aside(&self) -> std::io::Result<()> {
        self.close();
        let store = store_of(&self.directory);
        if !store.exists() {
            self.hangs.store(false, Ordering::Relaxed);
            return Ok(());
        }
        let aside = self.directory.join(ASIDE);
        std::fs::create_dir_all(&aside)?;
        let count = std::fs::read_dir(&aside)?.count();
        std::fs::rename(&store, aside.join(format!("store.{count}")))?;
        self.hangs.store(false, Ordering::Relaxed);
        Ok(())
    }
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
        self.with(move |store| Ok(store.names(after, through))).unwrap_or_default()
    }
}
