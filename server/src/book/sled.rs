//! The second copy's store, in a sled tree.
//!
//! What is known of sled 0.34 decides how it is used here, and that it is not what durability rests on:
//!
//! * its `flush` asks for `sync_file_range`, which does not make anything durable, and it never syncs its blob files, so
//!   each portion ends with `fdatasync` on the data file and on every new blob;
//! * its `flush_async` hangs with several callers, so only the blocking `flush` is called, by one thread;
//! * it hides damage: records may be missing after an open that reported nothing, so each commit is compared with the
//!   journal's, and the number of entries and the digest of all of them with what was recorded;
//! * it panics on some damaged files, and after it ran out of room, so whoever calls it guards the call;
//! * nothing relies on its transactions or on several trees: one tree, one batch per portion.
//!
//! In the first format of the data directory this store was the book; [`SledStore::load`] reads it so that it can be
//! brought over.

use std::collections::{BTreeMap, HashSet};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use parking_lot::Mutex;
use sled::{Batch, Db, Mode};

use super::engine::{Loaded, Span};
use super::error::BookError;
use super::frame::{self, MARK_KEY, Mark, PROGRESS_KEY, space};
use super::history::within;
use super::record::{Name, PastCommit, Record, Revision};
use super::tally::Tally;

/// Where sled lives within the data directory.
const STORE: &str = "store";
/// How often a store that this process has just closed is asked for again: sled lets go of its lock a little late.
const TRIES: u32 = 200;
const PAUSE: Duration = Duration::from_millis(10);

/// How many commits are taken out at once.
const FORGOTTEN: usize = 1_000;

/// What the tally of a mark says while entries are being written that it does not cover.
const UNSETTLED: Tally = Tally::from_parts(u64::MAX, 0);

/// An open store.
pub(super) struct SledStore {
    store: PathBuf,
    db: Db,
    data: File,
    /// Blob files that are on disk already.
    blobs: Mutex<HashSet<OsString>>,
}

/// How far the store has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Progress {
    pub(super) revision: Revision,
    /// The tally at that revision, once all entries are in.
    pub(super) tally: Option<Tally>,
}

/// The directory that sled keeps its files in.
pub(super) fn store_of(directory: &Path) -> PathBuf {
    directory.join(STORE)
}

impl SledStore {
    pub(super) fn open(directory: &Path, cache_bytes: u64) -> Result<Self, BookError> {
        let store = store_of(directory);
        let db = open_store(&store, cache_bytes)?;
        let data = sync_files(directory, &store)?;
        Ok(Self { store, db, data, blobs: Mutex::default() })
    }

    fn trouble(&self, error: &sled::Error) -> BookError {
        trouble(&self.store, error)
    }

    fn commit_at(&self, db: &Db, revision: Revision) -> Result<PastCommit, BookError> {
        let key = frame::commit_key(revision);
        let found = db.get(&key).map_err(|error| self.trouble(&error))?;
        found.and_then(|bytes| frame::read_commit(&key, &bytes)).ok_or_else(|| {
            damaged(&self.store, format!("the commit of revision {revision} cannot be read"), Vec::new())
        })
    }

    /// The entries as the log of commits says they should be.
    fn replay_log(&self, db: &Db, through: Revision) -> Result<BTreeMap<Name, Arc<Record>>, BookError> {
        let mut entries = BTreeMap::new();
        let mut revision = Revision::ZERO;
        while revision < through {
            revision = revision.next();
            for line in self.commit_at(db, revision)?.lines {
                match line.record {
                    Some(record) => entries.insert(line.name, record),
                    None => entries.remove(&line.name),
                };
            }
        }
        Ok(entries)
    }

    fn mark(&self, db: &Db) -> Result<Mark, BookError> {
        match db.get(MARK_KEY).map_err(|error| self.trouble(&error))? {
            Some(bytes) => frame::read_mark(MARK_KEY, &bytes).ok_or_else(|| {
                damaged(&self.store, "the store's high-water mark cannot be read".to_owned(), Vec::new())
            }),
            None if db.is_empty() => Ok(Mark { revision: Revision::ZERO, tally: Tally::default() }),
            None => Err(damaged(&self.store, "the store's high-water mark is missing".to_owned(), Vec::new())),
        }
    }

    fn load_from(&self, db: &Db) -> Result<Loaded, BookError> {
        let mark = self.mark(db)?;
        let mut unreadable = Vec::new();
        let mut loaded = Loaded { revision: mark.revision, ..Loaded::default() };
        for pair in db.scan_prefix([space::ENTRIES]) {
            let (key, bytes) = pair.map_err(|error| self.trouble(&error))?;
            match frame::read_record(&key, &bytes).filter(|record| record.name.as_bytes() == &key[1..]) {
                Some(record) => {
                    loaded.tally.add(&record);
                    loaded.records.push(Arc::new(record));
                }
                None => unreadable.push(String::from_utf8_lossy(&key[1..]).into_owned()),
            }
        }
        if !unreadable.is_empty() {
            return Err(damaged(&self.store, format!("{} entries cannot be read", unreadable.len()), unreadable));
        }
        if loaded.tally != mark.tally {
            return Err(self.unlike(db, &mark, &loaded));
        }
        if mark.revision > Revision::ZERO {
            self.commit_at(db, mark.revision)?;
        }
        let beyond = frame::commit_key(mark.revision.next())..vec![space::COMMITS + 1];
        if db.range(beyond).next().is_some() {
            let what = format!("there are commits beyond the high-water mark of revision {}", mark.revision);
            return Err(damaged(&self.store, what, Vec::new()));
        }
        for pair in db.scan_prefix([space::REQUESTS]) {
            let (key, bytes) = pair.map_err(|error| self.trouble(&error))?;
            let Some(request) = frame::read_request(&key, &bytes) else {
                let id = String::from_utf8_lossy(&key[1..]).into_owned();
                return Err(damaged(&self.store, format!("the remembered request {id} cannot be read"), Vec::new()));
            };
            loaded.requests.push(request);
        }
        loaded.requests.sort_by_key(|request| request.revision);
        Ok(loaded)
    }

    /// Says how the entries differ from what the log of commits says they should be.
    fn unlike(&self, db: &Db, mark: &Mark, loaded: &Loaded) -> BookError {
        let what =
            format!("the store holds {} but recorded {} at revision {}", loaded.tally, mark.tally, mark.revision);
        let Ok(expected) = self.replay_log(db, mark.revision) else {
            return damaged(&self.store, format!("{what}; its log of commits cannot be read either"), Vec::new());
        };
        let found: BTreeMap<_, _> = loaded.records.iter().map(|record| (record.name.clone(), record)).collect();
        let lost = expected.iter().filter(|(name, record)| found.get(*name) != Some(record)).map(|(name, _)| name);
        let risen = found.keys().filter(|name| !expected.contains_key(*name));
        let names = lost.chain(risen).map(ToString::to_string).collect();
        damaged(&self.store, what, names)
    }

    /// Whether a journal leads and this store follows.
    pub(super) fn is_led(&self) -> Result<bool, BookError> {
        self.db.contains_key(PROGRESS_KEY).map_err(|error| self.trouble(&error))
    }

    /// How far it has come; `None` when that cannot be read.
    pub(super) fn progress(&self) -> Result<Option<Progress>, BookError> {
        let get = |key| self.db.get(key).map_err(|error| self.trouble(&error));
        if let Some(bytes) = get(PROGRESS_KEY)? {
            return Ok(frame::read_mark(PROGRESS_KEY, &bytes).map(|mark| Progress {
                revision: mark.revision,
                tally: Some(mark.tally).filter(|tally| *tally != UNSETTLED),
            }));
        }
        match get(MARK_KEY)? {
            Some(bytes) => Ok(frame::read_mark(MARK_KEY, &bytes)
                .map(|mark| Progress { revision: mark.revision, tally: Some(mark.tally) })),
            None if self.db.is_empty() => {
                Ok(Some(Progress { revision: Revision::ZERO, tally: Some(Tally::default()) }))
            }
            None => Ok(None),
        }
    }

    /// The commit of a revision, checked by its own sum.
    pub(super) fn body(&self, revision: Revision) -> Result<Option<Vec<u8>>, BookError> {
        let key = frame::commit_key(revision);
        let found = self.db.get(&key).map_err(|error| self.trouble(&error))?;
        Ok(found.map(|bytes| bytes.to_vec()).filter(|bytes| frame::read_commit(&key, bytes).is_some()))
    }

    /// The entries whose newest state is of these revisions, as far as they can be read.
    pub(super) fn names(&self, after: Revision, through: Revision) -> Vec<String> {
        let pairs = self.db.scan_prefix([space::ENTRIES]).map_while(Result::ok);
        pairs
            .filter_map(|(key, bytes)| frame::read_record(&key, &bytes))
            .filter(|record| record.revision > after && record.revision <= through)
            .map(|record| record.name.to_string())
            .collect()
    }

    /// The tally of the entries as they are, and the keys of those that cannot be read.
    pub(super) fn tally(&self) -> Result<(Tally, Vec<String>), BookError> {
        let mut tally = Tally::default();
        let mut unreadable = Vec::new();
        for pair in self.db.scan_prefix([space::ENTRIES]) {
            let (key, bytes) = pair.map_err(|error| self.trouble(&error))?;
            match frame::read_record(&key, &bytes).filter(|record| record.name.as_bytes() == &key[1..]) {
                Some(record) => tally.add(&record),
                None => unreadable.push(String::from_utf8_lossy(&key[1..]).into_owned()),
            }
        }
        Ok((tally, unreadable))
    }

    /// Takes the next commits in, with what the entries come to when these are the last of them for now.
    pub(super) fn take(&self, commits: &[Arc<PastCommit>], tally: Option<Tally>) -> Result<(), BookError> {
        let Some(last) = commits.last() else { return Ok(()) };
        let mut batch = Batch::default();
        let mut entries: BTreeMap<&Name, Option<&Arc<Record>>> = BTreeMap::new();
        for commit in commits {
            let key = frame::commit_key(commit.revision);
            let bytes = frame::write_commit(&key, commit);
            batch.insert(key, bytes);
            entries.extend(commit.lines.iter().map(|line| (&line.name, line.record.as_ref())));
        }
        for (name, record) in entries {
            let key = frame::entry_key(name);
            match record {
                Some(record) => {
                    let bytes = frame::write_record(&key, record);
                    batch.insert(key, bytes);
                }
                None => batch.remove(key),
            }
        }
        let mark = Mark { revision: last.revision, tally: tally.unwrap_or(UNSETTLED) };
        batch.insert(PROGRESS_KEY, frame::write_mark(PROGRESS_KEY, &mark));
        // A release of the first format must not write on into a store that follows a journal.
        batch.remove(MARK_KEY);
        self.db.apply_batch(batch).map_err(|error| self.trouble(&error))?;
        self.sync()
    }

    /// Takes entries in that no commit it is given will tell of.
    pub(super) fn take_entries(&self, records: &[Record]) -> Result<(), BookError> {
        let mut batch = Batch::default();
        for record in records {
            let key = frame::entry_key(&record.name);
            let bytes = frame::write_record(&key, record);
            batch.insert(key, bytes);
        }
        self.db.apply_batch(batch).map_err(|error| self.trouble(&error))?;
        self.sync()
    }

    /// Takes out some of the commits before a revision; returns whether there were any.
    pub(super) fn forget(&self, before: Revision) -> Result<bool, BookError> {
        let keys = self.db.range(frame::commit_key(Revision::ZERO)..frame::commit_key(before)).keys();
        let keys: Vec<_> = keys.take(FORGOTTEN).collect::<Result<_, _>>().map_err(|error| self.trouble(&error))?;
        if keys.is_empty() {
            return Ok(false);
        }
        let mut batch = Batch::default();
        keys.into_iter().for_each(|key| batch.remove(key));
        self.db.apply_batch(batch).map_err(|error| self.trouble(&error))?;
        self.sync()?;
        Ok(true)
    }

    /// Lets a store of the first format follow a journal from where it is.
    pub(super) fn follow(&self, progress: Progress) -> Result<(), BookError> {
        let mark = Mark { revision: progress.revision, tally: progress.tally.unwrap_or(UNSETTLED) };
        let mut batch = Batch::default();
        batch.insert(PROGRESS_KEY, frame::write_mark(PROGRESS_KEY, &mark));
        batch.remove(MARK_KEY);
        self.db.apply_batch(batch).map_err(|error| self.trouble(&error))?;
        self.sync()
    }

    /// Reads a store of the first format, and checks it against what it last recorded of itself.
    pub(super) fn load(&self) -> Result<Loaded, BookError> {
        self.load_from(&self.db)
    }

    /// Reads whole commits, oldest first.
    pub(super) fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        let keys = frame::commit_key(span.after.next())..vec![space::COMMITS + 1];
        let commits = self.db.range(keys).map(|pair| {
            let (key, bytes) = pair.map_err(|error| self.trouble(&error))?;
            frame::read_commit(&key, &bytes).map(Arc::new).ok_or_else(|| {
                let revision = frame::revision_of(&key).unwrap_or_default();
                damaged(&self.store, format!("the commit of revision {revision} cannot be read"), Vec::new())
            })
        });
        within(span, commits, |commit| commit.revision, |commit| commit.bytes())
    }

    /// Makes everything sled has accepted durable.
    pub(super) fn sync(&self) -> Result<(), BookError> {
        self.db.flush().map_err(|error| self.trouble(&error))?;
        let data = self.store.join("db");
        self.data.sync_data().map_err(|cause| BookError::io("sync", &data, &cause))?;
        let directory = self.store.join("blobs");
        let mut blobs = self.blobs.lock();
        sync_blobs(&directory, &mut blobs).map_err(|cause| BookError::io("sync", &directory, &cause))
    }
}

/// Opens sled with nothing left to its defaults.
fn open_store(store: &Path, cache_bytes: u64) -> Result<Db, BookError> {
    let config = sled::Config::new()
        .path(store)
        .mode(Mode::HighThroughput)
        .cache_capacity(cache_bytes)
        .flush_every_ms(None)
        .use_compression(false)
        .temporary(false)
        .create_new(false)
        .print_profile_on_drop(false);
    let mut tries = 0;
    loop {
        match config.open() {
            Ok(db) => return Ok(db),
            // The directory's own lock is ours, so only this process's last store can be in the way: one it is still letting
            // go of, or whose lock a process that is just being started holds a copy of.
            Err(sled::Error::Io(cause)) if tries < TRIES && cause.to_string().contains("could not acquire lock") => {
                tries += 1;
                std::thread::sleep(PAUSE);
            }
            Err(error) => return Err(trouble(store, &error)),
        }
    }
}

/// Makes what opening created durable: the files, and their names in their directories.
fn sync_files(directory: &Path, store: &Path) -> Result<File, BookError> {
    let sync = |path: &Path| {
        let file = File::open(path).map_err(|cause| BookError::io("open", path, &cause))?;
        file.sync_all().map_err(|cause| BookError::io("sync", path, &cause))?;
        Ok(file)
    };
    let data = sync(&store.join("db"))?;
    let conf = store.join("conf");
    if conf.exists() {
        sync(&conf)?;
    }
    sync(&store.join("blobs"))?;
    sync(store)?;
    sync(directory)?;
    if let Some(parent) = directory.parent().filter(|parent| !parent.as_os_str().is_empty()) {
        sync(parent)?;
    }
    Ok(data)
}

/// Syncs blob files that were not there at the last sync, and the directory when there are any.
fn sync_blobs(directory: &Path, synced: &mut HashSet<OsString>) -> io::Result<()> {
    let mut present = HashSet::new();
    let mut news = false;
    for blob in fs::read_dir(directory)? {
        let blob = blob?;
        let name = blob.file_name();
        if !synced.contains(&name) {
            match File::open(blob.path()) {
                Ok(file) => file.sync_data()?,
                // sled drops blobs that are no longer needed on a thread of its own.
                Err(gone) if gone.kind() == io::ErrorKind::NotFound => continue,
                Err(error) => return Err(error),
            }
            news = true;
        }
        present.insert(name);
    }
    *synced = present;
    if news { File::open(directory)?.sync_all() } else { Ok(()) }
}

fn trouble(store: &Path, error: &sled::Error) -> BookError {
    match error {
        sled::Error::Io(cause) => BookError::io("use", store, cause),
        other => damaged(store, format!("the store reports: {other}"), Vec::new()),
    }
}

fn damaged(store: &Path, what: String, names: Vec<String>) -> BookError {
    let next = format!(
        "nothing was changed: copy {} aside before anything else, then put the last backup in its place",
        store.display()
    );
    BookError::Damaged { what, names, next }
}
