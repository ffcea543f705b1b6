//! What every engine must do, run on each of them; the laws against a model; and what happens when things go wrong.

mod closing;
mod damage;
mod faults;
mod flushing;
mod formats;
mod horizon;
mod kill;
mod model;
mod reopen;
mod scrub;
mod traps;

use std::sync::Arc;

use bytes::Bytes;
use tempfile::TempDir;

use super::*;

/// A book, and the directory it lives in if it lives in one.
pub(super) struct Fixture {
    pub(super) book: LocalBook,
    _directory: Option<TempDir>,
}

impl Fixture {
    fn in_memory() -> Self {
        Self { book: LocalBook::in_memory(Bounds::default()).unwrap(), _directory: None }
    }

    fn on_disk() -> Self {
        let directory = tempfile::tempdir().unwrap();
        let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
        Self { book, _directory: Some(directory) }
    }
}

pub(super) fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

pub(super) fn put(text: &str, value: &str) -> Change {
    Change::Put { name: name(text), value: Bytes::copy_from_slice(value.as_bytes()) }
}

pub(super) fn remove(text: &str) -> Change {
    Change::Remove { name: name(text) }
}

pub(super) fn want(text: &str, expect: Expect) -> Precondition {
    Precondition { name: name(text), expect }
}

pub(super) fn changes(changes: impl IntoIterator<Item = Change>) -> Commit {
    let changes = changes.into_iter().collect();
    Commit { changes, author: "bay 1".into(), time: Moment::from_micros(1_000), ..Commit::default() }
}

fn revision(counter: u64) -> Revision {
    Revision::new(counter)
}

fn value(record: Option<Arc<Record>>) -> Option<String> {
    record.map(|record| String::from_utf8(record.value.to_vec()).unwrap())
}

fn names(page: &Page) -> Vec<&str> {
    page.records.iter().map(|record| record.name.as_str()).collect()
}

macro_rules! on_every_engine {
    ($($scenario:ident),* $(,)?) => {
        mod in_memory {
            $(#[tokio::test] async fn $scenario() { super::$scenario(&super::Fixture::in_memory().book).await })*
        }
        mod on_disk {
            $(#[tokio::test] async fn $scenario() { super::$scenario(&super::Fixture::on_disk().book).await })*
        }
    };
}

on_every_engine!(
    puts_gets_and_removes,
    keeps_who_when_and_since,
    reports_every_failed_precondition,
    removal_needs_presence,
    a_commit_is_whole,
    an_empty_commit_takes_no_revision,
    a_request_has_one_effect,
    forgets_old_requests,
    history_is_newest_first,
    changes_come_in_order_and_whole,
    a_snapshot_does_not_move,
    pages_stay_at_their_revision,
    the_past_is_let_go,
    refuses_what_is_too_large,
    followers_and_subscribers_see_all,
    many_callers_do_not_hang,
    large_values_come_back,
    a_closed_book_reads_on,
);

async fn puts_gets_and_removes(book: &LocalBook) {
    assert_eq!(book.revision(), Revision::ZERO);
    assert_eq!(book.get("vehicles/van-7"), None);
    assert_eq!(book.commit(changes([put("vehicles/van-7", "a")])).await.unwrap().revision, revision(1));
    assert_eq!(value(book.get("vehicles/van-7")).as_deref(), Some("a"));
    book.commit(changes([put("vehicles/van-7", "b")])).await.unwrap();
    assert_eq!(value(book.get("vehicles/van-7")).as_deref(), Some("b"));
    assert_eq!(book.commit(changes([remove("vehicles/van-7")])).await.unwrap().revision, revision(3));
    assert_eq!(book.get("vehicles/van-7"), None);
    assert_eq!(book.revision(), revision(3));
    assert_eq!(book.tally(), Tally::default());
}

async fn keeps_who_when_and_since(book: &LocalBook) {
    let at = |micros, author: &str| Commit {
        author: author.into(),
        time: Moment::from_micros(micros),
        ..changes([put("nuts/n-1", "x")])
    };
    book.commit(at(10, "bay 1")).await.unwrap();
    book.commit(at(20, "bay 2")).await.unwrap();
    let record = book.get("nuts/n-1").unwrap();
    assert_eq!((record.revision, record.time, &*record.author), (revision(2), Moment::from_micros(20), "bay 2"));
    assert_eq!((record.created, record.created_time), (revision(1), Moment::from_micros(10)));
    book.commit(changes([remove("nuts/n-1")])).await.unwrap();
    book.commit(at(40, "bay 3")).await.unwrap();
    let record = book.get("nuts/n-1").unwrap();
    assert_eq!((record.created, record.created_time), (revision(4), Moment::from_micros(40)));
}

async fn reports_every_failed_precondition(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1"), put("nuts/b", "1")])).await.unwrap();
    let commit = Commit {
        preconditions: vec![
            want("nuts/a", Expect::Absent),
            want("nuts/b", Expect::At(revision(9))),
            want("nuts/c", Expect::Present),
            want("nuts/a", Expect::At(revision(1))),
            want("nuts/c", Expect::Absent),
            want("nuts/d", Expect::Any),
        ],
        ..changes([put("nuts/d", "1")])
    };
    let refused = book.commit(commit.clone()).await.unwrap_err();
    let unmet = vec![
        Unmet { name: name("nuts/a"), expect: Expect::Absent, current: Some(revision(1)) },
        Unmet { name: name("nuts/b"), expect: Expect::At(revision(9)), current: Some(revision(1)) },
        Unmet { name: name("nuts/c"), expect: Expect::Present, current: None },
    ];
    assert_eq!(refused, BookError::Precondition { unmet });
    assert_eq!((book.revision(), book.get("nuts/d")), (revision(1), None));
    let met = Commit { preconditions: commit.preconditions[3..].to_vec(), ..commit };
    assert_eq!(book.commit(met).await.unwrap().revision, revision(2));
}

async fn removal_needs_presence(book: &LocalBook) {
    let unmet = |expect| BookError::Precondition { unmet: vec![Unmet { name: name("nuts/a"), expect, current: None }] };
    assert_eq!(book.commit(changes([remove("nuts/a")])).await, Err(unmet(Expect::Present)));
    for expect in [Expect::Any, Expect::Absent] {
        let commit = Commit { preconditions: vec![want("nuts/a", expect)], ..changes([remove("nuts/a")]) };
        assert_eq!(book.commit(commit).await, Err(unmet(Expect::Present)));
    }
    let at = Expect::At(revision(4));
    let commit = Commit { preconditions: vec![want("nuts/a", at)], ..changes([remove("nuts/a")]) };
    assert_eq!(book.commit(commit).await, Err(unmet(at)));
    assert_eq!(book.revision(), Revision::ZERO);
}

async fn a_commit_is_whole(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1"), put("nuts/b", "1"), put("bolts/c", "1")])).await.unwrap();
    let all = book.scan("", None, 10, None).unwrap();
    assert!(all.records.iter().all(|record| record.revision == revision(1)));
    assert_eq!(names(&all), ["bolts/c", "nuts/a", "nuts/b"]);
    let bad = Commit {
        preconditions: vec![want("nuts/z", Expect::Present)],
        ..changes([remove("nuts/a"), put("nuts/b", "2")])
    };
    assert!(book.commit(bad).await.is_err());
    assert_eq!(book.scan("", None, 10, None).unwrap(), all);
    let twice = changes([put("nuts/a", "2"), remove("nuts/a")]);
    assert_eq!(book.commit(twice).await, Err(BookError::Repeated { name: name("nuts/a") }));
}

async fn an_empty_commit_takes_no_revision(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    let check = Commit { preconditions: vec![want("nuts/a", Expect::At(revision(1)))], ..changes([]) };
    assert_eq!(book.commit(check).await.unwrap().revision, revision(1));
    let check = Commit { preconditions: vec![want("nuts/a", Expect::Absent)], ..changes([]) };
    assert!(matches!(book.commit(check).await, Err(BookError::Precondition { .. })));
    assert_eq!(book.revision(), revision(1));
}

fn asked(id: &str, digest: u8, change: Change) -> Commit {
    let answer = Bytes::copy_from_slice(format!("answer to {id}").as_bytes());
    Commit { request: Some(Request { id: id.into(), digest: [digest; 32], answer }), ..changes([change]) }
}

async fn a_request_has_one_effect(book: &LocalBook) {
    let first = book.commit(asked("r-1", 1, put("nuts/a", "1"))).await.unwrap();
    assert_eq!(first, Committed { revision: revision(1), time: Moment::from_micros(1_000), replayed: None });
    book.commit(changes([put("nuts/a", "2")])).await.unwrap();
    let again = Commit { time: Moment::from_micros(2_000), ..asked("r-1", 1, put("nuts/a", "1")) };
    let again = book.commit(again).await.unwrap();
    let replayed = Some(Bytes::from_static(b"answer to r-1"));
    assert_eq!(again, Committed { revision: revision(1), time: Moment::from_micros(1_000), replayed });
    assert_eq!((book.revision(), value(book.get("nuts/a")).as_deref()), (revision(2), Some("2")));
    let reused = book.commit(asked("r-1", 2, put("nuts/a", "1"))).await;
    assert_eq!(reused, Err(BookError::RequestReused { id: "r-1".into(), revision: revision(1) }));
    let stored = book.request("r-1".into()).await.unwrap().unwrap();
    assert_eq!((stored.revision, stored.digest, &*stored.answer), (revision(1), [1; 32], &b"answer to r-1"[..]));
    assert_eq!(book.request("r-2".into()).await.unwrap(), None);
    // A refused commit leaves its request id free.
    let refused = Commit { preconditions: vec![want("nuts/a", Expect::Absent)], ..asked("r-2", 1, put("nuts/a", "1")) };
    assert!(book.commit(refused).await.is_err());
    assert_eq!(book.commit(asked("r-2", 1, put("nuts/a", "3"))).await.unwrap().replayed, None);
    // The same id many times at once has one effect.
    let before = book.revision();
    let all = futures_util::future::join_all((0..16).map(|_| book.commit(asked("r-3", 1, put("nuts/b", "1"))))).await;
    assert_eq!(all.iter().filter(|one| one.as_ref().unwrap().replayed.is_none()).count(), 1);
    assert!(all.iter().all(|one| one.as_ref().unwrap().revision == before.next()));
    assert_eq!(book.revision(), before.next());
}

async fn forgets_old_requests(book: &LocalBook) {
    let week = 7 * 24 * 3_600 * 1_000_000;
    let at = |micros, commit| Commit { time: Moment::from_micros(micros), ..commit };
    book.commit(at(0, asked("r-1", 1, put("nuts/a", "1")))).await.unwrap();
    book.commit(at(week, asked("r-2", 1, put("nuts/a", "2")))).await.unwrap();
    assert!(book.request("r-1".into()).await.unwrap().is_some());
    book.commit(at(week + 1, changes([put("nuts/a", "3")]))).await.unwrap();
    assert_eq!(book.request("r-1".into()).await.unwrap(), None);
    assert!(book.request("r-2".into()).await.unwrap().is_some());
    assert_eq!(book.commit(at(week + 2, asked("r-1", 9, put("nuts/a", "4")))).await.unwrap().replayed, None);
}

async fn history_is_newest_first(book: &LocalBook) {
    for value in ["1", "2", "3"] {
        book.commit(changes([put("nuts/a", value)])).await.unwrap();
        book.commit(changes([put("nuts/ab", "other")])).await.unwrap();
    }
    book.commit(changes([remove("nuts/a"), put("nuts/c", "1")])).await.unwrap();
    let past = book.history(name("nuts/a"), None, 100).await.unwrap();
    let steps: Vec<_> = past.iter().map(|step| (step.revision.get(), value(step.record.clone()))).collect();
    let some = |text: &str| Some(text.to_owned());
    assert_eq!(steps, [(7, None), (5, some("3")), (3, some("2")), (1, some("1"))]);
    assert_eq!((&*past[0].author, past[0].time), ("bay 1", Moment::from_micros(1_000)));
    let page = book.history(name("nuts/a"), Some(revision(7)), 2).await.unwrap();
    assert_eq!(page, past[1..3]);
    assert_eq!(book.history(name("nuts/a"), Some(revision(1)), 2).await.unwrap(), []);
    assert_eq!(book.history(name("nuts/a"), Some(Revision::ZERO), 2).await.unwrap(), []);
    assert_eq!(book.history(name("nuts/z"), None, 2).await.unwrap(), []);
}

async fn changes_come_in_order_and_whole(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1"), put("nuts/b", "1")])).await.unwrap();
    book.commit(changes([remove("nuts/a"), put("nuts/b", "2")])).await.unwrap();
    book.commit(changes([put("nuts/a", "3")])).await.unwrap();
    let all = book.changes_since(Revision::ZERO, 100).await.unwrap();
    assert_eq!(all.iter().map(|commit| commit.revision.get()).collect::<Vec<_>>(), [1, 2, 3]);
    let second: Vec<_> =
        all[1].lines.iter().map(|line| (line.name.as_str(), line.previous, line.record.is_some())).collect();
    assert_eq!(second, [("nuts/a", Some(revision(1)), false), ("nuts/b", Some(revision(1)), true)]);
    assert_eq!(all[2].lines[0].previous, None);
    assert_eq!(book.changes_since(revision(1), 1).await.unwrap(), all[1..2]);
    assert_eq!(book.changes_since(revision(3), 10).await.unwrap(), []);
    let ahead = BookError::RevisionAhead { asked: revision(4), newest: revision(3) };
    assert_eq!(book.changes_since(revision(4), 10).await, Err(ahead));
}

async fn a_snapshot_does_not_move(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1"), put("nuts/b", "1")])).await.unwrap();
    let snapshot = book.snapshot();
    let copy = snapshot.clone();
    book.commit(changes([put("nuts/a", "2"), remove("nuts/b"), put("nuts/c", "1")])).await.unwrap();
    for view in [&snapshot, &copy] {
        assert_eq!(value(view.get("nuts/a")).as_deref(), Some("1"));
        assert_eq!(value(view.get("nuts/b")).as_deref(), Some("1"));
        assert_eq!(view.get("nuts/c"), None);
        assert_eq!(names(&view.scan("nuts/", None, 10)), ["nuts/a", "nuts/b"]);
    }
    assert_eq!(names(&book.scan("nuts/", None, 10, None).unwrap()), ["nuts/a", "nuts/c"]);
    let earlier = book.snapshot_at(revision(1)).unwrap();
    assert_eq!(earlier.scan("", None, 10), snapshot.scan("", None, 10));
    assert!(matches!(book.snapshot_at(revision(3)), Err(BookError::RevisionAhead { .. })));
}

async fn pages_stay_at_their_revision(book: &LocalBook) {
    let entries = (0..25).map(|n| put(&format!("nuts/n-{n:02}"), "1"));
    book.commit(changes(entries.chain([put("bolts/b", "1"), put("nutsandbolts/x", "1")]))).await.unwrap();
    let mut seen = Vec::new();
    let mut after: Option<String> = None;
    let mut at = None;
    for round in 0.. {
        let page = book.scan("nuts/", after.as_deref(), 10, at).unwrap();
        seen.extend(names(&page).into_iter().map(str::to_owned));
        at = Some(page.revision);
        after = seen.last().cloned();
        // What happens between pages is not seen.
        let between = [remove(&format!("nuts/n-{:02}", 24 - round)), put("nuts/n-24x", "1")];
        book.commit(changes(between)).await.unwrap();
        if !page.more {
            break;
        }
    }
    assert_eq!(seen, (0..25).map(|n| format!("nuts/n-{n:02}")).collect::<Vec<_>>());
    assert_eq!(book.scan("nuts/", Some("a"), 1, None).unwrap().records[0].name, name("nuts/n-00"));
    assert_eq!(book.scan("nuts/", Some("z"), 1, None).unwrap().records, []);
    assert_eq!(book.scan("nuts/", None, 0, None).unwrap().records, []);
}

async fn the_past_is_let_go(_: &LocalBook) {
    let bounds = Bounds { kept_revisions: 3, recent_commits: 2, ..Bounds::default() };
    let book = LocalBook::in_memory(bounds).unwrap();
    book.commit(changes([put("nuts/a", "0"), put("nuts/b", "0")])).await.unwrap();
    let pinned = book.snapshot();
    for n in 1..20 {
        book.commit(changes([put("nuts/a", &n.to_string())])).await.unwrap();
    }
    book.commit(changes([remove("nuts/b")])).await.unwrap();
    assert_eq!(value(pinned.get("nuts/a")).as_deref(), Some("0"));
    assert_eq!(book.shelf().superseded(), 21);
    drop(pinned);
    for n in 20..30 {
        book.commit(changes([put("nuts/a", &n.to_string())])).await.unwrap();
    }
    assert_eq!(book.shelf().superseded(), 3);
    let gone = BookError::RevisionGone { asked: revision(2), oldest: revision(28), newest: revision(31) };
    assert_eq!(book.snapshot_at(revision(2)).unwrap_err(), gone);
    assert_eq!(value(book.snapshot_at(revision(28)).unwrap().get("nuts/a")).as_deref(), Some("26"));
    // The feed reads on from the store where memory does not reach back.
    assert_eq!(book.changes_since(Revision::ZERO, 100).await.unwrap().len(), 31);
}

async fn refuses_what_is_too_large(book: &LocalBook) {
    let large = |length| Change::Put { name: name("nuts/a"), value: Bytes::from(vec![7; length]) };
    let limit = 256 * 1024;
    let refused = book.commit(changes([large(limit + 1)])).await;
    assert_eq!(refused, Err(BookError::TooLarge { quota: Quota::ValueBytes, found: limit + 1, limit }));
    book.commit(changes([large(limit)])).await.unwrap();
    let many = changes((0..1_001).map(|n| put(&format!("nuts/{n}"), "")));
    let refused = book.commit(many).await;
    assert_eq!(refused, Err(BookError::TooLarge { quota: Quota::CommitChanges, found: 1_001, limit: 1_000 }));
    let heavy =
        changes((0..40).map(|n| Change::Put { name: name(&format!("nuts/{n}")), value: Bytes::from(vec![7; limit]) }));
    assert!(matches!(book.commit(heavy).await, Err(BookError::TooLarge { quota: Quota::CommitBytes, .. })));
    assert!(matches!(Name::new(&"n".repeat(129)), Err(BookError::TooLarge { quota: Quota::NameBytes, .. })));
    for bad in ["", "nuts/ a", "nuts/ä", "nuts/\0"] {
        assert_eq!(Name::new(bad), Err(BookError::Unnameable { name: bad.into() }));
    }
}

#[derive(Default)]
struct Listener(parking_lot::Mutex<Vec<u64>>);

impl Follower for Listener {
    fn published(&self, commits: &[Arc<PastCommit>]) {
        self.0.lock().extend(commits.iter().map(|commit| commit.revision.get()));
    }
}

async fn followers_and_subscribers_see_all(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    let listener = Arc::new(Listener::default());
    let mut newest = book.subscribe();
    assert_eq!(*newest.borrow_and_update(), revision(1));
    let start = book.follow(Arc::clone(&listener) as Arc<dyn Follower>);
    assert_eq!(start.revision(), revision(1));
    for n in 0..5_u64 {
        let committed = book.commit(changes([put("nuts/a", &n.to_string())])).await.unwrap();
        // A follower is told before the caller is.
        assert_eq!(listener.0.lock().last(), Some(&committed.revision.get()));
        newest.changed().await.unwrap();
        assert_eq!(*newest.borrow_and_update(), committed.revision);
    }
    assert_eq!(*listener.0.lock(), [2, 3, 4, 5, 6]);
}

async fn many_callers_do_not_hang(book: &LocalBook) {
    let rounds = 8_u64;
    let callers = 32_u64;
    let write = |caller: u64| async move {
        for round in 0..rounds {
            let own = format!("nuts/own-{caller}");
            let expect = if round == 0 { Expect::Absent } else { Expect::Present };
            let commit = Commit { preconditions: vec![want(&own, expect)], ..changes([put(&own, &round.to_string())]) };
            let committed = book.commit(commit).await.unwrap();
            let record = book.get(&own).unwrap();
            assert_eq!((record.revision, value(Some(record))), (committed.revision, Some(round.to_string())));
        }
    };
    // All callers also race for one name; exactly one may enter it.
    let race = |caller: u64| async move {
        let expect = vec![want("nuts/race", Expect::Absent)];
        let commit = Commit { preconditions: expect, ..changes([put("nuts/race", &caller.to_string())]) };
        book.commit(commit).await.is_ok()
    };
    let all = async {
        let won = futures_util::future::join_all((0..callers).map(race)).await;
        assert_eq!(won.iter().filter(|won| **won).count(), 1);
        futures_util::future::join_all((0..callers).map(write)).await;
    };
    tokio::time::timeout(std::time::Duration::from_secs(60), all).await.unwrap();
    assert_eq!(book.revision(), revision(rounds * callers + 1));
}

async fn large_values_come_back(book: &LocalBook) {
    let large = |fill: u8, length| Bytes::from((0..length).map(|n: usize| fill ^ (n % 251) as u8).collect::<Vec<_>>());
    let value = |n: u8| large(n, 200_000 + usize::from(n));
    let entries = (0..20).map(|n| Change::Put { name: name(&format!("nuts/{n}")), value: value(n) });
    book.commit(changes(entries)).await.unwrap();
    for n in 0..20 {
        let past = book.history(name(&format!("nuts/{n}")), None, 1).await.unwrap();
        assert_eq!(past[0].record.as_ref().unwrap().value, value(n));
    }
    assert_eq!(book.tally().entries(), 20);
}

async fn a_closed_book_reads_on(book: &LocalBook) {
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    book.close().await.unwrap();
    book.close().await.unwrap();
    assert_eq!(book.standing(), Standing::Closed);
    assert_eq!(book.commit(changes([put("nuts/a", "2")])).await, Err(BookError::Closed));
    assert_eq!(value(book.get("nuts/a")).as_deref(), Some("1"));
}
