//! How the book's own records are laid out in the store.
//!
//! A frame is one format byte, a payload and eight check bytes: the first eight of the SHA-256 over the key, the format
//! byte and the payload. The key takes part so that a frame that turns up under another key is found out. Numbers are
//! big-endian; text and bytes are preceded by their length in four bytes.

use std::sync::Arc;

use bytes::Bytes;
use sha2::{Digest, Sha256};

use super::engine::RequestMark;
use super::record::{Line, Moment, Name, PastCommit, Record, Request, Revision};
use super::tally::Tally;

const FORMAT: u8 = 1;
const CHECK_BYTES: usize = 8;

/// Where the store's contents lie, by the first byte of the key.
pub(super) mod space {
    pub(in super::super) const COMMITS: u8 = b'c';
    pub(in super::super) const ENTRIES: u8 = b'e';
    pub(in super::super) const MARK: u8 = b'm';
    pub(in super::super) const PROGRESS: u8 = b'p';
    pub(in super::super) const REQUESTS: u8 = b'r';
}

/// The mark of a store that is the book itself, as in the first format.
pub(super) const MARK_KEY: &[u8] = &[space::MARK];
/// The mark of a store that follows a journal.
pub(super) const PROGRESS_KEY: &[u8] = &[space::PROGRESS];

/// What the store last recorded of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Mark {
    pub(super) revision: Revision,
    pub(super) tally: Tally,
}

pub(super) fn commit_key(revision: Revision) -> Vec<u8> {
    let mut key = vec![space::COMMITS];
    key.extend(revision.get().to_be_bytes());
    key
}

pub(super) fn entry_key(name: &str) -> Vec<u8> {
    prefixed(space::ENTRIES, name)
}

/// The revision at the end of a commit's key.
pub(super) fn revision_of(key: &[u8]) -> Option<Revision> {
    let tail = key.len().checked_sub(8)?;
    let bytes: [u8; 8] = key.get(tail..)?.try_into().ok()?;
    Some(Revision::new(u64::from_be_bytes(bytes)))
}

fn prefixed(space: u8, text: &str) -> Vec<u8> {
    let mut key = Vec::with_capacity(1 + text.len() + 9);
    key.push(space);
    key.extend(text.as_bytes());
    key
}

pub(super) fn write_mark(key: &[u8], mark: &Mark) -> Vec<u8> {
    let mut out = Writer::new(32);
    out.u64(mark.revision.get());
    out.u64(mark.tally.entries());
    out.u128(mark.tally.digest());
    out.seal(key)
}

pub(super) fn read_mark(key: &[u8], frame: &[u8]) -> Option<Mark> {
    let mut input = Reader::open(key, frame)?;
    let revision = input.revision()?;
    let tally = Tally::from_parts(input.u64()?, input.u128()?);
    input.end(Mark { revision, tally })
}

pub(super) fn read_request(key: &[u8], frame: &[u8]) -> Option<RequestMark> {
    let mut input = Reader::open(key, frame)?;
    let id = std::str::from_utf8(key.get(1..)?).ok()?.into();
    let digest = input.raw::<32>()?;
    let mark = RequestMark { id, digest, revision: input.revision()?, time: input.moment()? };
    input.end(mark)
}

pub(super) fn write_record(key: &[u8], record: &Record) -> Vec<u8> {
    let mut out = Writer::new(record.value.len() + record.name.len() + record.author.len() + 64);
    out.record(record);
    out.seal(key)
}

pub(super) fn read_record(key: &[u8], frame: &[u8]) -> Option<Record> {
    let mut input = Reader::open(key, frame)?;
    let record = input.record()?;
    input.end(record)
}

/// Reads a record whose bytes something stronger than its own check has vouched for.
pub(super) fn read_sealed_record(frame: &[u8]) -> Option<Record> {
    let (body, _) = frame.split_at_checked(frame.len().checked_sub(CHECK_BYTES)?)?;
    let (format, payload) = body.split_first()?;
    (*format == FORMAT).then_some(())?;
    let mut input = Reader(payload);
    let record = input.record()?;
    input.end(record)
}

pub(super) fn write_commit(key: &[u8], commit: &PastCommit) -> Vec<u8> {
    let mut out = Writer::new(commit.bytes() + 64 * commit.lines.len());
    out.u64(commit.revision.get());
    out.i64(commit.time.micros());
    out.bytes(commit.author.as_bytes());
    out.u64(commit.lines.len() as u64);
    for line in &commit.lines {
        out.bytes(line.name.as_bytes());
        out.u64(line.previous.map_or(0, Revision::get));
        match &line.record {
            None => out.raw(&[0]),
            Some(record) => {
                out.raw(&[1]);
                out.record(record);
            }
        }
    }
    match &commit.request {
        None => out.raw(&[0]),
        Some(request) => {
            out.raw(&[1]);
            out.bytes(request.id.as_bytes());
            out.raw(&request.digest);
            out.bytes(&request.answer);
        }
    }
    out.seal(key)
}

pub(super) fn read_commit(key: &[u8], frame: &[u8]) -> Option<PastCommit> {
    past_commit(Reader::open(key, frame)?)
}

/// Reads a commit whose bytes something stronger than its own check has vouched for.
pub(super) fn read_chained_commit(frame: &[u8]) -> Option<PastCommit> {
    let (body, _) = frame.split_at_checked(frame.len().checked_sub(CHECK_BYTES)?)?;
    let (format, payload) = body.split_first()?;
    (*format == FORMAT).then_some(())?;
    past_commit(Reader(payload))
}

fn past_commit(mut input: Reader<'_>) -> Option<PastCommit> {
    let revision = input.revision()?;
    let time = input.moment()?;
    let author = input.text()?;
    let count = input.u64()?;
    let mut lines = Vec::new();
    for _ in 0..count {
        let name = input.name()?;
        let previous = Some(input.revision()?).filter(|previous| *previous != Revision::ZERO);
        let record = if input.flag()? { Some(Arc::new(input.record()?)) } else { None };
        lines.push(Line { name, previous, record });
    }
    let request = if input.flag()? {
        let id = input.text()?;
        let digest = input.raw::<32>()?;
        Some(Request { id, digest, answer: Bytes::copy_from_slice(input.bytes()?) })
    } else {
        None
    };
    input.end(PastCommit { revision, time, author, lines, request })
}

fn check(key: &[u8], body: &[u8]) -> [u8; CHECK_BYTES] {
    let mut hash = Sha256::new();
    hash.update((key.len() as u64).to_be_bytes());
    hash.update(key);
    hash.update(body);
    let full: [u8; 32] = hash.finalize().into();
    let mut short = [0; CHECK_BYTES];
    short.copy_from_slice(&full[..CHECK_BYTES]);
    short
}

struct Writer(Vec<u8>);

impl Writer {
    fn new(room: usize) -> Self {
        let mut out = Vec::with_capacity(room + 1 + CHECK_BYTES);
        out.push(FORMAT);
        Self(out)
    }

    fn raw(&mut self, bytes: &[u8]) {
        self.0.extend_from_slice(bytes);
    }

    fn u64(&mut self, number: u64) {
        self.raw(&number.to_be_bytes());
    }

    fn i64(&mut self, number: i64) {
        self.raw(&number.to_be_bytes());
    }

    fn u128(&mut self, number: u128) {
        self.raw(&number.to_be_bytes());
    }

    /// Bounds keep every part far below four gibibytes.
    fn bytes(&mut self, bytes: &[u8]) {
        self.raw(&u32::try_from(bytes.len()).unwrap_or(u32::MAX).to_be_bytes());
        self.raw(bytes);
    }

    fn record(&mut self, record: &Record) {
        self.bytes(record.name.as_bytes());
        self.u64(record.revision.get());
        self.i64(record.time.micros());
        self.bytes(record.author.as_bytes());
        self.u64(record.created.get());
        self.i64(record.created_time.micros());
        self.bytes(&record.value);
    }

    fn seal(mut self, key: &[u8]) -> Vec<u8> {
        let check = check(key, &self.0);
        self.raw(&check);
        self.0
    }
}

/// Reads a frame; `None` wherever it is not what was written.
struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn open(key: &[u8], frame: &'a [u8]) -> Option<Self> {
        let (body, sum) = frame.split_at_checked(frame.len().checked_sub(CHECK_BYTES)?)?;
        let (format, payload) = body.split_first()?;
        (*format == FORMAT && check(key, body) == *sum).then_some(Self(payload))
    }

    fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(taken)
    }

    fn raw<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }

    fn u64(&mut self) -> Option<u64> {
        self.raw().map(u64::from_be_bytes)
    }

    fn u128(&mut self) -> Option<u128> {
        self.raw().map(u128::from_be_bytes)
    }

    fn flag(&mut self) -> Option<bool> {
        match self.raw::<1>()? {
            [0] => Some(false),
            [1] => Some(true),
            _ => None,
        }
    }

    fn revision(&mut self) -> Option<Revision> {
        self.u64().map(Revision::new)
    }

    fn moment(&mut self) -> Option<Moment> {
        self.raw().map(i64::from_be_bytes).map(Moment::from_micros)
    }

    fn bytes(&mut self) -> Option<&'a [u8]> {
        let length = u32::from_be_bytes(self.raw()?);
        self.take(usize::try_from(length).ok()?)
    }

    fn text(&mut self) -> Option<Arc<str>> {
        std::str::from_utf8(self.bytes()?).ok().map(Arc::from)
    }

    fn name(&mut self) -> Option<Name> {
        Name::new(std::str::from_utf8(self.bytes()?).ok()?).ok()
    }

    fn record(&mut self) -> Option<Record> {
        Some(Record {
            name: self.name()?,
            revision: self.revision()?,
            time: self.moment()?,
            author: self.text()?,
            created: self.revision()?,
            created_time: self.moment()?,
            value: Bytes::copy_from_slice(self.bytes()?),
        })
    }

    /// Nothing may be left over.
    fn end<T>(self, read: T) -> Option<T> {
        self.0.is_empty().then_some(read)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn record(name: &str, value: &[u8]) -> Record {
        Record {
            name: Name::new(name).unwrap(),
            value: Bytes::copy_from_slice(value),
            revision: Revision::new(7),
            time: Moment::from_micros(1_700_000_000_000_000),
            author: "bay 3".into(),
            created: Revision::new(2),
            created_time: Moment::from_micros(-5),
        }
    }

    fn commit(value: &[u8]) -> PastCommit {
        let put = Line {
            name: Name::new("vehicles/van-7").unwrap(),
            previous: Some(Revision::new(2)),
            record: Some(Arc::new(record("vehicles/van-7", value))),
        };
        let removed = Line { name: Name::new("nuts/n-1").unwrap(), previous: Some(Revision::new(1)), record: None };
        PastCommit {
            revision: Revision::new(7),
            time: Moment::from_micros(1_700_000_000_000_000),
            author: "bay 3".into(),
            lines: vec![put, removed],
            request: Some(Request { id: "r-1".into(), digest: [9; 32], answer: Bytes::from_static(b"done") }),
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(value in proptest::collection::vec(any::<u8>(), 0..300)) {
            let record = record("vehicles/van-7", &value);
            let key = entry_key(&record.name);
            prop_assert_eq!(read_record(&key, &write_record(&key, &record)), Some(record));
            let commit = commit(&value);
            let key = commit_key(commit.revision);
            prop_assert_eq!(revision_of(&key), Some(commit.revision));
            prop_assert_eq!(read_commit(&key, &write_commit(&key, &commit)), Some(commit));
        }

        #[test]
        fn no_altered_frame_is_read(value in proptest::collection::vec(any::<u8>(), 0..100), at in any::<prop::sample::Index>(), bit in 0..8_u8) {
            let commit = commit(&value);
            let key = commit_key(commit.revision);
            let mut frame = write_commit(&key, &commit);
            let at = at.index(frame.len());
            frame[at] ^= 1 << bit;
            prop_assert_eq!(read_commit(&key, &frame), None);
            frame[at] ^= 1 << bit;
            frame.truncate(at);
            prop_assert_eq!(read_commit(&key, &frame), None);
        }

        #[test]
        fn noise_is_not_read(noise in proptest::collection::vec(any::<u8>(), 0..200)) {
            prop_assert_eq!(read_mark(MARK_KEY, &noise), None);
            prop_assert_eq!(read_record(b"ea/b", &noise), None);
            prop_assert_eq!(read_commit(b"c", &noise), None);
        }
    }

    #[test]
    fn a_frame_under_another_key_is_not_read() {
        let record = record("vehicles/van-7", b"v");
        let frame = write_record(&entry_key("vehicles/van-7"), &record);
        assert_eq!(read_record(&entry_key("vehicles/van-8"), &frame), None);
    }

    #[test]
    fn marks_come_back() {
        let mark = Mark { revision: Revision::new(u64::MAX), tally: Tally::from_parts(3, u128::MAX - 1) };
        assert_eq!(read_mark(MARK_KEY, &write_mark(MARK_KEY, &mark)), Some(mark));
    }
}
