//! One process at a time: a lock on a file in the data directory.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

use super::error::BookError;

/// Holds the data directory until it is dropped or the process ends, however it ends.
#[derive(Debug)]
pub(super) struct DirectoryLock {
    file: File,
}

impl DirectoryLock {
    /// Takes the lock, or says who is in the way.
    pub(super) fn take(directory: &Path) -> Result<Self, BookError> {
        let path = directory.join("lock");
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|cause| BookError::io("open", &path, &cause))?;
        match file.try_lock() {
            Ok(()) => Ok(Self { file }),
            Err(TryLockError::WouldBlock) => Err(BookError::InUse {
                directory: directory.display().to_string(),
                next: "stop the other process, or reach it as a server instead of opening its data directory"
                    .to_owned(),
            }),
            Err(TryLockError::Error(cause)) => Err(BookError::io("lock", &path, &cause)),
        }
    }
}

impl Drop for DirectoryLock {
    /// Gives the lock back by name: merely closing the file would leave it with any process that is just being started and
    /// still holds a copy of it.
    fn drop(&mut self) {
        if let Err(cause) = self.file.unlock() {
            tracing::warn!(%cause, "the data directory's lock was not given back; it goes with the process");
        }
    }
}
