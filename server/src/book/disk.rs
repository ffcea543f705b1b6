//! What the journal needs of a disk, and the system's own files behind it.
//!
//! The journal touches its files through this trait alone, so that a simulated disk can drop, reorder and tear what was
//! not synced, and fail any call.

#[cfg(test)]
pub(super) mod simulated;

use std::fmt::Debug;
use std::fs::{self, File, OpenOptions};
use std::io;
use std::os::unix::fs::FileExt as _;
use std::path::Path;
use std::sync::Arc;

/// A directory tree that files live in.
pub(super) trait Disk: Send + Sync + Debug {
    /// Makes a directory if it is not there.
    fn create_dir(&self, path: &Path) -> io::Result<()>;

    /// Lists the names of the files in a directory; none when it is not there.
    fn list(&self, path: &Path) -> io::Result<Vec<String>>;

    /// Opens a file that is there for reading and writing.
    fn open(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>>;

    /// Makes an empty file, over one that may be there.
    fn create(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>>;

    /// Gives a file another name, over one that may bear it.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Takes a file away.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Makes the names in a directory durable.
    fn sync_dir(&self, path: &Path) -> io::Result<()>;
}

/// An open file.
pub(super) trait DiskFile: Send + Sync + Debug {
    /// Returns its length.
    fn size(&self) -> io::Result<u64>;

    /// Fills the buffer from an offset; shorter only at the end of the file.
    fn read_at(&self, bytes: &mut [u8], offset: u64) -> io::Result<usize>;

    /// Writes all bytes at an offset.
    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()>;

    /// Cuts or extends it.
    fn set_size(&self, size: u64) -> io::Result<()>;

    /// Makes its contents durable.
    fn sync(&self) -> io::Result<()>;
}

/// Reads a whole file.
pub(super) fn read_all(file: &dyn DiskFile) -> io::Result<Vec<u8>> {
    let size = usize::try_from(file.size()?).map_err(|_| io::Error::from(io::ErrorKind::FileTooLarge))?;
    let mut bytes = vec![0; size];
    let read = file.read_at(&mut bytes, 0)?;
    bytes.truncate(read);
    Ok(bytes)
}

/// Whether the system refused for want of room.
pub(super) fn is_full(cause: &io::Error) -> bool {
    matches!(cause.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge)
}

/// The system's files.
#[derive(Debug, Default)]
pub(super) struct SystemDisk;

#[derive(Debug)]
struct SystemFile(File);

impl Disk for SystemDisk {
    fn create_dir(&self, path: &Path) -> io::Result<()> {
        fs::create_dir_all(path)
    }

    fn list(&self, path: &Path) -> io::Result<Vec<String>> {
        let entries = match fs::read_dir(path) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            entries => entries?,
        };
        let mut names = Vec::new();
        for entry in entries {
            // A name that is not text is not one of ours.
            if let Ok(name) = entry?.file_name().into_string() {
                names.push(name);
            }
        }
        names.sort();
        Ok(names)
    }

    fn open(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>> {
        Ok(Arc::new(SystemFile(OpenOptions::new().read(true).write(true).open(path)?)))
    }

    fn create(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>> {
        let file = OpenOptions::new().read(true).write(true).create(true).truncate(true).open(path)?;
        Ok(Arc::new(SystemFile(file)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn sync_dir(&self, path: &Path) -> io::Result<()> {
        File::open(path)?.sync_all()
    }
}

impl DiskFile for SystemFile {
    fn size(&self) -> io::Result<u64> {
        Ok(self.0.metadata()?.len())
    }

    fn read_at(&self, bytes: &mut [u8], offset: u64) -> io::Result<usize> {
        let mut read = 0;
        while let Some(rest) = bytes.get_mut(read..).filter(|rest| !rest.is_empty()) {
            match self.0.read_at(rest, offset.saturating_add(read as u64)) {
                Ok(0) => break,
                Ok(more) => read += more,
                Err(cause) if cause.kind() == io::ErrorKind::Interrupted => {}
                Err(cause) => return Err(cause),
            }
        }
        Ok(read)
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        self.0.write_all_at(bytes, offset)
    }

    fn set_size(&self, size: u64) -> io::Result<()> {
        self.0.set_len(size)
    }

    fn sync(&self) -> io::Result<()> {
        self.0.sync_data()
    }
}
