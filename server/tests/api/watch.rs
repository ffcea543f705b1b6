//! The feed of changes: ordered, each change once, whole commits, resumable, no gap between a snapshot and what follows.

use std::collections::BTreeMap;
use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_proto::v1::watch_book_response::Event;
use baybook_server::book::Bounds;
use baybook_server::{Config, Limits};
use tonic::{Code, Status, Streaming};

use crate::rig::{Rig, bolt, vehicle, wrong};

/// What a watcher makes of what it is told, by the rule of the contract: nothing counts before its cursor has come.
#[derive(Debug, Default)]
struct Replica {
    entries: BTreeMap<String, pb::Entry>,
    cursor: String,
    revision: i64,
    /// The revision of the snapshot.
    began: i64,
    /// Every commit that was told, with the names it changed.
    commits: Vec<(i64, Vec<String>)>,
    cursors: Vec<String>,
    parts: usize,
    bookmarks: usize,
    snapshot: Option<pb::SnapshotEnd>,
    waiting: Vec<pb::WatchedChange>,
}

impl Replica {
    fn take(&mut self, message: pb::WatchBookResponse) {
        match message.event.unwrap() {
            Event::Entries(some) => {
                assert!(self.snapshot.is_none() && self.cursor.is_empty());
                for entry in some.entries {
                    assert!(entry.revision <= message.revision);
                    let last = self.entries.last_key_value().map(|(name, _)| name.clone()).unwrap_or_default();
                    assert!(entry.name > last, "by name order");
                    self.entries.insert(entry.name.clone(), entry);
                }
            }
            Event::SnapshotEnd(end) => {
                self.cursor.clone_from(&end.cursor);
                (self.revision, self.began) = (message.revision, message.revision);
                assert_eq!(end.entry_count as usize, self.entries.len());
                self.snapshot = Some(end);
            }
            Event::Commits(some) => some.commits.into_iter().for_each(|commit| self.commit(commit)),
            Event::Bookmark(bookmark) => {
                assert!(self.waiting.is_empty(), "no bookmark within a commit");
                self.cursor = bookmark.cursor;
                self.revision = message.revision;
                self.bookmarks += 1;
            }
        }
    }

    fn commit(&mut self, commit: pb::WatchedCommit) {
        self.parts += 1;
        self.waiting.extend(commit.changes);
        if commit.cursor.is_empty() {
            return;
        }
        assert!(commit.revision > self.revision, "{} after {}", commit.revision, self.revision);
        let names = self.waiting.iter().map(|change| change.name.clone()).collect();
        for change in self.waiting.drain(..) {
            let before = self.entries.get(&change.name).map_or(0, |entry| entry.revision);
            assert!(before == change.previous_revision || self.snapshot.is_none(), "{}", change.name);
            match change.entry {
                Some(entry) => {
                    assert_eq!((&entry.name, entry.revision), (&change.name, commit.revision));
                    self.entries.insert(change.name, entry);
                }
                None => drop(self.entries.remove(&change.name)),
            }
        }
        self.revision = commit.revision;
        self.cursor.clone_from(&commit.cursor);
        self.cursors.push(commit.cursor);
        self.commits.push((commit.revision, names));
    }

    fn revisions(&self) -> Vec<i64> {
        self.commits.iter().map(|(revision, _)| *revision).collect()
    }

    /// Takes messages until everything through a revision has been told.
    async fn through(&mut self, stream: &mut Streaming<pb::WatchBookResponse>, revision: i64) {
        while self.revision < revision {
            let message = tokio::time::timeout(Duration::from_secs(60), stream.message()).await;
            self.take(message.unwrap().unwrap().unwrap());
        }
    }

    /// Takes messages until the stream ends.
    async fn until_end(&mut self, stream: &mut Streaming<pb::WatchBookResponse>) -> Result<(), Status> {
        loop {
            let message = tokio::time::timeout(Duration::from_secs(60), stream.message()).await;
            let Some(message) = message.unwrap()? else { return Ok(()) };
            self.take(message);
        }
    }
}

/// Bolts with a note of so many characters.
fn noted(count: usize, note: usize) -> Vec<pb::Entry> {
    (0..count).map(|n| pb::Entry { note: "n".repeat(note), ..bolt(&format!("b-{n}")) }).collect()
}

async fn watch(rig: &Rig, request: pb::WatchBookRequest) -> Result<Streaming<pb::WatchBookResponse>, Status> {
    Ok(rig.book().watch_book(request).await?.into_inner())
}

fn from_start() -> pb::WatchBookRequest {
    pb::WatchBookRequest { snapshot: true, ..Default::default() }
}

fn after(cursor: &str) -> pb::WatchBookRequest {
    pb::WatchBookRequest { cursor: cursor.to_owned(), ..Default::default() }
}

fn caught_up(request: pb::WatchBookRequest) -> pb::WatchBookRequest {
    pb::WatchBookRequest { until_caught_up: true, ..request }
}

/// Everything that a request is told before it has caught up.
async fn told(rig: &Rig, request: pb::WatchBookRequest) -> Replica {
    let mut replica = Replica::default();
    let mut stream = watch(rig, caught_up(request)).await.unwrap();
    replica.until_end(&mut stream).await.unwrap();
    replica
}

/// The revisions after one that changed entries; the others are the service's own records, such as that of a snapshot.
async fn changed(rig: &Rig, after: i64) -> Vec<i64> {
    let (mut revisions, mut after_revision) = (Vec::new(), after);
    loop {
        let request = pb::ListAuditRequest { after_revision, page_size: 1_000 };
        let reply = rig.steward().list_audit(request).await.unwrap().into_inner();
        let changes = reply.records.iter().filter(|record| record.kind() == pb::AuditKind::Change);
        revisions.extend(changes.map(|record| record.revision));
        after_revision = reply.next_after_revision;
        if after_revision >= reply.revision {
            return revisions;
        }
    }
}

async fn listed(rig: &Rig) -> BTreeMap<String, pb::Entry> {
    let request = pb::ListEntriesRequest { page_size: 1_000, ..Default::default() };
    let reply = rig.book().list_entries(request).await.unwrap().into_inner();
    assert!(reply.next_page_token.is_empty());
    reply.entries.into_iter().map(|entry| (entry.name.clone(), entry)).collect()
}

/// Writers that put and remove, each among entries of its own.
async fn write(rig: &Rig, writers: usize, rounds: usize) {
    let write = |writer: usize| async move {
        for round in 0..rounds {
            let id = |n: usize| format!("w{writer}-{}", (round + n) % 7);
            rig.put(vec![vehicle(&id(0), &format!("{round}")), bolt(&id(1))]).await;
            if round % 3 == 2 {
                let name = format!("bolts/{}", id(1));
                let request = pb::RemoveEntryRequest { name, etag: "*".to_owned(), ..Default::default() };
                rig.book().remove_entry(request).await.unwrap();
            }
        }
    };
    futures_util::future::join_all((0..writers).map(write)).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_snapshot_and_what_follows_it_make_the_book() {
    for rig in Rig::both().await {
        rig.put(vec![vehicle("van-0", "before")]).await;
        let mut watchers = Vec::new();
        for round in 0..4 {
            // Each begins while others are writing.
            let (_, stream) = tokio::join!(write(&rig, 4, 6), async {
                tokio::time::sleep(Duration::from_millis(3 * round)).await;
                watch(&rig, from_start()).await.unwrap()
            });
            watchers.push(stream);
        }
        let (newest, book) = (rig.put(vec![vehicle("van-0", "after")]).await, listed(&rig).await);
        for mut stream in watchers {
            let mut replica = Replica::default();
            replica.through(&mut stream, newest).await;
            assert_eq!(replica.entries, book);
            // Every change after the snapshot, once, in order.
            assert_eq!(replica.revisions(), changed(&rig, replica.began).await);
        }
        // The digest of a snapshot is that of an export.
        let snapshot = told(&rig, from_start()).await.snapshot.unwrap();
        let request = pb::ExportEntriesRequest::default();
        let mut export = rig.book().export_entries(request).await.unwrap().into_inner();
        let mut digest = String::new();
        while let Some(message) = export.message().await.unwrap() {
            digest = message.digest;
        }
        assert_eq!((snapshot.digest, snapshot.entry_count as usize), (digest, book.len()));
    }
}

#[tokio::test]
async fn whoever_goes_on_from_a_cursor_is_told_what_follows_it() {
    for rig in Rig::both().await {
        let start = told(&rig, from_start()).await.cursor;
        write(&rig, 3, 8).await;
        let whole = told(&rig, after(&start)).await;
        assert_eq!(whole.entries, listed(&rig).await);
        for (at, cursor) in whole.cursors.iter().enumerate() {
            let rest = told(&rig, after(cursor)).await;
            assert_eq!(rest.commits, whole.commits[at + 1..]);
            assert_eq!(rest.cursor, whole.cursor);
        }
        // From now on, nothing of the past; the bookmark says where now is.
        let now = told(&rig, pb::WatchBookRequest::default()).await;
        assert_eq!((now.commits.len(), now.bookmarks, &now.cursor), (0, 1, &whole.cursor));
    }
}

#[tokio::test]
async fn a_large_commit_comes_in_parts_and_counts_when_it_is_whole() {
    let rig = Rig::disk().await;
    let start = told(&rig, from_start()).await.cursor;
    rig.put(noted(300, 3)).await;
    rig.put(noted(900, 2_000)).await;
    let replica = told(&rig, after(&start)).await;
    assert_eq!(replica.revisions(), changed(&rig, 0).await);
    assert_eq!(replica.commits.iter().map(|(_, names)| names.len()).collect::<Vec<_>>(), [300, 900]);
    // The first one in one part; 1.8 MB in parts of 128 KiB.
    assert!((15..=20).contains(&replica.parts), "{}", replica.parts);
    assert_eq!(replica.entries, listed(&rig).await);
    let from_snapshot = told(&rig, from_start()).await;
    assert_eq!(from_snapshot.entries, replica.entries);
}

#[tokio::test]
async fn a_kind_is_told_alone_and_its_cursors_stand_for_the_rest() {
    let rig = Rig::memory().await;
    let kind = |request| pb::WatchBookRequest { kind: pb::EntryKind::Bolt.into(), ..request };
    rig.put(vec![vehicle("van-1", "one"), bolt("b-1")]).await;
    rig.put(vec![vehicle("van-1", "two")]).await;
    let bolts = told(&rig, kind(from_start())).await;
    assert_eq!(bolts.entries.keys().collect::<Vec<_>>(), ["bolts/b-1"]);
    rig.put(vec![bolt("b-2"), vehicle("van-2", "x")]).await;
    rig.put(vec![vehicle("van-2", "y")]).await;
    let more = told(&rig, kind(after(&bolts.cursor))).await;
    // The third revision is the record of the snapshot.
    assert_eq!(more.commits, [(4, vec!["bolts/b-2".to_owned()])]);
    // The bookmark stands beyond the commit that touched no bolt.
    assert_eq!(more.revision, 5);
    let all = told(&rig, after(&bolts.cursor)).await;
    assert_eq!((all.revisions(), all.cursor), (vec![4, 5], more.cursor));
}

#[tokio::test]
async fn bookmarks_come_by_themselves() {
    let limits = Limits { watch_bookmark: Duration::from_millis(30), ..Limits::default() };
    assert!(Limits::default().watch_bookmark <= Duration::from_secs(10), "the contract's bar");
    let rig = Rig::limited(limits).await;
    let mut stream = watch(&rig, from_start()).await.unwrap();
    let mut replica = Replica::default();
    while replica.bookmarks < 4 {
        replica.take(stream.message().await.unwrap().unwrap());
    }
    // Whether or not there is something else to tell.
    let newest = rig.put(vec![bolt("b-1")]).await;
    replica.through(&mut stream, newest).await;
    assert_eq!(replica.revisions(), [newest]);
}

#[tokio::test]
async fn a_cursor_that_is_none_is_refused_by_its_field() {
    let rig = Rig::memory().await;
    rig.put(vec![bolt("b-1")]).await;
    let good = told(&rig, from_start()).await.cursor;
    for bad in ["1", "1.1.1", "nonsense", &good[1..], &format!("{good} "), &"9".repeat(3_000)] {
        let mut stream = watch(&rig, after(bad)).await.unwrap();
        let error = wrong(stream.message().await);
        assert_eq!(
            (error.code, error.reason.as_str(), error.fields()),
            (Code::InvalidArgument, "BAD_FIELDS", vec!["cursor"])
        );
    }
    let both = pb::WatchBookRequest { snapshot: true, ..after(&good) };
    let error = wrong(watch(&rig, both).await.unwrap().message().await);
    assert_eq!((error.code, error.fields()), (Code::InvalidArgument, vec!["cursor"]));
    let kind = pb::WatchBookRequest { kind: 99, ..from_start() };
    let error = wrong(watch(&rig, kind).await.unwrap().message().await);
    assert_eq!((error.code, error.fields()), (Code::InvalidArgument, vec!["kind"]));
}

#[tokio::test]
async fn a_cursor_of_another_book_is_refused_with_the_oldest_and_the_way_to_begin_anew() {
    let (rig, other) = (Rig::memory().await, Rig::memory().await);
    for n in 0..3 {
        rig.put(vec![bolt(&format!("b-{n}"))]).await;
    }
    other.put(vec![bolt("b-1")]).await;
    let oldest = told(&Rig::memory().await, pb::WatchBookRequest::default()).await.cursor;
    let refused = |error: crate::rig::Wrong, cursor: &str, why: &str| {
        assert_eq!((error.code, error.reason.as_str()), (Code::OutOfRange, "CURSOR_GONE"));
        assert_eq!(
            (error.meta("cursor"), error.meta("oldest"), error.meta("oldest_revision")),
            (cursor, oldest.as_str(), "0")
        );
        assert!(error.message.contains(why) && error.message.contains("snapshot = true"), "{}", error.message);
    };
    // The same number, another commit.
    let foreign = told(&other, pb::WatchBookRequest::default()).await.cursor;
    refused(wrong(watch(&rig, after(&foreign)).await.unwrap().message().await), &foreign, "another book");
    let ahead = told(&rig, pb::WatchBookRequest::default()).await.cursor;
    refused(wrong(watch(&other, after(&ahead)).await.unwrap().message().await), &ahead, "newer than this book");
    // The empty book is the beginning of every book.
    assert_eq!(told(&rig, after(&oldest)).await.revisions(), [1, 2, 3]);
}

/// Little room on the way, so that a reader that stops is felt soon.
fn narrow(unread: Duration) -> Limits {
    Limits {
        stream_window_bytes: 64 << 10,
        watch_unread: unread,
        watch_bookmark: Duration::from_secs(3_600),
        ..Limits::default()
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_reader_that_is_too_slow_is_ended_with_its_last_cursor() {
    let rig = Rig::limited(narrow(Duration::from_millis(300))).await;
    let start = told(&rig, pb::WatchBookRequest::default()).await.cursor;
    let mut stream = watch(&rig, after(&start)).await.unwrap();
    for _ in 0..40 {
        rig.put(noted(50, 2_000)).await;
    }
    tokio::time::sleep(Duration::from_millis(900)).await;
    // What was on its way still comes, and then the end, which tells where that was.
    let mut replica = Replica::default();
    let error = wrong(replica.until_end(&mut stream).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::ResourceExhausted, "TOO_SLOW"));
    assert_eq!((error.meta("cursor"), error.meta("limit_ms")), (replica.cursor.as_str(), "300"));
    assert!(error.message.contains(&replica.cursor), "{}", error.message);
    let seen = replica.commits.len();
    assert!((1..40).contains(&seen), "{seen}");
    let rest = told(&rig, after(&replica.cursor)).await;
    assert_eq!([replica.revisions(), rest.revisions()].concat(), (1..=40).collect::<Vec<_>>());
}

/// Old commits go while one watcher follows and others come back late.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_cursor_older_than_what_is_kept_is_refused_and_the_oldest_one_is_good() {
    let bounds = Bounds {
        segment_bytes: 3_000,
        history_commits: 20,
        history_age: Duration::ZERO,
        recent_commits: 4,
        ..Limits::default().bounds()
    };
    let rig = Rig::bounded(bounds).await;
    let begun = told(&rig, from_start()).await;
    let (start, first) = (begun.cursor, begun.revision + 1);
    let mut live = (watch(&rig, after(&start)).await.unwrap(), Replica::default());
    let history = || async {
        let request = pb::EntryHistoryRequest { name: "bolts/b-0".to_owned(), ..Default::default() };
        rig.book().entry_history(request).await.unwrap().into_inner()
    };
    let mut newest = 0;
    let end = std::time::Instant::now() + Duration::from_secs(60);
    while history_of(&rig).await == 0 || newest < 100 {
        assert!(std::time::Instant::now() < end, "nothing was let go of");
        newest = rig.put(vec![vehicle("van-1", &format!("{newest}"))]).await;
        if newest % 50 == 1 {
            rig.put(noted(1, usize::try_from(newest).unwrap() % 99)).await;
            // Old commits go once the second copy's thread has found the book still twice, a second apart.
            for _ in 0..30 {
                if history_of(&rig).await > 0 {
                    break;
                }
                tokio::time::sleep(Duration::from_millis(100)).await;
            }
        }
    }
    live.1.through(&mut live.0, newest).await;
    assert_eq!(live.1.revisions(), (first..=newest).collect::<Vec<_>>(), "whoever follows misses nothing");
    // More may go a moment later; nothing does once nobody writes.
    let mut horizon = history_of(&rig).await;
    loop {
        tokio::time::sleep(Duration::from_millis(2_500)).await;
        let now = history_of(&rig).await;
        if now == horizon {
            break;
        }
        horizon = now;
    }
    let error = wrong(watch(&rig, after(&start)).await.unwrap().message().await);
    assert_eq!((error.code, error.reason.as_str()), (Code::OutOfRange, "CURSOR_GONE"));
    assert_eq!((error.meta("cursor"), error.meta("oldest_revision")), (start.as_str(), horizon.to_string().as_str()));
    assert!(error.message.contains(error.meta("oldest")) && error.message.contains("snapshot = true"));
    let rest = told(&rig, after(error.meta("oldest"))).await;
    assert_eq!(rest.revisions(), (horizon + 1..=rest.revision).collect::<Vec<_>>());
    // A snapshot begins anew, whatever is gone.
    assert_eq!(told(&rig, from_start()).await.entries, listed(&rig).await);
    // The history says where it begins, and that what was before is not known.
    let van = pb::EntryHistoryRequest { name: "vehicles/van-1".to_owned(), page_size: 1_000, ..Default::default() };
    let van = rig.book().entry_history(van).await.unwrap().into_inner();
    let oldest = van.changes.last().unwrap();
    assert!(van.horizon_revision >= horizon && oldest.revision > horizon);
    assert!(oldest.before_gone && oldest.differences.is_empty());
    assert!(van.changes[..van.changes.len() - 1].iter().all(|change| !change.before_gone));
    assert!(history().await.changes.iter().all(|change| change.revision > horizon));
    // The audit begins there too.
    let audit = rig.steward().list_audit(pb::ListAuditRequest::default()).await.unwrap().into_inner();
    assert!(audit.records[0].revision > horizon);
}

/// Through which revision changes are no longer kept.
async fn history_of(rig: &Rig) -> i64 {
    let request = pb::EntryHistoryRequest { name: "vehicles/van-1".to_owned(), ..Default::default() };
    rig.book().entry_history(request).await.map_or(0, |reply| reply.into_inner().horizon_revision)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn as_many_watchers_as_are_allowed_are_all_told_everything() {
    let rig = Rig::disk().await;
    rig.put(vec![bolt("b-0")]).await;
    let most = Limits::default().watchers;
    assert!(most >= 200, "the bar");
    let mut streams = Vec::new();
    for n in 0..most {
        let request = if n % 2 == 0 { from_start() } else { pb::WatchBookRequest::default() };
        let mut stream = watch(&rig, request).await.unwrap();
        // The first message is there: the watcher is in place.
        let mut replica = Replica::default();
        replica.take(stream.message().await.unwrap().unwrap());
        streams.push((stream, replica));
    }
    let error = wrong(watch(&rig, from_start()).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::ResourceExhausted, "OVERLOADED"));
    let followed = futures_util::future::join_all(streams.into_iter().map(|(mut stream, mut replica)| async move {
        let begin = replica.revision.max(101);
        replica.through(&mut stream, 140).await;
        (stream, replica, begin)
    }));
    let (_, followed) = tokio::join!(write(&rig, 3, 12), followed);
    let all = changed(&rig, 101).await;
    for (_, replica, begin) in &followed {
        let revisions: Vec<_> = replica.revisions();
        let last = revisions.last().copied().unwrap();
        let due: Vec<_> = all.iter().copied().filter(|revision| (begin + 1..=last).contains(revision)).collect();
        assert_eq!(revisions, due);
        assert!(last >= 140);
    }
    drop(followed);
    // A place is free when its stream is gone.
    for _ in 0..200 {
        if let Ok(mut stream) = watch(&rig, from_start()).await {
            assert!(stream.message().await.unwrap().is_some());
            return;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    panic!("no place became free");
}

#[tokio::test]
async fn a_service_that_stops_tells_its_watchers_and_does_not_wait_for_them() {
    let rig = Rig::with(Config::in_memory().unwrap()).await;
    let mut stream = watch(&rig, from_start()).await.unwrap();
    let mut replica = Replica::default();
    while replica.bookmarks == 0 {
        replica.take(stream.message().await.unwrap().unwrap());
    }
    let began = std::time::Instant::now();
    let (closed, error) = tokio::join!(rig.embedded.close(), async { wrong(replica.until_end(&mut stream).await) });
    closed.unwrap();
    assert_eq!((error.code, error.reason.as_str()), (Code::Unavailable, "STOPPING"));
    assert!(began.elapsed() < Limits::default().drain, "{:?}", began.elapsed());
}
