//! The file that keeps a feed's place from one run to the next.

use std::{
    fs::{self, File},
    io::{self, Write as _},
    path::{Path, PathBuf},
};

use crate::fail::{Failure, Stop};

/// The longest cursor that is taken from a file.
const MOST_BYTES: u64 = 256;

/// A cursor on disk: one line, replaced as a whole.
pub struct CursorFile {
    path: PathBuf,
    cursor: Option<String>,
}

impl CursorFile {
    /// Reads the file; one that is not there is begun with the first cursor.
    pub fn open(path: &Path) -> Result<Self, Stop> {
        let cursor = match fs::metadata(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(Failure::file("read", path, &error).into()),
            Ok(about) if !about.is_file() || about.len() > MOST_BYTES => return Err(Self::strange(path)),
            Ok(_) => {
                let text = fs::read_to_string(path).map_err(|error| match error.kind() {
                    io::ErrorKind::InvalidData => Self::strange(path),
                    _ => Failure::file("read", path, &error).into(),
                })?;
                let cursor = text.trim();
                if cursor.is_empty() || cursor.contains(|c: char| c.is_whitespace() || c.is_control()) {
                    return Err(Self::strange(path));
                }
                Some(cursor.to_owned())
            }
        };
        Ok(Self { path: path.to_owned(), cursor })
    }

    fn strange(path: &Path) -> Stop {
        Failure::usage("the cursor file cannot be used")
            .at(format!("--cursor-file {}", path.display()), "it holds something else than one cursor")
            .next("name another file, or remove this one and begin anew with --from start")
            .into()
    }

    /// Returns where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns the cursor it holds.
    pub fn cursor(&self) -> Option<&str> {
        self.cursor.as_deref()
    }

    /// Replaces the cursor: at every moment the file holds the old one or the new one, whole.
    pub fn write(&mut self, cursor: &str) -> Result<(), Stop> {
        if self.cursor.as_deref() == Some(cursor) {
            return Ok(());
        }
        let mut name = self.path.file_name().unwrap_or_default().to_owned();
        name.push(".new");
        let new = self.path.with_file_name(name);
        let write = || {
            let mut file = File::create(&new)?;
            file.write_all(format!("{cursor}\n").as_bytes())?;
            file.sync_data()?;
            fs::rename(&new, &self.path)
        };
        write().map_err(|error| Failure::file("written", &self.path, &error))?;
        self.cursor = Some(cursor.to_owned());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_is_kept_from_one_run_to_the_next() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("feed.cursor");
        let mut file = CursorFile::open(&path).unwrap();
        assert_eq!(file.cursor(), None);
        for cursor in ["1.2.aa", "2.3.bb"] {
            file.write(cursor).unwrap();
            assert_eq!(CursorFile::open(&path).unwrap().cursor(), Some(cursor));
        }
        // What a crash left behind is no obstacle.
        fs::write(folder.path().join("feed.cursor.new"), "half").unwrap();
        file.write("3.4.cc").unwrap();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_is_no_cursor_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("feed.cursor");
        for bytes in [&b""[..], b"\n", b"one two\n", b"\xff\xfe", &[b'1'; 300]] {
            fs::write(&path, bytes).unwrap();
            assert!(
                matches!(CursorFile::open(&path), Err(Stop::Failure(failure)) if failure.what.contains("cursor file"))
            );
        }
        assert!(CursorFile::open(folder.path()).is_err());
    }
}
