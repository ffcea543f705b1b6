//! What keeps the book from being lost: backups, and what is remembered of them.

pub mod backups;

use std::path::PathBuf;
use std::sync::Arc;

use parking_lot::RwLock;

use crate::book::Book;
use backups::LastBackup;

/// What is remembered of the book's upkeep.
#[derive(Debug)]
pub struct Upkeep {
    /// The folder that backups go into.
    backup_dir: PathBuf,
    /// One backup at a time.
    backing_up: Arc<tokio::sync::Mutex<()>>,
    last_backup: RwLock<Option<LastBackup>>,
}

impl Upkeep {
    /// Reads what an earlier run remembered in the book.
    #[must_use]
    pub fn open(backup_dir: PathBuf, book: &dyn Book) -> Self {
        Self { backup_dir, backing_up: Arc::default(), last_backup: RwLock::new(backups::remembered(book)) }
    }

    /// Returns the last backup that was verified, by this run or an earlier one.
    #[must_use]
    pub fn last_backup(&self) -> Option<LastBackup> {
        self.last_backup.read().clone()
    }
}
