//! Decoded entries in memory over any engine, views of them at one revision, search and nearest names.
//!
//! The book keeps opaque values; here they become entries and specifications, each decoded once, by whoever reads it
//! first. The newest state of every name is at hand under one lock; a view of a past revision takes what still is the
//! newest from there and decodes the rest from the book's memory. No read touches a disk.

use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

use baybook_proto::v1 as pb;
use parking_lot::RwLock;
use prost::Message as _;

use super::{Book, BookError, Follower, Moment, Name, PastCommit, Record, Revision, Snapshot};
use crate::access::OWN;
use crate::wire::{Fields, Lookup, Spec, names};

/// How many nearest names are offered.
const NEAREST: usize = 3;

/// How many records are read from the book under one lock.
const PORTION: usize = 1_000;

/// One entry as it stood at a revision, decoded when it is first read.
#[derive(Debug)]
pub struct Shown {
    record: Arc<Record>,
    entry: OnceLock<Result<pb::Entry, String>>,
    spec: OnceLock<Option<Spec>>,
    words: OnceLock<Words>,
}

/// What a search looks at, in lower case.
#[derive(Debug)]
struct Words {
    label: String,
    all: String,
}

impl Shown {
    /// Wraps a record of the book.
    #[must_use]
    pub fn new(record: Arc<Record>) -> Self {
        Self { record, entry: OnceLock::new(), spec: OnceLock::new(), words: OnceLock::new() }
    }

    /// Returns the record as the book keeps it.
    #[must_use]
    pub fn record(&self) -> &Arc<Record> {
        &self.record
    }

    /// Returns the entry with all that the service sets.
    ///
    /// # Errors
    /// [`BookError::Damaged`] when what is stored is no entry.
    pub fn entry(&self) -> Result<&pb::Entry, BookError> {
        self.entry.get_or_init(|| decode(&self.record)).as_ref().map_err(|why| BookError::Damaged {
            what: format!("{} cannot be read: {why}", self.record.name),
            names: vec![self.record.name.to_string()],
            next: "put the entry again from its source".to_owned(),
        })
    }

    /// Returns the specification; nothing when what is stored no longer reads as one.
    #[must_use]
    pub fn spec(&self) -> Option<&Spec> {
        let read = || {
            let mut fields = Fields::default();
            let spec = Spec::from_entry(self.entry().ok()?, &mut fields);
            fields.finish(spec).ok()
        };
        self.spec.get_or_init(read).as_ref()
    }

    /// Returns how well the entry answers a search: 0 not at all, more is better. Words are in lower case.
    fn rank(&self, words: &[String]) -> u32 {
        let text = self.words.get_or_init(|| self.words_of());
        let id = self.record.name.split_once('/').map_or("", |(_, id)| id);
        let mut rank = 0;
        for word in words {
            let word = word.as_str();
            if !text.all.contains(word) {
                return 0;
            }
            rank += if id == word || text.label == word {
                32
            } else if has_word(&text.label, word) || has_word(id, word) {
                16
            } else if text.label.contains(word) {
                8
            } else if id.contains(word) {
                4
            } else {
                1
            };
        }
        rank
    }

    fn words_of(&self) -> Words {
        let label = self.spec().map(|spec| spec.label().to_lowercase()).unwrap_or_default();
        let mut all = format!("{}\n{label}", self.record.name.as_str());
        if let Ok(entry) = self.entry() {
            all.push('\n');
            all.push_str(&entry.note.to_lowercase());
            if let Some(source) = &entry.source {
                for part in [&source.document, &source.page, &source.edition, &source.date_seen] {
                    all.push('\n');
                    all.push_str(&part.to_lowercase());
                }
            }
        }
        Words { label, all }
    }
}

fn has_word(text: &str, word: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric()).any(|it| it == word)
}

/// Encodes an entry for the book: without what the service sets, which the record holds.
#[must_use]
pub fn encode(entry: &pb::Entry) -> bytes::Bytes {
    let bare = pb::Entry {
        etag: String::new(),
        revision: 0,
        create_time: None,
        update_time: None,
        author: String::new(),
        ..entry.clone()
    };
    bare.encode_to_vec().into()
}

/// Decodes a record of the book, with all that the service sets.
fn decode(record: &Record) -> Result<pb::Entry, String> {
    let mut entry = pb::Entry::decode(record.value.clone()).map_err(|error| error.to_string())?;
    if entry.name != record.name.as_str() {
        return Err(format!("it holds {:?}", entry.name));
    }
    entry.etag = crate::error::etag(record.revision);
    entry.revision = record.revision.to_wire();
    entry.create_time = Some(timestamp(record.created_time));
    entry.update_time = Some(timestamp(record.time));
    entry.author = record.author.as_ref().to_owned();
    Ok(entry)
}

/// Returns a moment as the wire carries it.
#[must_use]
pub fn timestamp(moment: Moment) -> pbjson_types::Timestamp {
    let (seconds, nanos) = moment.seconds_and_nanos();
    pbjson_types::Timestamp { seconds, nanos }
}

/// The newest state of every name.
#[derive(Debug, Default)]
struct Newest {
    revision: Revision,
    entries: HashMap<Name, Arc<Shown>>,
}

/// Keeps the newest state in step with the book.
#[derive(Debug, Default)]
struct Desk(RwLock<Newest>);

impl Follower for Desk {
    fn published(&self, commits: &[Arc<PastCommit>]) {
        let mut newest = self.0.write();
        for commit in commits {
            newest.revision = commit.revision;
            for line in commit.lines.iter().filter(|line| !line.name.starts_with(OWN)) {
                match &line.record {
                    Some(record) => {
                        newest.entries.insert(line.name.clone(), Arc::new(Shown::new(Arc::clone(record))));
                    }
                    None => {
                        newest.entries.remove(&line.name);
                    }
                }
            }
        }
    }
}

/// Decoded entries over a book.
#[derive(Debug)]
pub struct Catalog {
    book: Arc<dyn Book>,
    desk: Arc<Desk>,
}

impl Catalog {
    /// Opens a catalogue over a book and keeps it in step from now on.
    #[must_use]
    pub fn open(book: Arc<dyn Book>) -> Arc<Self> {
        let desk = Arc::new(Desk::default());
        {
            // The lock is held until the past is in, so that what the book tells meanwhile comes after it.
            let mut newest = desk.0.write();
            let snapshot = book.follow(Arc::clone(&desk) as Arc<dyn Follower>);
            newest.revision = snapshot.revision();
            for record in records(&snapshot, "") {
                newest.entries.insert(record.name.clone(), Arc::new(Shown::new(record)));
            }
        }
        Arc::new(Self { book, desk })
    }

    /// Returns the book underneath.
    #[must_use]
    pub fn book(&self) -> &Arc<dyn Book> {
        &self.book
    }

    /// Returns the newest revision.
    #[must_use]
    pub fn revision(&self) -> Revision {
        self.desk.0.read().revision
    }

    /// Returns the newest state of a name, and the revision that shows it.
    #[must_use]
    pub fn newest(&self, name: &str) -> (Revision, Option<Arc<Shown>>) {
        let newest = self.desk.0.read();
        (newest.revision, newest.entries.get(name).cloned())
    }

    /// Returns how many entries each folder holds.
    #[must_use]
    pub fn folders(&self) -> Vec<(&'static str, usize)> {
        let mut counts: Vec<_> = names::FOLDERS.iter().map(|row| (row.folder, 0)).collect();
        for name in self.desk.0.read().entries.keys() {
            let folder = name.split_once('/').map_or("", |(folder, _)| folder);
            if let Some((_, count)) = counts.iter_mut().find(|(row, _)| *row == folder) {
                *count += 1;
            }
        }
        counts
    }

    /// Pins the revision that readers of single entries see: the book may be a moment ahead of it, and who reads one way
    /// must not see more than who reads another way later.
    #[must_use]
    pub fn view(self: &Arc<Self>) -> View {
        let snapshot = self.book.snapshot_at(self.revision()).unwrap_or_else(|_| self.book.snapshot());
        View { snapshot, catalog: Arc::clone(self) }
    }

    /// Pins a past revision.
    ///
    /// # Errors
    /// [`BookError::RevisionGone`], [`BookError::RevisionAhead`].
    pub fn view_at(self: &Arc<Self>, revision: Revision) -> Result<View, BookError> {
        Ok(View { snapshot: self.book.snapshot_at(revision)?, catalog: Arc::clone(self) })
    }

    /// Returns a page as [`View::page`] does, of a revision that nobody holds: it may be gone before the next page.
    ///
    /// # Errors
    /// [`BookError::RevisionGone`], [`BookError::RevisionAhead`].
    pub fn page_at(
        &self,
        revision: Revision,
        prefix: &str,
        after: Option<&str>,
        limit: usize,
    ) -> Result<(Vec<Arc<Shown>>, bool), BookError> {
        let page = self.book.scan(prefix, past_own(prefix, after), limit, Some(revision))?;
        Ok((page.records.into_iter().map(|record| self.shown(record)).collect(), page.more))
    }

    /// Returns a record of the book as an entry: the one at hand when it is the newest of its name.
    #[must_use]
    pub fn shown(&self, record: Arc<Record>) -> Arc<Shown> {
        let newest = self.desk.0.read().entries.get(record.name.as_str()).cloned();
        match newest {
            Some(shown) if shown.record.revision == record.revision => shown,
            _ => Arc::new(Shown::new(record)),
        }
    }
}

/// The book at one revision, for as long as it is held.
#[derive(Debug, Clone)]
pub struct View {
    snapshot: Snapshot,
    catalog: Arc<Catalog>,
}

impl View {
    /// Returns the revision it shows.
    #[must_use]
    pub fn revision(&self) -> Revision {
        self.snapshot.revision()
    }

    /// Returns an entry.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Arc<Shown>> {
        let record = self.snapshot.get(name).filter(|record| !record.name.starts_with(OWN))?;
        Some(self.catalog.shown(record))
    }

    /// Returns up to `limit` entries whose name starts with `prefix` and comes after `after`, by name order, and whether
    /// more follow.
    #[must_use]
    pub fn page(&self, prefix: &str, after: Option<&str>, limit: usize) -> (Vec<Arc<Shown>>, bool) {
        let page = self.snapshot.scan(prefix, past_own(prefix, after), limit);
        (page.records.into_iter().map(|record| self.catalog.shown(record)).collect(), page.more)
    }

    /// Returns the entries that hold every one of the words, best first, and how many there are in all.
    #[must_use]
    pub fn search(&self, prefix: &str, words: &str, limit: usize) -> (Vec<Arc<Shown>>, usize) {
        let words: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
        let mut found: Vec<(u32, Arc<Shown>)> = records(&self.snapshot, prefix)
            .filter_map(|record| {
                let shown = self.catalog.shown(record);
                let rank = shown.rank(&words);
                (rank > 0).then_some((rank, shown))
            })
            .collect();
        let count = found.len();
        // Stable: entries of the same rank stay in order of names.
        found.sort_by_key(|(rank, _)| std::cmp::Reverse(*rank));
        found.truncate(limit);
        (found.into_iter().map(|(_, shown)| shown).collect(), count)
    }

    /// Returns the entries that refer to a name, by name order.
    #[must_use]
    pub fn referring_to(&self, name: &str) -> Vec<String> {
        let mut all: Vec<String> = ["receivers/", "trailers/"]
            .iter()
            .flat_map(|folder| records(&self.snapshot, folder))
            .filter_map(|record| {
                let shown = self.catalog.shown(record);
                let refers = shown.spec()?.references().iter().any(|reference| reference.name == name);
                refers.then(|| shown.record.name.to_string())
            })
            .collect();
        all.sort();
        all
    }
}

impl Lookup for View {
    fn find(&self, name: &str) -> Option<Spec> {
        self.get(name)?.spec().cloned()
    }

    fn nearest(&self, name: &str) -> Vec<String> {
        let Some((folder, id)) = name.split_once('/') else { return Vec::new() };
        let most = (id.len() / 3).clamp(2, 8);
        let prefix = format!("{folder}/");
        let mut near: Vec<(usize, String)> = records(&self.snapshot, &prefix)
            .filter_map(|record| {
                let other = record.name.strip_prefix(&prefix)?;
                if other.len().abs_diff(id.len()) > most {
                    return None;
                }
                let off = strsim::osa_distance(id, other);
                (off <= most).then(|| (off, record.name.to_string()))
            })
            .collect();
        near.sort();
        near.truncate(NEAREST);
        near.into_iter().map(|(_, name)| name).collect()
    }
}

/// Returns where a scan of entries begins: behind the service's own records, which sort before every entry.
fn past_own<'a>(prefix: &str, after: Option<&'a str>) -> Option<&'a str> {
    const LAST: &str = "/";
    if prefix.is_empty() { Some(after.unwrap_or(LAST).max(LAST)) } else { after }
}

/// Every record of a snapshot under a prefix, read in portions so that no lock is held for long.
fn records<'a>(snapshot: &'a Snapshot, prefix: &'a str) -> impl Iterator<Item = Arc<Record>> + 'a {
    let mut after: Option<Name> = None;
    // The service's own records are no entries.
    let mut done = prefix.starts_with(OWN);
    std::iter::from_fn(move || {
        if done {
            return None;
        }
        let page = snapshot.scan(prefix, past_own(prefix, after.as_deref()), PORTION);
        done = !page.more;
        after = page.records.last().map(|record| record.name.clone());
        Some(page.records)
    })
    .flatten()
}

#[cfg(test)]
mod tests {
    use super::super::{Bounds, Change, Commit, LocalBook};
    use super::*;

    fn vehicle(name: &str, label: &str, note: &str) -> pb::Entry {
        let spec = pb::Vehicle {
            label: label.to_owned(),
            wheelbase_mm: Some(3_600.0),
            market: 1,
            kind: 3,
            ..pb::Vehicle::default()
        };
        let spec = Some(pb::entry::Spec::Vehicle(spec));
        pb::Entry { name: name.to_owned(), note: note.to_owned(), spec, ..pb::Entry::default() }
    }

    async fn put(catalog: &Catalog, entries: &[pb::Entry]) -> Revision {
        let changes = entries
            .iter()
            .map(|entry| Change::Put { name: Name::new(&entry.name).unwrap(), value: encode(entry) })
            .collect();
        let commit = Commit { changes, author: "sam".into(), time: Moment::from_micros(5), ..Commit::default() };
        catalog.book().commit(commit).await.unwrap().revision
    }

    fn catalog() -> Arc<Catalog> {
        Catalog::open(Arc::new(LocalBook::in_memory(Bounds::default()).unwrap()))
    }

    #[tokio::test]
    async fn what_the_service_sets_comes_from_the_record() {
        let catalog = catalog();
        let sent = pb::Entry { etag: "*".to_owned(), author: "x".to_owned(), ..vehicle("vehicles/van-7", "Van", "") };
        put(&catalog, &[sent]).await;
        let (revision, shown) = catalog.newest("vehicles/van-7");
        let shown = shown.unwrap();
        let entry = shown.entry().unwrap();
        assert_eq!(revision, Revision::new(1));
        assert_eq!((entry.etag.as_str(), entry.revision, entry.author.as_str()), ("r1", 1, "sam"));
        assert_eq!(entry.create_time, Some(pbjson_types::Timestamp { seconds: 0, nanos: 5_000 }));
        assert_eq!(catalog.folders()[0], ("vehicles", 1));
    }

    #[tokio::test]
    async fn a_view_keeps_its_revision_while_the_book_moves_on() {
        let catalog = catalog();
        put(&catalog, &[vehicle("vehicles/van-7", "old", "")]).await;
        let view = catalog.view();
        put(&catalog, &[vehicle("vehicles/van-7", "new", ""), vehicle("vehicles/van-8", "later", "")]).await;
        let label = |view: &View| view.find("vehicles/van-7").map(|spec| spec.label().to_owned());
        assert_eq!(label(&view).as_deref(), Some("old"));
        assert!(view.get("vehicles/van-8").is_none());
        assert_eq!(view.page("", None, 10).0.len(), 1);
        assert_eq!(label(&catalog.view()).as_deref(), Some("new"));
        assert_eq!(label(&catalog.view_at(Revision::new(1)).unwrap()).as_deref(), Some("old"));
        assert!(catalog.view_at(Revision::new(9)).is_err());
    }

    #[tokio::test]
    async fn a_search_wants_every_word_and_puts_the_best_first() {
        let catalog = catalog();
        let entries = [
            vehicle("vehicles/a", "Box van, long", "was VAN 7 before"),
            vehicle("vehicles/van-7", "Panel VAN", ""),
            vehicle("vehicles/z", "Pickup", "no van"),
        ];
        put(&catalog, &entries).await;
        let names = |words: &str, limit: usize| {
            let (found, count) = catalog.view().search("vehicles/", words, limit);
            (found.iter().map(|shown| shown.record().name.to_string()).collect::<Vec<_>>(), count)
        };
        assert_eq!(names("van", 9).1, 3);
        assert_eq!(names("VAN panel", 9).0, ["vehicles/van-7"]);
        assert_eq!(names("van 7", 1), (vec!["vehicles/van-7".to_owned()], 2));
        assert_eq!(names("van nothing", 9).1, 0);
    }

    #[tokio::test]
    async fn the_nearest_names_are_of_the_same_folder_nearest_first() {
        let catalog = catalog();
        let names =
            ["vehicles/van-7", "vehicles/van-17", "vehicles/van-72", "vehicles/pickup-long", "vehicles/truck-1"];
        put(&catalog, &names.map(|name| vehicle(name, "x", ""))).await;
        let view = catalog.view();
        assert_eq!(view.nearest("vehicles/van-71"), ["vehicles/van-17", "vehicles/van-7", "vehicles/van-72"]);
        assert_eq!(view.nearest("trailers/van-71"), Vec::<String>::new());
        assert_eq!(view.nearest("nothing"), Vec::<String>::new());
    }

    #[tokio::test]
    async fn damage_names_the_entry() {
        let catalog = catalog();
        let name = Name::new("vehicles/van-7").unwrap();
        let changes = vec![Change::Put { name, value: bytes::Bytes::from_static(&[0xff, 1, 2]) }];
        catalog.book().commit(Commit { changes, ..Commit::default() }).await.unwrap();
        let shown = catalog.view().get("vehicles/van-7").unwrap();
        let error = shown.entry().unwrap_err();
        assert!(matches!(&error, BookError::Damaged { names, .. } if names == &["vehicles/van-7"]), "{error}");
        assert!(shown.spec().is_none());
    }
}
