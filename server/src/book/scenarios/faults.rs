//! A store that blocks and a store that fails: nothing undurable shows, and a failure is final.

use std::sync::atomic::{AtomicUsize, Ordering};

use parking_lot::{Condvar, Mutex};

use super::*;
use crate::book::engine::{Engine, Failed, Group, Loaded, Span};
use crate::book::memory::MemoryEngine;

/// An engine that waits for leave before each group, and fails from a given group on.
#[derive(Default)]
struct Reluctant {
    inner: MemoryEngine,
    leave: Mutex<usize>,
    given: Condvar,
    groups: AtomicUsize,
    fails_from: Option<usize>,
    panics: bool,
}

impl Reluctant {
    fn give_leave(&self, groups: usize) {
        *self.leave.lock() += groups;
        self.given.notify_all();
    }
}

impl Engine for Reluctant {
    fn load(&self) -> Result<Loaded, BookError> {
        self.inner.load()
    }

    fn append(&self, group: &Group<'_>) -> Result<(), Failed> {
        let number = self.groups.fetch_add(1, Ordering::SeqCst);
        let mut leave = self.leave.lock();
        self.given.wait_while(&mut leave, |leave| *leave == 0);
        *leave -= 1;
        drop(leave);
        if self.fails_from.is_some_and(|from| number >= from) {
            assert!(!self.panics, "the store is broken");
            return Err(Failed::Broken { why: "cannot sync store: input/output error".into() });
        }
        self.inner.append(group)
    }

    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        self.inner.commits(span)
    }

    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError> {
        self.inner.history(name, span)
    }

    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError> {
        self.inner.answer(id)
    }

    fn verify(&self, known: Option<Known>) -> Result<Verified, BookError> {
        self.inner.verify(known)
    }

    fn close(&self) -> Result<(), BookError> {
        self.inner.close()
    }
}

fn over(engine: &Arc<Reluctant>) -> Arc<LocalBook> {
    Arc::new(LocalBook::with_engine(Arc::clone(engine) as Arc<dyn Engine>, Bounds::default()).unwrap())
}

fn spawn(book: &Arc<LocalBook>, commit: Commit) -> tokio::task::JoinHandle<Result<Committed, BookError>> {
    let book = Arc::clone(book);
    tokio::spawn(async move { book.commit(commit).await })
}

/// Lets spawned callers hand in, and the committer take, what they have.
async fn settle() {
    tokio::time::sleep(std::time::Duration::from_millis(100)).await;
}

#[tokio::test]
async fn nothing_shows_before_it_is_durable() {
    let engine = Arc::new(Reluctant::default());
    let book = over(&engine);
    let first = spawn(&book, changes([put("nuts/a", "1")]));
    settle().await;
    assert!(!first.is_finished());
    // A second group gathers, among it answers that depend on what is not durable yet.
    let depends = Commit { preconditions: vec![want("nuts/a", Expect::Absent)], ..changes([put("nuts/a", "2")]) };
    let refused = spawn(&book, depends);
    let others: Vec<_> = (0..31).map(|n| spawn(&book, changes([put(&format!("nuts/{n}"), "1")]))).collect();
    settle().await;
    assert_eq!((book.revision(), book.get("nuts/a")), (Revision::ZERO, None));
    assert_eq!(book.changes_since(Revision::ZERO, 10).await.unwrap(), []);
    assert!(!refused.is_finished() && others.iter().all(|other| !other.is_finished()));
    engine.give_leave(1);
    assert_eq!(first.await.unwrap().unwrap().revision, revision(1));
    settle().await;
    assert_eq!(book.revision(), revision(1));
    assert!(!refused.is_finished() && others.iter().all(|other| !other.is_finished()));
    engine.give_leave(1);
    assert!(matches!(refused.await.unwrap(), Err(BookError::Precondition { .. })));
    for other in others {
        other.await.unwrap().unwrap();
    }
    assert_eq!(engine.groups.load(Ordering::SeqCst), 2, "callers that wait share a group");
    assert_eq!(book.revision(), revision(32));
}

async fn fails_for_good(panics: bool) {
    let engine = Arc::new(Reluctant { fails_from: Some(1), panics, ..Reluctant::default() });
    engine.give_leave(1);
    let book = over(&engine);
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    let hit = spawn(&book, asked("r-1", 1, put("nuts/a", "2")));
    settle().await;
    let behind = spawn(&book, changes([put("nuts/b", "2")]));
    settle().await;
    engine.give_leave(10);
    let hit = hit.await.unwrap();
    assert!(matches!(hit, Err(BookError::Uncertain { .. })), "{hit:?}");
    assert!(matches!(behind.await.unwrap(), Err(BookError::ReadOnly { .. })));
    assert!(matches!(book.commit(changes([put("nuts/c", "1")])).await, Err(BookError::ReadOnly { .. })));
    assert!(matches!(book.standing(), Standing::ReadOnly { .. }));
    assert_eq!(engine.groups.load(Ordering::SeqCst), 2, "a failed store is not asked again");
    assert_eq!((book.revision(), value(book.get("nuts/a")).as_deref()), (revision(1), Some("1")));
    assert_eq!(book.history(name("nuts/a"), None, 10).await.unwrap().len(), 1);
    assert_eq!(book.request("r-1".into()).await.unwrap(), None);
    book.close().await.unwrap();
}

#[tokio::test]
async fn a_failed_sync_is_final() {
    fails_for_good(false).await;
}

#[tokio::test]
async fn a_panic_in_the_store_is_final() {
    fails_for_good(true).await;
}

#[tokio::test]
async fn a_dropped_caller_leaves_the_rest_alone() {
    let engine = Arc::new(Reluctant::default());
    let book = over(&engine);
    let gone = spawn(&book, changes([put("nuts/a", "1")]));
    settle().await;
    gone.abort();
    let stays = spawn(&book, changes([put("nuts/b", "1")]));
    settle().await;
    engine.give_leave(2);
    stays.await.unwrap().unwrap();
    assert_eq!(book.revision(), revision(2));
}
