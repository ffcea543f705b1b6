//! Some room kept back, so that the book opens on a disk that is full.

use std::io;
use std::path::Path;

use crate::book::disk::{Disk, is_full};
use crate::book::error::BookError;

const NAME: &str = "ballast";
const BYTES: usize = 1 << 20;

/// Does what opening needs; when there is no room for it, gives the ballast up and tries once more.
pub(super) fn with_room<T>(
    disk: &dyn Disk,
    directory: &Path,
    work: impl Fn() -> Result<T, BookError>,
) -> Result<T, BookError> {
    let first = work();
    match &first {
        Err(BookError::Io { full: true, .. }) => {}
        _ => return first,
    }
    match disk.remove(&directory.join(NAME)) {
        Ok(()) => {
            tracing::warn!("the disk is full: the ballast was given up so that the book opens");
            work()
        }
        Err(_) => first,
    }
}

/// Puts the ballast back when there is room for it.
pub(super) fn restore(disk: &dyn Disk, directory: &Path) {
    let path = directory.join(NAME);
    let put = || -> io::Result<()> {
        if let Ok(file) = disk.open(&path)
            && file.size()? == BYTES as u64
        {
            return Ok(());
        }
        let file = disk.create(&path)?;
        // Not zeros, nor anything else that a file system might store as less than it is.
        let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
        let mut bytes = Vec::with_capacity(BYTES);
        while bytes.len() < BYTES {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            bytes.extend(seed.to_be_bytes());
        }
        file.write_at(&bytes, 0)?;
        file.sync()
    };
    if let Err(cause) = put() {
        if is_full(&cause) {
            // Half a ballast would only take the room that is needed.
            drop(disk.remove(&path));
        }
        tracing::warn!(%cause, "there is no room for the ballast: the book may not open if the disk stays full");
    }
}

/// Whether a book has been in this directory.
pub(super) fn is_there(disk: &dyn Disk, directory: &Path) -> bool {
    disk.open(&directory.join(NAME)).is_ok()
}
