//! What the journal has let go of, condensed: every entry as it stood after the last commit that is gone.
//!
//! ```text
//! "baybook base\n" | format (1)
//! for each entry: length of the record (4, never 0) | the record, as the second copy keeps it under the entry's key
//! 0 (4) | revision (8) | its time (8) | entries (8) | their digest (16) | chain (32) | SHA-256 of all before it (32)
//! ```
//!
//! It lies in the journal's folder twice, because the second copy keeps the newest state of an entry and no older one.
//! Each file is put in its place by one rename; the files of the journal that it stands for are taken away only once both
//! are there. Numbers are big-endian.

use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::sync::Arc;

use sha2::{Digest as _, Sha256};

use super::frames::Chain;
use crate::book::disk::{Disk, DiskFile};
use crate::book::horizon::Horizon;
use crate::book::record::{Moment, Record};
use crate::book::{Revision, Tally, frame};

/// The digest that a base ends with.
pub(super) type Seal = [u8; 32];
/// Where the journal begins.
pub(super) use crate::book::horizon::Condensed as Base;

pub(super) const NAMES: [&str; 2] = ["base-a", "base-b"];
const MAGIC: &[u8; 13] = b"baybook base\n";
const FORMAT: u8 = 1;
/// A record is far smaller; a length beyond it is not one that was written.
const RECORD_BYTES_MAX: u32 = 16 << 20;
const BUFFER_BYTES: usize = 1 << 20;
/// What comes after the last record, but for its digest.
const END_BYTES: usize = 8 + 8 + 8 + 16 + 32;

fn write_end(base: &Base) -> Vec<u8> {
    let mut out = 0_u32.to_be_bytes().to_vec();
    out.extend(base.horizon.revision.get().to_be_bytes());
    out.extend(base.horizon.time.micros().to_be_bytes());
    out.extend(base.tally.entries().to_be_bytes());
    out.extend(base.tally.digest().to_be_bytes());
    out.extend(base.chain);
    out
}

fn read_end(bytes: &[u8]) -> Option<Base> {
    let (revision, rest) = bytes.split_first_chunk::<8>()?;
    let (time, rest) = rest.split_first_chunk::<8>()?;
    let (entries, rest) = rest.split_first_chunk::<8>()?;
    let (digest, chain) = rest.split_first_chunk::<16>()?;
    let time = Moment::from_micros(i64::from_be_bytes(*time));
    Some(Base {
        horizon: Horizon { revision: Revision::new(u64::from_be_bytes(*revision)), time },
        tally: Tally::from_parts(u64::from_be_bytes(*entries), u128::from_be_bytes(*digest)),
        chain: chain.try_into().ok()?,
        seal: Seal::default(),
    })
}

/// Writes a base, record by record.
pub(super) struct Writer<W> {
    out: W,
    hash: Sha256,
    tally: Tally,
}

impl<W: Write> Writer<W> {
    pub(super) fn begin(out: W) -> io::Result<Self> {
        let mut writer = Self { out, hash: Sha256::new(), tally: Tally::default() };
        writer.put(MAGIC)?;
        writer.put(&[FORMAT])?;
        Ok(writer)
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.hash.update(bytes);
        self.out.write_all(bytes)
    }

    pub(super) fn record(&mut self, record: &Record) -> io::Result<()> {
        let bytes = frame::write_record(&frame::entry_key(&record.name), record);
        self.tally.add(record);
        // Bounds keep a record far below four gibibytes.
        self.put(&u32::try_from(bytes.len()).unwrap_or(u32::MAX).to_be_bytes())?;
        self.put(&bytes)
    }

    /// Ends it, and returns what it says.
    pub(super) fn end(mut self, horizon: Horizon, chain: Chain) -> io::Result<(Base, W)> {
        let mut base = Base { horizon, tally: self.tally, chain, seal: Seal::default() };
        self.put(&write_end(&base))?;
        base.seal = self.hash.finalize_reset().into();
        self.out.write_all(&base.seal)?;
        self.out.flush()?;
        Ok((base, self.out))
    }
}

/// Reads a base, record by record; nothing of it counts unless its end is that of what was read. `None` when it is not
/// what was written.
pub(super) fn read(input: &mut impl Read, mut take: impl FnMut(Record) -> io::Result<()>) -> io::Result<Option<Base>> {
    let mut hash = Sha256::new();
    let mut next = |count: usize, hash: &mut Sha256, bytes: &mut Vec<u8>| -> io::Result<bool> {
        bytes.clear();
        input.by_ref().take(count as u64).read_to_end(bytes)?;
        hash.update(&*bytes);
        Ok(bytes.len() == count)
    };
    let mut bytes = Vec::new();
    if !next(MAGIC.len() + 1, &mut hash, &mut bytes)? || bytes.strip_prefix(MAGIC) != Some([FORMAT].as_slice()) {
        return Ok(None);
    }
    loop {
        if !next(4, &mut hash, &mut bytes)? {
            return Ok(None);
        }
        let length = bytes.as_slice().try_into().map_or(u32::MAX, u32::from_be_bytes);
        if length == 0 {
            break;
        }
        if length > RECORD_BYTES_MAX || !next(length as usize, &mut hash, &mut bytes)? {
            return Ok(None);
        }
        match frame::read_sealed_record(&bytes) {
            Some(record) => take(record)?,
            None => return Ok(None),
        }
    }
    if !next(END_BYTES, &mut hash, &mut bytes)? {
        return Ok(None);
    }
    let base = read_end(&bytes);
    let seal: Seal = hash.clone().finalize().into();
    let whole = next(seal.len(), &mut hash, &mut bytes)? && bytes == seal;
    Ok(base.filter(|_| whole).map(|base| Base { seal, ..base }))
}

/// A file of the disk, read or written from its beginning.
struct Through {
    file: Arc<dyn DiskFile>,
    at: u64,
}

impl Read for Through {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let read = self.file.read_at(bytes, self.at)?;
        self.at += read as u64;
        Ok(read)
    }
}

impl Write for Through {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write_at(bytes, self.at)?;
        self.at += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What was found of one of the two files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Found {
    Missing,
    Damaged,
    Whole(Base),
}

/// Reads one of the two files.
pub(super) fn find(
    disk: &dyn Disk,
    folder: &Path,
    name: &str,
    take: impl FnMut(Record) -> io::Result<()>,
) -> io::Result<Found> {
    let file = match disk.open(&folder.join(name)) {
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(Found::Missing),
        file => file?,
    };
    let mut input = BufReader::with_capacity(BUFFER_BYTES, Through { file, at: 0 });
    let base = read(&mut input, take)?;
    let ends = input.read(&mut [0])? == 0;
    Ok(base.filter(|_| ends).map_or(Found::Damaged, Found::Whole))
}

/// Both files, read side by side.
struct Twins {
    files: [Arc<dyn DiskFile>; 2],
    at: u64,
    other: Vec<u8>,
    alike: bool,
}

impl Read for Twins {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let [first, second] = &self.files;
        let read = first.read_at(bytes, self.at)?;
        // Compared beyond the end too: the second one must end where the first one does.
        self.other.resize(bytes.len(), 0);
        let same = second.read_at(&mut self.other, self.at)?;
        self.alike &= bytes.get(..read) == self.other.get(..same);
        self.at += read as u64;
        Ok(read)
    }
}

/// Reads both files at once, the first one record by record and the second one byte for byte beside it. `None` when they
/// are not one and the same whole base: what was taken then counts for nothing.
pub(super) fn find_twins(
    disk: &dyn Disk,
    folder: &Path,
    take: impl FnMut(Record) -> io::Result<()>,
) -> io::Result<Option<Base>> {
    let mut files = Vec::with_capacity(NAMES.len());
    for name in NAMES {
        match disk.open(&folder.join(name)) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
            file => files.push(file?),
        }
    }
    let Ok(files) = files.try_into() else { return Ok(None) };
    let twins = Twins { files, at: 0, other: Vec::new(), alike: true };
    let mut input = BufReader::with_capacity(BUFFER_BYTES, twins);
    let base = read(&mut input, take)?;
    let ends = input.read(&mut [0])? == 0;
    Ok(base.filter(|_| ends && input.get_ref().alike))
}

/// Writes one of the two files and puts it in its place by one rename, durably.
pub(super) fn put_in_place(
    disk: &dyn Disk,
    folder: &Path,
    name: &str,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<Base>,
) -> io::Result<Base> {
    put_in_place_after(disk, folder, name, fill, |_| Ok(()))
}

/// The same; before the file is put in its place, and when it is durable beside it, somebody is told of it.
pub(super) fn put_in_place_after(
    disk: &dyn Disk,
    folder: &Path,
    name: &str,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<Base>,
    tell: impl FnOnce(&Base) -> io::Result<()>,
) -> io::Result<Base> {
    let new = folder.join(format!("{name}.new"));
    let file = disk.create(&new)?;
    let written = (|| {
        let mut out = BufWriter::with_capacity(BUFFER_BYTES, Through { file: Arc::clone(&file), at: 0 });
        let base = fill(&mut out)?;
        out.flush()?;
        file.sync()?;
        tell(&base)?;
        disk.rename(&new, &folder.join(name))?;
        disk.sync_dir(folder)?;
        Ok(base)
    })();
    if written.is_err() {
        // Half a file would only take the room that is needed; what is left of it goes at the next start.
        drop(disk.remove(&new));
    }
    written
}

/// Copies one file over the other one.
pub(super) fn copy(disk: &dyn Disk, folder: &Path, from: &str, to: &str, base: Base) -> io::Result<()> {
    let mut input = Through { file: disk.open(&folder.join(from))?, at: 0 };
    put_in_place(disk, folder, to, |out| {
        let mut bytes = vec![0; BUFFER_BYTES];
        loop {
            match input.read(&mut bytes)? {
                0 => return Ok(base),
                count => out.write_all(bytes.get(..count).unwrap_or_default())?,
            }
        }
    })
    .map(drop)
}

#[cfg(test)]
mod tests {
    use bytes::Bytes;
    use proptest::prelude::*;

    use super::*;
    use crate::book::Name;

    fn record(number: u64, value: Vec<u8>) -> Record {
        Record {
            name: Name::new(&format!("nuts/{number}")).unwrap(),
            value: Bytes::from(value),
            revision: Revision::new(number + 1),
            time: Moment::from_micros(7),
            author: "bay 1".into(),
            created: Revision::new(1),
            created_time: Moment::from_micros(1),
        }
    }

    proptest! {
        #[test]
        fn a_base_comes_back_as_it_was_and_no_altered_one_does(
            values in proptest::collection::vec(proptest::collection::vec(any::<u8>(), 0..60), 0..8),
            at in any::<prop::sample::Index>(),
            bit in 0..8_u8,
        ) {
            let records: Vec<_> = (0..).zip(values).map(|(number, value)| record(number, value)).collect();
            let mut writer = Writer::begin(Vec::new()).unwrap();
            records.iter().for_each(|record| writer.record(record).unwrap());
            let horizon = Horizon { revision: Revision::new(9), time: Moment::from_micros(-3) };
            let (base, mut bytes) = writer.end(horizon, [5; 32]).unwrap();
            let mut back = Vec::new();
            let found = read(&mut bytes.as_slice(), |record| { back.push(record); Ok(()) }).unwrap();
            prop_assert_eq!(found, Some(base));
            prop_assert_eq!(&back, &records);
            let mut tally = Tally::default();
            records.iter().for_each(|record| tally.add(record));
            prop_assert_eq!((base.tally, base.horizon), (tally, horizon));
            let at = at.index(bytes.len());
            prop_assert_eq!(read(&mut &bytes[..at], |_| Ok(())).unwrap(), None);
            bytes[at] ^= 1 << bit;
            prop_assert_eq!(read(&mut bytes.as_slice(), |_| Ok(())).unwrap(), None);
        }
    }
}
