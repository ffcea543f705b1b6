//! What was acknowledged is there after the book is opened again, and what was damaged is found out.

use std::path::Path;

use super::*;

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
