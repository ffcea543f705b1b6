//! A book that lets go of old commits while it is open: entries stay, the rest begins at the horizon.

use std::path::Path;
use std::time::Duration;

use super::*;

pub(super) fn short() -> Bounds {
    Bounds { segment_bytes: 3_000, history_commits: 20, history_age: Duration::ZERO, ..Bounds::default() }
}

async fn write(book: &LocalBook, count: u64) {
    for n in 0..count {
        let text = format!("{n} {}", "x".repeat(usize::try_from(n * 53 % 400).unwrap()));
        book.commit(changes([put(&format!("nuts/{}", n % 9), &text)])).await.unwrap();
        if n % 10 == 9 {
            book.commit(changes([remove("nuts/3"), put("bolts/b", &text)])).await.unwrap();
        }
    }
}

/// Waits until commits beyond a revision were let go of.
pub(super) async fn beyond(book: &LocalBook, revision: Revision) -> Revision {
    for _ in 0..300 {
        if book.horizon().revision > revision {
            return book.horizon().revision;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("nothing was let go of");
}

/// Waits until the second copy holds all, and nothing differs.
async fn in_step(book: &LocalBook) {
    for _ in 0..100 {
        let verified = book.verify(None).await.unwrap();
        if verified.second_copy == verified.revision {
            assert_eq!(verified.damages, []);
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("the second copy does not come");
}

async fn kept(book: &LocalBook, directory: &Path, before: &Page) {
    let horizon = book.horizon().revision;
    assert_eq!(book.scan("", None, 1_000, None).unwrap().records, before.records);
    let commits = book.changes_since(horizon, 1_000).await.unwrap();
    let revisions: Vec<_> = commits.iter().map(|commit| commit.revision.get()).collect();
    assert_eq!(revisions, (horizon.get() + 1..=book.revision().get()).collect::<Vec<_>>());
    assert_eq!(book.time_of(horizon).await.unwrap(), book.horizon().time);
    for name in ["nuts/1", "bolts/b"] {
        let past = book.history(super::name(name), None, 1_000).await.unwrap();
        assert!(past.iter().all(|step| step.revision > horizon));
    }
    // The files go a moment after the horizon has moved.
    let oldest = || {
        let files = std::fs::read_dir(directory.join("journal")).unwrap();
        files.filter_map(|file| file.unwrap().file_name().into_string().ok()).min().unwrap()
    };
    let begun = std::time::Instant::now();
    while oldest() <= format!("{:020}", horizon.get()) {
        assert!(begun.elapsed() < Duration::from_secs(20), "{} is still there", oldest());
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

#[tokio::test]
async fn old_commits_go_and_the_entries_stay() {
    let directory = tempfile::tempdir().unwrap();
    let mut horizon = Revision::ZERO;
    for _ in 0..2 {
        let book = LocalBook::open(directory.path(), short()).unwrap();
        write(&book, 80).await;
        let before = book.scan("", None, 1_000, None).unwrap();
        horizon = beyond(&book, horizon).await;
        kept(&book, directory.path(), &before).await;
        in_step(&book).await;
        book.close().await.unwrap();
        drop(book);
        let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
        kept(&book, directory.path(), &before).await;
        // Nothing is skipped in silence.
        let gone = BookError::RevisionGone { asked: Revision::ZERO, oldest: horizon, newest: book.revision() };
        assert_eq!(book.changes_since(Revision::ZERO, 10).await, Err(gone));
        assert_eq!(book.verify(None).await.unwrap().mended, Vec::<String>::new());
        book.close().await.unwrap();
        drop(book);
        // The second copy is gone: it is written anew from the base and the commits, and mends the journal.
        std::fs::remove_dir_all(directory.path().join("store")).unwrap();
        let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
        in_step(&book).await;
        book.close().await.unwrap();
        drop(book);
        let mut names: Vec<_> =
            std::fs::read_dir(directory.path().join("journal")).unwrap().map(|file| file.unwrap().path()).collect();
        names.sort();
        let segment = names.iter().find(|path| path.extension().is_some()).unwrap();
        std::fs::remove_file(segment).unwrap();
        let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
        kept(&book, directory.path(), &before).await;
        assert_eq!(book.verify(None).await.unwrap().mended.len(), 1);
        book.close().await.unwrap();
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_of_a_book_that_has_let_go_is_restored() {
    let (directory, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let book = Arc::new(LocalBook::open(directory.path(), short()).unwrap());
    write(&book, 80).await;
    let before = book.scan("", None, 1_000, None).unwrap();
    let horizon = beyond(&book, Revision::ZERO).await;
    let file = to.path().join("one.backup");
    let (reading, path, wait) = (Arc::clone(&book), file.clone(), tokio::runtime::Handle::current());
    let contents =
        tokio::task::spawn_blocking(move || backup::write(reading.as_ref(), &wait, &|_, _| None, &path).unwrap());
    let contents = contents.await.unwrap();
    assert_eq!((contents.revision, contents.tally), (book.revision(), book.tally()));
    let restored = to.path().join("book");
    assert_eq!(backup::restore(&file, &restored, &Bounds::default()).unwrap(), contents);
    let again = LocalBook::open(&restored, Bounds::default()).unwrap();
    assert_eq!(again.horizon().revision, horizon);
    kept(&again, &restored, &before).await;
    again.close().await.unwrap();
    // No altered byte of it is taken.
    let bytes = std::fs::read(&file).unwrap();
    for at in (0..bytes.len()).step_by(bytes.len() / 60) {
        let mut altered = bytes.clone();
        altered[at] ^= 4;
        std::fs::write(&file, altered).unwrap();
        assert!(backup::restore(&file, &to.path().join(format!("at-{at}")), &Bounds::default()).is_err(), "{at}");
    }
}

/// Old commits are due to go while a backup is being written: they wait for it, and go after it.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_holds_what_it_reads_until_it_is_written() {
    for gone_before in [false, true] {
        let (directory, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let book = Arc::new(LocalBook::open(directory.path(), short()).unwrap());
        write(&book, 60).await;
        if gone_before {
            beyond(&book, Revision::ZERO).await;
        }
        let file = to.path().join("one.backup");
        let (reading, path, wait) = (Arc::clone(&book), file.clone(), tokio::runtime::Handle::current());
        let written = tokio::task::spawn_blocking(move || {
            let met = std::sync::Mutex::new(None);
            let strike = |_: &Name, _: &bytes::Bytes| {
                met.lock().unwrap().get_or_insert_with(|| {
                    // It has begun to read: many more commits come, the second copy takes them in, and the thread that lets
                    // go of the old ones looks twice.
                    let begun = reading.horizon().revision;
                    wait.block_on(async {
                        write(&reading, 60).await;
                        in_step(&reading).await;
                        tokio::time::sleep(Duration::from_millis(2_500)).await;
                    });
                    (begun, reading.horizon().revision)
                });
                None
            };
            let revision = reading.revision();
            let contents = backup::write(reading.as_ref(), &wait, &strike, &path).unwrap();
            assert_eq!(contents.revision, revision);
            (contents, met.into_inner().unwrap().unwrap())
        });
        let (contents, (begun, then)) = written.await.unwrap();
        assert_eq!(begun, then, "commits went while a backup read them");
        assert!(beyond(&book, begun).await > begun, "they go when it is done");
        let restored = to.path().join("book");
        assert_eq!(backup::restore(&file, &restored, &Bounds::default()).unwrap(), contents);
        book.close().await.unwrap();
    }
}
