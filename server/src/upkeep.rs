//! What keeps the book from being lost: backups and the scrub, and what is remembered of them.

pub mod backups;
pub mod old;
pub mod scrub;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use parking_lot::{Mutex, RwLock};

use crate::book::Book;
use crate::config::{Config, EngineKind};
use backups::LastBackup;
use old::Shelf;
use scrub::LastVerify;

/// What is remembered of the book's upkeep.
#[derive(Debug)]
pub struct Upkeep {
    /// The folder that backups go into.
    backup_dir: PathBuf,
    /// One backup at a time.
    backing_up: Arc<tokio::sync::Mutex<()>>,
    last_backup: RwLock<Option<LastBackup>>,
    /// The backups that this service wrote; nothing before they were looked for.
    shelf: Mutex<Shelf>,
    /// How many of them are kept; 0 for all.
    keep_backups: usize,
    /// How many were taken away by this run.
    taken_away: AtomicU64,
    /// How often everything on disk is read again.
    scrub_every: Duration,
    /// One reading at a time.
    verifying: tokio::sync::Mutex<()>,
    last_verify: RwLock<Option<LastVerify>>,
}

impl Upkeep {
    /// Reads what an earlier run remembered in the book.
    #[must_use]
    pub fn open(config: &Config, book: &dyn Book) -> Self {
        let remembered = backups::remembered(book);
        let (last, shelf) = remembered.map_or((None, None), |it| (Some(it.last), it.shelf));
        let data_dir = if config.engine == EngineKind::Memory { PathBuf::new() } else { config.data_dir.clone() };
        let mut shelf = Shelf::taken_up(shelf, &data_dir, &config.backup_dir);
        shelf.put(None);
        Self {
            backup_dir: config.backup_dir.clone(),
            backing_up: Arc::default(),
            last_backup: RwLock::new(last),
            shelf: Mutex::new(shelf),
            keep_backups: usize::try_from(config.keep_backups).unwrap_or(0),
            taken_away: AtomicU64::new(0),
            scrub_every: config.scrub_every,
            verifying: tokio::sync::Mutex::default(),
            last_verify: RwLock::default(),
        }
    }

    /// Returns the last time everything on disk was read again by this run, for whatever reason.
    #[must_use]
    pub fn last_verify(&self) -> Option<LastVerify> {
        *self.last_verify.read()
    }

    /// Returns how many backups there are that this service wrote, their bytes, and how many are kept (0 for all).
    #[must_use]
    pub fn backups(&self) -> (usize, u64, usize) {
        let shelf = self.shelf.lock();
        (shelf.written.len(), shelf.bytes(), self.keep_backups)
    }

    /// Returns how many old backups this run has taken away.
    #[must_use]
    pub fn backups_taken_away(&self) -> u64 {
        self.taken_away.load(Ordering::Relaxed)
    }

    /// Returns the last backup that was verified, by this run or an earlier one.
    #[must_use]
    pub fn last_backup(&self) -> Option<LastBackup> {
        self.last_backup.read().clone()
    }
}
