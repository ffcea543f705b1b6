//! What was acknowledged is there after the book is opened again, and what was damaged is found out.

use std::path::Path;

use super::*;
use crate::book::frame;

fn open(directory: &Path) -> LocalBook {
    LocalBook::open(directory, Bounds::default()).unwrap()
}

async fn fill(book: &LocalBook, from: u64) {
    for n in from..from + 20 {
        book.commit(asked(&format!("r-{n}"), 1, put(&format!("nuts/{}", n % 7), &n.to_string()))).await.unwrap();
    }
    book.commit(changes([remove("nuts/3"), put("bolts/b", "x")])).await.unwrap();
}

/// Everything a book shows, in one comparable piece.
async fn all_of(book: &LocalBook) -> (Page, Tally, Vec<Arc<PastCommit>>, Vec<Past>, Option<StoredAnswer>) {
    (
        book.scan("", None, 1_000, None).unwrap(),
        book.tally(),
        book.changes_since(Revision::ZERO, 1_000).await.unwrap(),
        book.history(name("nuts/3"), None, 100).await.unwrap(),
        book.request("r-5".into()).await.unwrap(),
    )
}

#[tokio::test]
async fn all_is_there_after_close_and_after_drop() {
    let directory = tempfile::tempdir().unwrap();
    let mut before = None;
    for round in 0..4 {
        let book = open(directory.path());
        if let Some(before) = &before {
            assert_eq!(&all_of(&book).await, before);
            let again = book.commit(asked("r-5", 1, put("nuts/5", "5"))).await.unwrap();
            assert_eq!(again.replayed.as_deref(), Some(&b"answer to r-5"[..]));
        }
        fill(&book, round * 20).await;
        assert_eq!(book.revision(), revision((round + 1) * 21));
        before = Some(all_of(&book).await);
        if round % 2 == 0 {
            book.close().await.unwrap();
        }
    }
}

#[tokio::test]
async fn one_directory_one_book() {
    let directory = tempfile::tempdir().unwrap();
    let book = open(directory.path());
    let refused = LocalBook::open(directory.path(), Bounds::default()).unwrap_err();
    let BookError::InUse { directory: named, .. } = &refused else { panic!("{refused}") };
    assert_eq!(*named, directory.path().display().to_string());
    drop(book);
    open(directory.path());
}

/// A process that is just being started holds copies of all open files for a moment, the lock among them.
#[test]
fn starting_other_processes_does_not_lock_us_out() {
    use std::sync::atomic::{AtomicBool, Ordering};
    let directory = tempfile::tempdir().unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !done.load(Ordering::Relaxed) {
                let own = std::env::current_exe().unwrap();
                std::process::Command::new(own).arg("--version").output().unwrap();
            }
        });
        let all = (0..60).try_for_each(|_| LocalBook::open(directory.path(), Bounds::default()).map(drop));
        done.store(true, Ordering::Relaxed);
        all.unwrap();
    });
}

/// Alters the store behind the book's back.
fn tamper(directory: &Path, alter: impl FnOnce(&::sled::Db)) {
    let db = loop {
        if let Ok(db) = ::sled::Config::new().path(directory.join("store")).flush_every_ms(None).open() {
            break db;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    };
    alter(&db);
    db.flush().unwrap();
}

async fn damaged_names(alter: impl FnOnce(&::sled::Db)) -> Vec<String> {
    let directory = tempfile::tempdir().unwrap();
    let book = open(directory.path());
    fill(&book, 0).await;
    book.close().await.unwrap();
    drop(book);
    tamper(directory.path(), alter);
    let refused = LocalBook::open(directory.path(), Bounds::default()).unwrap_err();
    let BookError::Damaged { names, next, .. } = refused else { panic!("{refused}") };
    assert!(!next.is_empty());
    names
}

#[tokio::test]
async fn damage_is_found_and_named() {
    let key = |text: &str| frame::entry_key(text);
    assert_eq!(damaged_names(|db| drop(db.remove(key("nuts/2")).unwrap())).await, ["nuts/2"]);
    assert_eq!(damaged_names(|db| drop(db.insert(key("nuts/2"), b"not a frame").unwrap())).await, ["nuts/2"]);
    let copied = |db: &::sled::Db| {
        let other = db.get(key("nuts/1")).unwrap().unwrap();
        db.insert(key("nuts/2"), other).unwrap();
    };
    assert_eq!(damaged_names(copied).await, ["nuts/2"]);
    let older = |db: &::sled::Db| {
        let commit_key = frame::commit_key(revision(3));
        let commit = frame::read_commit(&commit_key, &db.get(&commit_key).unwrap().unwrap()).unwrap();
        let record = commit.lines[0].record.clone().unwrap();
        assert_eq!(record.name.as_str(), "nuts/2");
        db.insert(key("nuts/2"), frame::write_record(&key("nuts/2"), &record)).unwrap();
    };
    assert_eq!(damaged_names(older).await, ["nuts/2"]);
    let risen = |db: &::sled::Db| {
        let record = Record {
            name: name("nuts/9"),
            ..frame::read_record(&key("nuts/1"), &db.get(key("nuts/1")).unwrap().unwrap()).unwrap()
        };
        db.insert(key("nuts/9"), frame::write_record(&key("nuts/9"), &record)).unwrap();
    };
    assert_eq!(damaged_names(risen).await, ["nuts/9"]);
    assert_eq!(damaged_names(|db| drop(db.remove(frame::MARK_KEY).unwrap())).await, Vec::<String>::new());
    let last = frame::commit_key(revision(21));
    assert_eq!(damaged_names(|db| drop(db.remove(last).unwrap())).await, Vec::<String>::new());
    let beyond = frame::commit_key(revision(22));
    assert_eq!(damaged_names(|db| drop(db.insert(beyond, b"x").unwrap())).await, Vec::<String>::new());
}
