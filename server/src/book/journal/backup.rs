//! Backups: the whole book at one revision in one file, with its history and without its secrets.
//!
//! A file begins with a header of 28 bytes: what it is, its format, when it was begun, and a check sum. After it come all
//! commits in the journal's frames, chained from the first, and at the end a mark: revision, entries, digest, chain. In the
//! second format the entries stand before the commits, as they were after the last one that the book let go of. A file
//! that ends early, or whose end does not agree with its commits, is refused.
//!
//! Secrets are struck out while the file is written, by whoever knows them: the book itself does not. The chain and the
//! digest are those of what was written.

mod condensed;

use std::collections::HashMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufReader, BufWriter, Read as _, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use bytes::Bytes;
use tokio::runtime::Handle;

use super::base;
use super::copy::NoCopy;
use super::frames::{CHAIN_BYTES, COMMIT_BYTES_MAX, FIRST_CHAIN, Frame, HEAD_BYTES, link};
use super::mark::{self, HighWater};
use super::recover::FOLDER;
use super::{Journal, migrate};
use crate::book::bounds::Bounds;
use crate::book::disk::{Disk, SystemDisk};
use crate::book::engine::Group;
use crate::book::error::BookError;
use crate::book::lock::DirectoryLock;
use crate::book::record::{Line, Moment, Name, PastCommit, Record, Revision};
use crate::book::tally::{Tally, digest};
use crate::book::{Book, frame};

const MAGIC: &[u8; 15] = b"baybook backup\n";
const FORMAT: u8 = 1;
/// Of a book that has let go of commits.
const FORMAT_CONDENSED: u8 = 2;
const HEADER_BYTES: usize = 28;
const FRAME_MAGIC: &[u8; 4] = b"bbj1";
/// How many commits are asked for, or made durable, at once, and their bytes.
const PORTION: usize = 1_000;
const PORTION_BYTES: usize = 4 << 20;
/// Where a restored book is written until it was read back.
const UNDER_WAY: &str = "restoring";

/// Returns a value without its secret; nothing when there is none in it.
pub type Strike<'a> = &'a (dyn Fn(&Name, &Bytes) -> Option<Bytes> + Send + Sync);

/// What a backup holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contents {
    /// When it was begun.
    pub time: Moment,
    /// The revision it shows.
    pub revision: Revision,
    /// The entries at that revision, without their secrets.
    pub tally: Tally,
    /// The digest over all commits through that revision, without their secrets.
    pub chain: [u8; 32],
    /// The size of the file.
    pub bytes: u64,
}

/// Why a backup is not restored.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RestoreError {
    /// There is something in the directory already.
    #[error("{directory} is not empty: there is {found} in it; name a directory that is empty or not there yet")]
    NotEmpty {
        /// The directory.
        directory: String,
        /// Something that is in it.
        found: String,
    },
    /// The file, or the directory.
    #[error(transparent)]
    Book(#[from] BookError),
}

/// Writes the book at its newest revision into a file that is not there yet. What happens meanwhile does not get in.
/// Blocks; `wait` is the runtime that the book is read on.
///
/// # Errors
/// [`BookError`] when the book cannot be read or the file not be written; the file is then not whole.
pub fn write(book: &dyn Book, wait: &Handle, strike: Strike<'_>, path: &Path) -> Result<Contents, BookError> {
    let io = |cause: io::Error| BookError::io("write", path, &cause);
    let time = Moment::now();
    // Old commits go when it is done: their times must not end it in the middle.
    let _hold = book.hold();
    let snapshot = book.snapshot();
    let through = snapshot.revision();
    // By another way than the commits: the entries as readers see them.
    let mut tally = Tally::default();
    let mut last: Option<Name> = None;
    loop {
        let page = snapshot.scan("", last.as_deref(), PORTION);
        page.records.iter().for_each(|record| tally.add(&without_secret(record, strike)));
        last = page.records.last().map(|record| record.name.clone());
        if !page.more {
            break;
        }
    }
    drop(snapshot);
    let file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(path).map_err(io)?;
    let mut out = BufWriter::with_capacity(1 << 20, file);
    let condensed = book.horizon().revision > Revision::ZERO;
    out.write_all(&header(time, if condensed { FORMAT_CONDENSED } else { FORMAT })).map_err(io)?;
    let (mut chain, mut after) = (FIRST_CHAIN, Revision::ZERO);
    if condensed {
        let mut writer = base::Writer::begin(&mut out).map_err(io)?;
        let found = book.condensed(&mut |record| writer.record(&without_secret(&Arc::new(record), strike)))?;
        writer.end(found.horizon, found.chain).map_err(io)?;
        (chain, after) = (found.chain, found.revision());
    }
    let mut frames = Vec::new();
    while after < through {
        let left = usize::try_from(through.get() - after.get()).unwrap_or(usize::MAX);
        for commit in wait.block_on(book.changes_since(after, left.min(PORTION)))? {
            let body = frame::write_commit(&frame::commit_key(commit.revision), &without_secrets(&commit, strike));
            chain = link(&chain, &body);
            Frame { durable: after, body: &body, chain }.write(&mut frames);
            after = commit.revision;
        }
        out.write_all(&frames).map_err(io)?;
        frames.clear();
    }
    out.write_all(&HighWater { revision: through, tally, chain, seals: None }.write(0)).map_err(io)?;
    let file = out.into_inner().map_err(|error| io(error.into_error()))?;
    file.sync_all().map_err(io)?;
    let bytes = file.metadata().map_err(io)?.len();
    Ok(Contents { time, revision: through, tally, chain, bytes })
}

fn without_secret(record: &Arc<Record>, strike: Strike<'_>) -> Arc<Record> {
    match strike(&record.name, &record.value) {
        Some(value) => Arc::new(Record { value, ..Record::clone(record) }),
        None => Arc::clone(record),
    }
}

fn without_secrets(commit: &PastCommit, strike: Strike<'_>) -> PastCommit {
    let line = |line: &Line| Line {
        record: line.record.as_ref().map(|record| without_secret(record, strike)),
        ..line.clone()
    };
    PastCommit { lines: commit.lines.iter().map(line).collect(), ..commit.clone() }
}

fn header(time: Moment, format: u8) -> Vec<u8> {
    let mut out = MAGIC.to_vec();
    out.push(format);
    out.extend(time.micros().to_be_bytes());
    let check = crc32fast::hash(&out);
    out.extend(check.to_be_bytes());
    out
}

/// When it was begun, and whether entries stand before the commits.
fn read_header(bytes: &[u8]) -> Option<(Moment, bool)> {
    let (head, check) = bytes.split_last_chunk::<4>()?;
    let (format, time) = head.strip_prefix(MAGIC)?.split_first()?;
    (crc32fast::hash(head) == u32::from_be_bytes(*check)).then_some(())?;
    let condensed = match *format {
        FORMAT => false,
        FORMAT_CONDENSED => true,
        _ => return None,
    };
    Some((Moment::from_micros(i64::from_be_bytes(time.try_into().ok()?)), condensed))
}

/// Returns when the backup in a file was begun; nothing when it does not begin as a backup does.
#[must_use]
pub fn begun(path: &Path) -> Option<Moment> {
    Some(Reading::open(path).ok()?.time)
}

/// The commits of a backup, one after the other, and its end.
struct Reading {
    path: PathBuf,
    input: BufReader<File>,
    time: Moment,
    condensed: bool,
    revision: Revision,
    chain: [u8; 32],
}

/// What comes next in a backup.
enum Part {
    Commit(PastCommit),
    End(HighWater),
}

impl Reading {
    fn open(path: &Path) -> Result<Self, BookError> {
        let io = |cause: io::Error| BookError::io("read", path, &cause);
        let file = File::open(path).map_err(io)?;
        let mut input = BufReader::with_capacity(1 << 20, file);
        let mut bytes = [0; HEADER_BYTES];
        let head = input.read_exact(&mut bytes).ok().and_then(|()| read_header(&bytes));
        let (time, condensed) = head.ok_or_else(|| damaged(path, "it does not begin as a backup does"))?;
        Ok(Self { path: path.to_owned(), input, time, condensed, revision: Revision::ZERO, chain: FIRST_CHAIN })
    }

    fn take(&mut self, bytes: &mut Vec<u8>, count: usize) -> Result<(), BookError> {
        let read = self.input.by_ref().take(count as u64).read_to_end(bytes);
        let read = read.map_err(|cause| BookError::io("read", &self.path, &cause))?;
        if read == count {
            return Ok(());
        }
        Err(damaged(&self.path, &format!("it ends after revision {}, in the middle", self.revision)))
    }

    fn next(&mut self) -> Result<Part, BookError> {
        let mut bytes = Vec::new();
        self.take(&mut bytes, HEAD_BYTES)?;
        let next = self.revision.next();
        let unreadable =
            |path: &Path| damaged(path, &format!("what follows revision {} cannot be read", next.get() - 1));
        if !bytes.starts_with(FRAME_MAGIC) {
            let rest = self.input.read_to_end(&mut bytes);
            rest.map_err(|cause| BookError::io("read", &self.path, &cause))?;
            let end = HighWater::read(&bytes).ok_or_else(|| unreadable(&self.path))?.1;
            if (end.revision, end.chain) != (self.revision, self.chain) {
                return Err(damaged(&self.path, "its end is not that of its commits"));
            }
            return Ok(Part::End(end));
        }
        let length = bytes.get(4..8).and_then(|length| length.try_into().ok()).map_or(0, u32::from_be_bytes);
        let length = usize::try_from(length).ok().filter(|length| *length <= COMMIT_BYTES_MAX);
        let length = length.ok_or_else(|| unreadable(&self.path))?;
        self.take(&mut bytes, length + CHAIN_BYTES)?;
        let frame = Frame::read(&bytes).filter(|frame| link(&self.chain, frame.body) == frame.chain);
        let frame = frame.filter(|frame| frame.revision() == Some(next)).ok_or_else(|| unreadable(&self.path))?;
        let commit = frame::read_commit(&frame::commit_key(next), frame.body);
        (self.revision, self.chain) = (next, frame.chain);
        commit.map(Part::Commit).ok_or_else(|| damaged(&self.path, &format!("revision {next} is no commit of ours")))
    }
}

fn damaged(path: &Path, what: &str) -> BookError {
    BookError::Damaged {
        what: format!("{} is not a whole backup: {what}", path.display()),
        names: Vec::new(),
        next: "restore another backup, or take one: baybook backup".to_owned(),
    }
}

/// Writes the journal and the marks of the book that a backup holds into a directory, reads them back as a start of the
/// service would, and compares. Blocks.
///
/// # Errors
/// [`BookError::Damaged`] when the file is not whole or the book is not what it says, [`BookError::Io`],
/// [`BookError::Full`].
pub fn rebuild(path: &Path, directory: &Path, bounds: &Bounds) -> Result<Contents, BookError> {
    let disk: Arc<dyn Disk> = Arc::new(SystemDisk);
    let io = |cause: io::Error| BookError::io("create", directory, &cause);
    fs::create_dir_all(directory).map_err(io)?;
    let mut reading = Reading::open(path)?;
    let mut tally = Tally::default();
    let mut digests: HashMap<Name, u128> = HashMap::new();
    reading.base(disk.as_ref(), directory, |record| {
        let new = Some(digest(record));
        tally.replace(digests.insert(record.name.clone(), digest(record)), new);
    })?;
    let journal = Journal::open(Arc::clone(&disk), directory, &NoCopy, bounds)?.journal;
    let mut group: Vec<Arc<PastCommit>> = Vec::new();
    let mut bytes = 0;
    let append = |group: &mut Vec<Arc<PastCommit>>, tally| {
        let appended = journal.append(&Group { commits: group, forgotten: &[], tally });
        group.clear();
        appended.map_err(|failed| failed.into_error(directory))
    };
    let end = loop {
        match reading.next()? {
            Part::Commit(commit) => {
                for line in &commit.lines {
                    let new = line.record.as_deref().map(digest);
                    let old = match new {
                        Some(new) => digests.insert(line.name.clone(), new),
                        None => digests.remove(&line.name),
                    };
                    tally.replace(old, new);
                }
                bytes += commit.bytes();
                group.push(Arc::new(commit));
                if group.len() >= PORTION || bytes >= PORTION_BYTES {
                    append(&mut group, tally)?;
                    bytes = 0;
                }
            }
            Part::End(end) => break end,
        }
    };
    if !group.is_empty() {
        append(&mut group, tally)?;
    }
    drop(journal);
    drop(digests);
    let opened = Journal::open(disk, directory, &NoCopy, bounds)?;
    let found = (opened.loaded.revision, opened.loaded.tally, opened.journal.high_water().chain);
    if found != (end.revision, end.tally, end.chain) || tally != end.tally || !opened.mended.is_empty() {
        let what = format!("restored, it comes to {} at revision {}; it says {}", found.1, found.0, end.tally);
        return Err(damaged(path, &what));
    }
    let bytes = fs::metadata(path).map_err(|cause| BookError::io("read", path, &cause))?.len();
    Ok(Contents { time: reading.time, revision: end.revision, tally: end.tally, chain: end.chain, bytes })
}

/// Brings back the book that a backup holds, in a directory that is empty or not there. Nothing is in its place before it
/// was read back whole; one that was broken off is begun anew. Blocks.
///
/// # Errors
/// [`RestoreError::NotEmpty`], or what [`rebuild`] says.
pub fn restore(path: &Path, directory: &Path, bounds: &Bounds) -> Result<Contents, RestoreError> {
    let io = |doing| move |cause: io::Error| BookError::io(doing, directory, &cause);
    // Before anything is made: a file that is none of ours leaves no directory behind.
    drop(Reading::open(path)?);
    refuse_full(directory)?;
    fs::create_dir_all(directory).map_err(io("create"))?;
    let _lock = DirectoryLock::take(directory)?;
    refuse_full(directory)?;
    let under_way = directory.join(UNDER_WAY);
    clear(directory).map_err(io("clear"))?;
    fs::create_dir(&under_way).map_err(io("write into"))?;
    let contents = rebuild(path, &under_way, bounds).inspect_err(|_| {
        // What is left of it is cleared by the next restore, or by hand.
        drop(clear(directory));
    })?;
    migrate::into_place(&SystemDisk, &under_way, directory).map_err(io("move the restored book into"))?;
    Ok(contents)
}

/// What a restore that was broken off may have left; nothing else is there.
fn leftovers() -> Vec<&'static str> {
    let mut names = mark::NAMES.to_vec();
    names.extend([FOLDER, UNDER_WAY]);
    names
}

fn refuse_full(directory: &Path) -> Result<(), RestoreError> {
    let half = directory.join(UNDER_WAY).exists();
    let names = match SystemDisk.list(directory) {
        Ok(names) => names,
        Err(cause) => return Err(BookError::io("list", directory, &cause).into()),
    };
    let ours = |name: &String| name == "lock" || (half && leftovers().contains(&name.as_str()));
    match names.into_iter().find(|name| !ours(name)) {
        Some(found) => Err(RestoreError::NotEmpty { directory: directory.display().to_string(), found }),
        None => Ok(()),
    }
}

/// Takes away what a restore left; the sign that it was broken off goes last.
fn clear(directory: &Path) -> io::Result<()> {
    if !directory.join(UNDER_WAY).exists() {
        return Ok(());
    }
    for name in leftovers() {
        let path = directory.join(name);
        let gone = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
        match gone {
            Err(cause) if cause.kind() != io::ErrorKind::NotFound => return Err(cause),
            _ => {}
        }
    }
    SystemDisk.sync_dir(directory)
}

/// A directory whose restore was broken off holds no book.
pub(super) fn refuse_half_restored(directory: &Path) -> Result<(), BookError> {
    if !directory.join(UNDER_WAY).exists() {
        return Ok(());
    }
    Err(BookError::Damaged {
        what: format!("a restore into {} was broken off", directory.display()),
        names: Vec::new(),
        next: format!("run it again: baybook restore BACKUP --data {}", directory.display()),
    })
}
