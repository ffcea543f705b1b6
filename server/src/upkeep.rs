//! What keeps the book from being lost: backups and the scrub, and what is remembered of them.

pub mod backups;
pub mod scrub;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use parking_lot::RwLock;

use crate::book::Book;
use crate::config::Config;
use backups::LastBackup;
use scrub::LastVerify;

/// What is remembered of the book's upkeep.
#[derive(Debug)]
pub struct Upkeep {
    /// The folder that backups go into.
    backup_dir: PathBuf,
    /// One backup at a time.
    backing_up: Arc<tokio::sync::Mutex<()>>,
    last_backup: RwLock<Option<LastBackup>>,
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
        Self {
            backup_dir: config.backup_dir.clone(),
            backing_up: Arc::default(),
            last_backup: RwLock::new(backups::remembered(book)),
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

    /// Returns the last backup that was verified, by this run or an earlier one.
    #[must_use]
    pub fn last_backup(&self) -> Option<LastBackup> {
        self.last_backup.read().clone()
    }
}
