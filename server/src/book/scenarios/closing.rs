//! A store that never answers stops nobody: the journal is the truth, and the second copy may be begun anew.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use super::*;

/// A book with its second copy in step, closed; then sled is made to wait for ever: its settings become a pipe that nobody
/// writes into.
async fn with_a_store_that_hangs(directory: &Path) -> Tally {
    let book = LocalBook::open(directory, Bounds::default()).unwrap();
    for n in 0..20 {
        book.commit(changes([put(&format!("nuts/{n}"), "x")])).await.unwrap();
    }
    let tally = book.tally();
    book.close().await.unwrap();
    let settings = directory.join("store").join("conf");
    std::fs::remove_file(&settings).unwrap();
    assert!(Command::new("mkfifo").arg(&settings).status().unwrap().success());
    tally
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_book_is_closed_though_its_second_copy_never_answers() {
    let directory = tempfile::tempdir().unwrap();
    let before = with_a_store_that_hangs(directory.path()).await;
    let bounds = Bounds { store_closing: Duration::from_secs(3), ..Bounds::default() };
    for round in 0..2_u64 {
        let begun = Instant::now();
        let book = LocalBook::open(directory.path(), bounds.clone()).unwrap();
        assert_eq!(book.tally().entries(), before.entries() + round);
        book.commit(changes([put(&format!("bolts/{round}"), "1")])).await.unwrap();
        // By then its thread waits for the store.
        tokio::time::sleep(Duration::from_millis(1_500)).await;
        // Closing gives the store three seconds, and as much as it likes to whatever else there is to do.
        tokio::time::timeout(Duration::from_secs(60), book.close()).await.expect("closed").unwrap();
        eprintln!("closed after {} s", begun.elapsed().as_secs());
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_store_that_never_answers_is_put_aside_and_another_one_begun() {
    let directory = tempfile::tempdir().unwrap();
    with_a_store_that_hangs(directory.path()).await;
    let bounds = Bounds { store_patience: Duration::from_millis(300), ..Bounds::default() };
    let book = LocalBook::open(directory.path(), bounds).unwrap();
    book.commit(changes([put("bolts/1", "1")])).await.unwrap();
    let begun = Instant::now();
    loop {
        let verified = tokio::time::timeout(Duration::from_secs(60), book.verify(None)).await.unwrap().unwrap();
        if verified.damages.is_empty() && verified.second_copy == verified.revision {
            assert!(verified.mended.iter().any(|what| what.contains("does not answer")), "{:?}", verified.mended);
            break;
        }
        assert!(begun.elapsed() < Duration::from_secs(60), "{verified:?}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    assert!(directory.path().join("damaged").join("store.0").exists());
    book.close().await.unwrap();
}
