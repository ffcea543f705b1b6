//! The journal, its second copy and its ballast in a data directory, as the engine that the book is kept by.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::Ordering;

use parking_lot::Mutex;

use super::behind::MirrorThread;
use super::copy::SecondCopy as _;
use super::mirror::Mirror;
use super::recover::next_step;
use super::{Journal, OpenedJournal, backup, ballast, migrate};
use crate::book::bounds::Bounds;
use crate::book::disk::{Disk, SystemDisk};
use crate::book::engine::{Engine, Failed, Group, Loaded, Span, TakeRecord};
use crate::book::error::BookError;
use crate::book::horizon::{Condensed, Hold, Horizon};
use crate::book::lock::DirectoryLock;
use crate::book::record::{Known, Name, Past, PastCommit, StoredAnswer, Verified};
use crate::measure::Timing;

/// Keeps the book in a data directory: the journal, and the thread that writes the second copy.
#[derive(Debug)]
pub(in crate::book) struct JournalEngine {
    journal: Arc<Journal>,
    loaded: Mutex<Option<Loaded>>,
    mirror: Mutex<Option<MirrorThread>>,
    /// The second copy itself, for whoever must not wait for the one above.
    copy: Arc<Mirror>,
    /// What was mended at open and since.
    mended: Mutex<Vec<String>>,
    /// Released last.
    lock: Mutex<Option<DirectoryLock>>,
}

impl JournalEngine {
    pub(in crate::book) fn open(directory: &Path, bounds: &Bounds) -> Result<Self, BookError> {
        std::fs::create_dir_all(directory).map_err(|cause| BookError::io("create", directory, &cause))?;
        let lock = DirectoryLock::take(directory)?;
        backup::refuse_half_restored(directory)?;
        let disk: Arc<dyn Disk> = Arc::new(SystemDisk);
        let mirror = Arc::new(Mirror::new(directory, bounds));
        let opened = ballast::with_room(disk.as_ref(), directory, || {
            migrate::bring_over(&disk, directory, &mirror, bounds)?;
            Journal::open(Arc::clone(&disk), directory, mirror.as_ref(), bounds)
        })?;
        let OpenedJournal { journal, loaded, mended } = opened;
        for what in &mended {
            tracing::warn!(directory = %directory.display(), "{what}");
        }
        if let Some(newest) = mirror.reached().filter(|newest| *newest > loaded.revision) {
            let what = format!(
                "the journal ends at revision {} and the second copy holds commits through {newest}: the journal is older than it \
                 was",
                loaded.revision
            );
            return Err(BookError::Damaged {
                what,
                names: mirror.names(loaded.revision, newest),
                next: next_step(directory),
            });
        }
        ballast::restore(disk.as_ref(), directory);
        let journal = Arc::new(journal);
        let thread = MirrorThread::start(Arc::clone(&journal), Arc::clone(&mirror), bounds.copy_pause)
            .map_err(|cause| BookError::io("start the second copy's thread for", directory, &cause))?;
        Ok(Self {
            journal,
            loaded: Mutex::new(Some(loaded)),
            mirror: Mutex::new(Some(thread)),
            copy: mirror,
            mended: Mutex::new(mended),
            lock: Mutex::new(Some(lock)),
        })
    }
}

impl Engine for JournalEngine {
    fn load(&self) -> Result<Loaded, BookError> {
        self.loaded.lock().take().ok_or(BookError::Closed)
    }

    fn append(&self, group: &Group<'_>) -> Result<(), Failed> {
        self.journal.append(group)
    }

    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        self.journal.commits(span)
    }

    fn horizon(&self) -> Horizon {
        self.journal.base().horizon
    }

    fn hold(&self) -> Hold {
        Hold::new(self.journal.pins.read())
    }

    fn condensed(&self, take: TakeRecord<'_>) -> Result<Condensed, BookError> {
        self.journal.old_entries(take)
    }

    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError> {
        self.journal.history(name, span)
    }

    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError> {
        self.journal.answer(id)
    }

    fn verify(&self, known: Option<Known>) -> Result<Verified, BookError> {
        let slot = self.mirror.lock();
        let Some(thread) = slot.as_ref() else { return Err(BookError::Closed) };
        let mut earlier = self.mended.lock().clone();
        let mut verified = self.journal.verify_and_mend(known, thread.mirror().as_ref())?;
        if verified.damages.iter().all(|damage| damage.mended) {
            thread.verify(&self.journal, &mut verified);
        }
        self.mended.lock().extend(verified.damages.iter().filter(|it| it.mended).map(|it| it.what.clone()));
        ballast::restore(self.journal.disk.as_ref(), &self.journal.directory);
        // Looked at last: what the second copy's thread mended while all was being read must not go unsaid.
        earlier.extend(thread.mirror().mended.lock().iter().cloned());
        verified.mended = earlier;
        verified.refused = self.journal.refusal.get().cloned();
        Ok(verified)
    }

    fn syncs(&self) -> Option<&Timing> {
        Some(&self.journal.syncs)
    }

    fn close(&self) -> Result<(), BookError> {
        self.journal.closing.store(true, Ordering::Relaxed);
        self.copy.hasten();
        if let Some(mirror) = self.mirror.lock().take() {
            mirror.end();
        }
        let directory = &self.journal.directory;
        let synced = self.journal.sync_mark().map_err(|cause| BookError::io("sync the marks of", directory, &cause));
        drop(self.lock.lock().take());
        synced
    }
}
