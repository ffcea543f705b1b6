//! sled's `flush_async` hangs with many callers; those of the book finish, and nothing of ours calls it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::*;

/// Names the directory to the process that is going to hang.
const VICTIM: &str = "BAYBOOK_TEST_FLUSH_VICTIM";

/// Many callers of sled's `flush_async`; does nothing in an ordinary test run.
#[test]
fn flush_async_victim() {
    let Ok(directory) = std::env::var(VICTIM) else { return };
    let db = ::sled::Config::new().path(directory).flush_every_ms(None).open().unwrap();
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).build().unwrap();
    runtime.block_on(async {
        let callers: Vec<_> = (0..128_u32)
            .map(|caller| {
                let db = db.clone();
                tokio::spawn(async move {
                    for n in 0..200_u32 {
                        db.insert([caller.to_be_bytes(), n.to_be_bytes()].concat(), vec![7; 500]).unwrap();
                        db.flush_async().await.unwrap();
                    }
                })
            })
            .collect();
        for caller in callers {
            caller.await.unwrap();
        }
    });
    std::process::exit(0);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn many_callers_of_the_book_finish_where_those_of_flush_async_hang() {
    let directory = tempfile::tempdir().unwrap();
    let mut victim = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "book::scenarios::flushing::flush_async_victim", "--nocapture"])
        .env(VICTIM, directory.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let book = Arc::new(LocalBook::open(&directory.path().join("book"), Bounds::default()).unwrap());
    let callers: Vec<_> = (0..128)
        .map(|caller| {
            let book = Arc::clone(&book);
            tokio::spawn(async move {
                for n in 0..40 {
                    book.commit(changes([put(&format!("nuts/{caller}"), &n.to_string())])).await.unwrap();
                }
            })
        })
        .collect();
    let all = async {
        for caller in callers {
            caller.await.unwrap();
        }
    };
    tokio::time::timeout(Duration::from_secs(120), all).await.expect("128 callers of the book finish");
    assert_eq!(book.revision(), revision(128 * 40));
    let begun = Instant::now();
    let hangs = loop {
        match victim.try_wait().unwrap() {
            Some(_) => break false,
            None if begun.elapsed() > Duration::from_secs(15) => break true,
            None => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    };
    drop(victim.kill());
    victim.wait().unwrap();
    let word = if hangs { "hung and were ended" } else { "happened to finish this time" };
    eprintln!("128 callers of sled's flush_async {word}; those of the book finished");
}

/// Nothing of ours calls what hangs, or leaves sled's own clock running.
#[test]
fn flush_async_is_never_called() {
    fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
        for file in fs::read_dir(folder).unwrap() {
            let path = file.unwrap().path();
            if path.is_dir() { sources(&path, found) } else { found.push(path) }
        }
    }
    let mut all = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut all);
    all.retain(|path| !path.ends_with("flushing.rs"));
    assert!(all.len() > 50);
    for path in all {
        assert!(!fs::read_to_string(&path).unwrap().contains(".flush_async("), "{}", path.display());
    }
    let opening = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/book/sled.rs")).unwrap();
    assert!(opening.contains(".flush_every_ms(None)"));
}
