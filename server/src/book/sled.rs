//! The book on disk, in a sled tree.
//!
//! What is known of sled 0.34 decides how it is used here:
//!
//! * its `flush` asks for `sync_file_range`, which does not make anything durable, and it never syncs its blob files, so
//!   each group ends with `fdatasync` on the data file and on every new blob;
//! * its `flush_async` hangs with several callers, so only the blocking `flush` is called, by one thread;
//! * it hides damage: records may be missing after an open that reported nothing, so the number of entries, the digest of
//!   all of them and the revision are written with every group and compared at every open;
//! * it panics on some damaged files, so opening and loading are guarded;
//! * nothing relies on its transactions or on several trees: one tree, one batch per group.
//!
//! The log of commits holds everything; the entries are there to open fast, the history and the requests only point into
//! the log.

use std::collections::{BTreeMap, HashSet};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use parking_lot::{Mutex, RwLock};
use sled::{Batch, Db, Mode};

use super::engine::{Engine, Failed, Group, Loaded, RequestMark, Span};
use super::error::BookError;
use super::frame::{self, MARK_KEY, Mark, space};
use super::history::{past_bytes, past_of, within};
use super::lock::DirectoryLock;
use super::record::{Name, Past, PastCommit, Record, Revision, StoredAnswer};
use super::tally::Tally;

/// Where sled lives within the data directory.
const STORE: &str = "store";
/// How often a store that this process has just closed is asked for again: sled lets go of its lock a little late.
const TRIES: u32 = 200;
const PAUSE: Duration = Duration::from_millis(10);

struct Opened {
    db: Db,
    data: File,
    /// Blob files that are on disk already.
    blobs: Mutex<HashSet<OsString>>,
    /// Released last.
    _lock: DirectoryLock,
}

/// Keeps the book in a data directory.
pub(super) struct SledEngine {
    store: PathBuf,
    opened: RwLock<Option<Opened>>,
}

impl SledEngine {
    pub(super) fn open(directory: &Path, cache_bytes: u64) -> Result<Self, BookError> {
        fs::create_dir_all(directory).map_err(|cause| BookError::io("create", directory, &cause))?;
        let lock = DirectoryLock::take(directory)?;
        let store = directory.join(STORE);
        let db = guarded(&store, || open_store(&store, cache_bytes))?;
        let data = sync_files(directory, &store)?;
        let opened = Opened { db, data, blobs: Mutex::default(), _lock: lock };
        Ok(Self { store, opened: RwLock::new(Some(opened)) })
    }

    fn with<T>(&self, read: impl FnOnce(&Db) -> Result<T, BookError>) -> Result<T, BookError> {
        match self.opened.read().as_ref() {
            Some(opened) => read(&opened.db),
            None => Err(BookError::Closed),
        }
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
            Some(bytes) => frame::read_mark(&bytes).ok_or_else(|| {
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

    fn write(&self, opened: &Opened, group: &Group<'_>) -> Result<(), BookError> {
        let Some(last) = group.commits.last() else { return Ok(()) };
        let mut batch = Batch::default();
        for id in group.forgotten {
            batch.remove(frame::request_key(id));
        }
        let mut entries: BTreeMap<&Name, Option<&Arc<Record>>> = BTreeMap::new();
        for commit in group.commits {
            let key = frame::commit_key(commit.revision);
            let bytes = frame::write_commit(&key, commit);
            batch.insert(key, bytes);
            for line in &commit.lines {
                batch.insert(frame::history_key(&line.name, commit.revision), &[]);
                entries.insert(&line.name, line.record.as_ref());
            }
            if let Some(request) = &commit.request
                && !group.forgotten.contains(&request.id)
            {
                let key = frame::request_key(&request.id);
                let (id, digest) = (Arc::clone(&request.id), request.digest);
                let mark = RequestMark { id, digest, revision: commit.revision, time: commit.time };
                let bytes = frame::write_request(&key, &mark);
                batch.insert(key, bytes);
            }
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
        batch.insert(MARK_KEY, frame::write_mark(&Mark { revision: last.revision, tally: group.tally }));
        opened.db.apply_batch(batch).map_err(|error| self.trouble(&error))?;
        self.sync(opened)
    }

    /// Makes everything sled has accepted durable.
    fn sync(&self, opened: &Opened) -> Result<(), BookError> {
        opened.db.flush().map_err(|error| self.trouble(&error))?;
        let data = self.store.join("db");
        opened.data.sync_data().map_err(|cause| BookError::io("sync", &data, &cause))?;
        let directory = self.store.join("blobs");
        let mut blobs = opened.blobs.lock();
        sync_blobs(&directory, &mut blobs).map_err(|cause| BookError::io("sync", &directory, &cause))
    }
}

impl Engine for SledEngine {
    fn load(&self) -> Result<Loaded, BookError> {
        guarded(&self.store, || self.with(|db| self.load_from(db)))
    }

    fn append(&self, group: &Group<'_>) -> Result<(), Failed> {
        let opened = self.opened.read();
        let written = match opened.as_ref() {
            Some(opened) => self.write(opened, group),
            None => Err(BookError::Closed),
        };
        written.map_err(|error| Failed { why: error.to_string().into() })
    }

    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        self.with(|db| {
            let keys = frame::commit_key(span.after.next())..vec![space::COMMITS + 1];
            let commits = db.range(keys).map(|pair| {
                let (key, bytes) = pair.map_err(|error| self.trouble(&error))?;
                frame::read_commit(&key, &bytes).map(Arc::new).ok_or_else(|| {
                    let revision = frame::revision_of(&key).unwrap_or_default();
                    damaged(&self.store, format!("the commit of revision {revision} cannot be read"), Vec::new())
                })
            });
            within(span, commits, |commit| commit.revision, |commit| commit.bytes())
        })
    }

    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError> {
        self.with(|db| {
            let keys = frame::history_key(name, span.after.next())..=frame::history_key(name, span.through);
            if keys.is_empty() {
                return Ok(Vec::new());
            }
            let steps = db.range(keys).rev().map(|pair| {
                let (key, _) = pair.map_err(|error| self.trouble(&error))?;
                let revision = frame::revision_of(&key).unwrap_or_default();
                past_of(&self.commit_at(db, revision)?, name).ok_or_else(|| {
                    let what = format!("the commit of revision {revision} does not hold what the history says");
                    damaged(&self.store, what, vec![name.to_string()])
                })
            });
            within(span, steps, |past| past.revision, past_bytes)
        })
    }

    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError> {
        self.with(|db| {
            let key = frame::request_key(id);
            let Some(bytes) = db.get(&key).map_err(|error| self.trouble(&error))? else { return Ok(None) };
            let lost = || damaged(&self.store, format!("the remembered request {id} cannot be read"), Vec::new());
            let mark = frame::read_request(&key, &bytes).ok_or_else(lost)?;
            let request = self.commit_at(db, mark.revision)?.request.filter(|request| *request.id == *id);
            let request = request.ok_or_else(lost)?;
            let (digest, revision, time) = (mark.digest, mark.revision, mark.time);
            Ok(Some(StoredAnswer { digest, answer: request.answer, revision, time }))
        })
    }

    fn close(&self) -> Result<(), BookError> {
        let Some(opened) = self.opened.write().take() else { return Ok(()) };
        self.sync(&opened)
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

/// sled panics on some damaged files; that too is an answer.
fn guarded<T>(store: &Path, work: impl FnOnce() -> Result<T, BookError>) -> Result<T, BookError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let words =
            panic.downcast_ref::<String>().map(String::as_str).or_else(|| panic.downcast_ref::<&str>().copied());
        let what = format!("the store failed while it was read: {}", words.unwrap_or("no reason given"));
        Err(damaged(store, what, Vec::new()))
    })
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
