//! Old backups: how many are kept, and which ones may be taken away.
//!
//! Only a file goes that this service wrote from this data directory into this folder, that it verified then, and that is
//! still what it wrote; the newest one never goes. The book remembers which those are. A copy, a file that was changed, one
//! of another book or of before the book was brought back from a backup is nobody's to take away but the shop's.

use std::fs;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::backups::LastBackup;
use crate::book::backup;

/// So many are remembered at most, and so many may be kept by number: the record must fit into the book.
pub const REMEMBERED: usize = 400;

/// A backup that was written and verified.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// Its name within the folder.
    pub name: String,
    /// When it was begun, in microseconds since the Unix epoch.
    pub time: i64,
    /// Its size.
    pub bytes: u64,
}

impl Written {
    /// What is remembered of a backup; nothing for a file whose name is no text.
    pub(super) fn of(backup: &LastBackup) -> Option<Self> {
        let name = Path::new(&backup.file).file_name()?.to_str()?.to_owned();
        Some(Self { name, time: backup.time, bytes: backup.bytes })
    }

    /// Whether the file is there and is still what was written, as far as its size and its head tell.
    fn stands(&self, folder: &Path) -> bool {
        // A name with a way in it was not written here.
        let plain = Path::new(&self.name).components().count() == 1;
        let path = folder.join(&self.name);
        let size = fs::symlink_metadata(&path).ok().filter(fs::Metadata::is_file).map(|about| about.len());
        plain && size == Some(self.bytes) && backup::begun(&path).is_some_and(|time| time.micros() == self.time)
    }
}

/// The backups that this service wrote, newest first, and where.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shelf {
    /// The data directory whose book they hold.
    pub data_dir: PathBuf,
    /// The folder they lie in.
    pub folder: PathBuf,
    /// They themselves, newest first.
    #[serde(default)]
    pub written: Vec<Written>,
}

impl Shelf {
    /// The shelf of a book in a data directory and a folder; empty when what was remembered is of others.
    pub(super) fn taken_up(remembered: Option<Self>, data_dir: &Path, folder: &Path) -> Self {
        let real = |path: &Path| fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let (data_dir, folder) = (real(data_dir), real(folder));
        remembered.filter(|shelf| (&shelf.data_dir, &shelf.folder) == (&data_dir, &folder)).unwrap_or(Self {
            data_dir,
            folder,
            written: Vec::new(),
        })
    }

    /// Puts the newest backup onto it, and forgets those that are gone or are no longer what was written.
    pub(super) fn put(&mut self, newest: Option<Written>) {
        let folder = self.folder.clone();
        self.written.retain(|one| one.stands(&folder));
        if let Some(newest) = newest {
            self.written.retain(|one| one.name != newest.name);
            self.written.insert(0, newest);
        }
        self.written.truncate(REMEMBERED);
    }

    /// Those that are beyond how many are kept; 0 keeps all, and the newest one always stays.
    pub(super) fn beyond(&self, keep: usize) -> &[Written] {
        if keep == 0 { &[] } else { self.written.get(keep..).unwrap_or_default() }
    }

    /// Takes away what is beyond how many are kept; returns how many went. What cannot be taken away stays on the shelf and
    /// is tried again after the next backup.
    pub(super) fn take_away(&mut self, keep: usize) -> usize {
        let folder = self.folder.clone();
        let gone: Vec<Written> = self.beyond(keep).iter().filter(|one| taken_away(&folder, one)).cloned().collect();
        self.written.retain(|one| !gone.contains(one));
        gone.len()
    }

    /// How many bytes they take.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.written.iter().map(|one| one.bytes).sum()
    }
}

fn taken_away(folder: &Path, one: &Written) -> bool {
    // Looked at again: somebody else may have put another file there.
    if !one.stands(folder) {
        return false;
    }
    let path = folder.join(&one.name);
    match fs::remove_file(&path).and_then(|()| fs::File::open(folder)?.sync_all()) {
        Ok(()) => {
            tracing::info!(file = %path.display(), "an old backup was taken away");
            true
        }
        Err(cause) => {
            tracing::warn!(%cause, file = %path.display(), "an old backup could not be taken away");
            !path.exists()
        }
    }
}
