//! The high-water mark: what the journal must at least hold, in two small files of their own.
//!
//! The mark is written after each group's `fdatasync`, so it never claims what is not durable; it is not itself synced at
//! each group, but now and then. One file takes all writes until it is synced, then the other one does: at any moment one
//! of them is on disk and whole. What a mark proves is that a journal which ends before it has lost something; after a
//! loss of power it may be some groups old, and the journal is then simply longer.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::base::{Base, Seal};
use super::frames::Chain;
use crate::book::disk::{Disk, DiskFile, read_all};
use crate::book::{Revision, Tally};

pub(super) const NAMES: [&str; 2] = ["mark-a", "mark-b"];
const MAGIC: &[u8; 13] = b"baybook mark\n";
const FORMAT: u8 = 1;
/// Of a journal with a base.
const FORMAT_BASED: u8 = 2;

/// What the journal held at some moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::book) struct HighWater {
    pub(in crate::book) revision: Revision,
    pub(in crate::book) tally: Tally,
    pub(in crate::book) chain: Chain,
    /// The seals of the bases that there may be: of the one in place, and of the one that is being put in its place. A base
    /// with another one was not written here. Nothing when there is none, or an earlier release wrote the mark.
    pub(in crate::book) seals: Option<[Seal; 2]>,
}

impl HighWater {
    pub(super) fn write(&self, count: u64) -> Vec<u8> {
        let mut out = MAGIC.to_vec();
        out.push(if self.seals.is_some() { FORMAT_BASED } else { FORMAT });
        out.extend(count.to_be_bytes());
        out.extend(self.revision.get().to_be_bytes());
        out.extend(self.tally.entries().to_be_bytes());
        out.extend(self.tally.digest().to_be_bytes());
        out.extend(self.chain);
        out.extend(self.seals.iter().flatten().flatten());
        let check = crc32fast::hash(&out);
        out.extend(check.to_be_bytes());
        out
    }

    pub(super) fn read(bytes: &[u8]) -> Option<(u64, Self)> {
        let (body, check) = bytes.split_last_chunk::<4>()?;
        (crc32fast::hash(body) == u32::from_be_bytes(*check)).then_some(())?;
        let (format, rest) = body.strip_prefix(MAGIC)?.split_first()?;
        let (count, rest) = rest.split_first_chunk::<8>()?;
        let (revision, rest) = rest.split_first_chunk::<8>()?;
        let (entries, rest) = rest.split_first_chunk::<8>()?;
        let (digest, rest) = rest.split_first_chunk::<16>()?;
        let (chain, rest) = rest.split_first_chunk::<32>()?;
        let seals = match (*format, rest.split_first_chunk::<32>()) {
            (FORMAT, None) if rest.is_empty() => None,
            (FORMAT_BASED, Some((old, new))) => Some([*old, new.try_into().ok()?]),
            _ => return None,
        };
        let tally = Tally::from_parts(u64::from_be_bytes(*entries), u128::from_be_bytes(*digest));
        let revision = Revision::new(u64::from_be_bytes(*revision));
        Some((u64::from_be_bytes(*count), Self { revision, tally, chain: *chain, seals }))
    }

    /// Whether a base may be there, as far as the mark can tell.
    pub(super) fn vouches_for(&self, base: &Base) -> bool {
        self.seals.is_none_or(|seals| seals.contains(&base.seal))
    }
}

/// What was found of the two files.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// The newest mark that can be read.
    pub(super) mark: Option<HighWater>,
    /// Files that are there and cannot be read.
    pub(super) unreadable: Vec<&'static str>,
    /// Files that are not there.
    pub(super) missing: Vec<&'static str>,
}

/// Reads both files.
pub(super) fn find(disk: &dyn Disk, directory: &Path) -> io::Result<Found> {
    let mut found = Found::default();
    let mut newest = None;
    for name in NAMES {
        let file = match disk.open(&directory.join(name)) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
                found.missing.push(name);
                continue;
            }
            file => file?,
        };
        match HighWater::read(&read_all(file.as_ref())?) {
            None => found.unreadable.push(name),
            Some((count, mark)) if newest.is_none_or(|newest| newest < count) => {
                newest = Some(count);
                found.mark = Some(mark);
            }
            Some(_) => {}
        }
    }
    Ok(found)
}

/// Writes marks.
#[derive(Debug)]
pub(super) struct MarkPair {
    files: [Arc<dyn DiskFile>; 2],
    /// Which one takes the writes; the other one is synced and whole.
    current: usize,
    count: u64,
    written: HighWater,
    synced: bool,
}

impl MarkPair {
    /// Writes a mark into both files, one after the other, each synced before the next is touched.
    pub(super) fn settle(disk: &dyn Disk, directory: &Path, mark: HighWater) -> io::Result<Self> {
        let found = find(disk, directory)?;
        // Files that can be read are overwritten last: one of them is whole at any moment.
        let mut order = NAMES;
        if found.unreadable.contains(&order[1]) || found.missing.contains(&order[1]) {
            order.reverse();
        }
        let mut count = newest_count(disk, directory)?;
        for name in order {
            count = count.saturating_add(1);
            let path: PathBuf = directory.join(name);
            let file = match disk.open(&path) {
                Err(cause) if cause.kind() == io::ErrorKind::NotFound => disk.create(&path)?,
                file => file?,
            };
            let bytes = mark.write(count);
            file.write_at(&bytes, 0)?;
            file.set_size(bytes.len() as u64)?;
            file.sync()?;
            disk.sync_dir(directory)?;
        }
        let files = [disk.open(&directory.join(NAMES[0]))?, disk.open(&directory.join(NAMES[1]))?];
        Ok(Self { files, current: 0, count, written: mark, synced: true })
    }

    /// The last mark written.
    pub(super) const fn written(&self) -> HighWater {
        self.written
    }

    /// Writes a mark; it becomes durable at the next [`MarkPair::sync`], or when the system pleases.
    pub(super) fn write(&mut self, mark: HighWater) -> io::Result<()> {
        self.count = self.count.saturating_add(1);
        self.synced = false;
        self.files[self.current].write_at(&mark.write(self.count), 0)?;
        self.written = mark;
        Ok(())
    }

    /// Makes the last mark durable and turns to the other file.
    pub(super) fn sync(&mut self) -> io::Result<()> {
        if self.synced {
            return Ok(());
        }
        self.files[self.current].sync()?;
        self.current = 1 - self.current;
        self.synced = true;
        Ok(())
    }
}

fn newest_count(disk: &dyn Disk, directory: &Path) -> io::Result<u64> {
    let mut newest = 0;
    for name in NAMES {
        match disk.open(&directory.join(name)) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => {}
            file => {
                let read = HighWater::read(&read_all(file?.as_ref())?);
                newest = newest.max(read.map_or(0, |(count, _)| count));
            }
        }
    }
    Ok(newest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::disk::SystemDisk;

    fn mark(revision: u64) -> HighWater {
        HighWater { revision: Revision::new(revision), tally: Tally::from_parts(3, 9), chain: [5; 32], seals: None }
    }

    #[test]
    fn no_altered_mark_is_read() {
        for mark in [mark(7), HighWater { seals: Some([[1; 32], [2; 32]]), ..mark(7) }] {
            let bytes = mark.write(3);
            assert_eq!(HighWater::read(&bytes), Some((3, mark)));
            for at in 0..bytes.len() {
                for bit in 0..8 {
                    let mut altered = bytes.clone();
                    altered[at] ^= 1 << bit;
                    assert_eq!(HighWater::read(&altered), None);
                }
                assert_eq!(HighWater::read(&bytes[..at]), None);
            }
            assert_eq!(HighWater::read(&[&bytes[..], &[0]].concat()), None);
        }
    }

    #[test]
    fn one_file_is_whole_whatever_becomes_of_the_other() {
        let directory = tempfile::tempdir().unwrap();
        let mut pair = MarkPair::settle(&SystemDisk, directory.path(), mark(1)).unwrap();
        for revision in 2..8 {
            pair.write(mark(revision)).unwrap();
            if revision % 3 == 0 {
                pair.sync().unwrap();
            }
            let found = find(&SystemDisk, directory.path()).unwrap();
            assert_eq!((found.mark, found.unreadable.len(), found.missing.len()), (Some(mark(revision)), 0, 0));
            // What takes the writes is torn: the other one still tells what was synced last.
            let torn = directory.path().join(NAMES[pair.current]);
            let whole = std::fs::read(&torn).unwrap();
            std::fs::write(&torn, &whole[..40]).unwrap();
            let found = find(&SystemDisk, directory.path()).unwrap();
            assert!(
                found.mark.unwrap().revision
                    >= Revision::new(if pair.synced { revision } else { revision / 3 * 3 }.max(1))
            );
            assert_eq!(found.unreadable.len(), 1);
            std::fs::write(&torn, whole).unwrap();
        }
    }
}
