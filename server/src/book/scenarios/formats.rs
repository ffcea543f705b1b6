//! What releases left, of every format there was, opens and is restored.

use std::path::{Path, PathBuf};

use super::damage::copy;
use super::*;

/// What releases left, of every format there was: an import, a change with a request id, an edit.
fn left_behind(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/formats").join(name)
}

/// The store alone.
#[tokio::test]
async fn a_directory_of_the_first_format_opens() {
    let directory = tempfile::tempdir().unwrap();
    copy(&left_behind("first"), directory.path());
    opens(directory.path()).await;
}

/// The journal, its marks and the store behind it.
#[tokio::test]
async fn a_directory_of_the_second_format_opens() {
    let directory = tempfile::tempdir().unwrap();
    copy(&left_behind("second"), directory.path());
    opens(directory.path()).await;
}

#[tokio::test]
async fn a_backup_of_the_first_format_is_restored() {
    let home = tempfile::tempdir().unwrap();
    let directory = home.path().join("data");
    let contents = crate::book::backup::restore(&left_behind("first.backup"), &directory, &Bounds::default()).unwrap();
    assert_eq!(format!("{:032x}", contents.tally.digest()), "f5d1cbf04d3a4ad46b762ac5d58d4c10");
    opens(&directory).await;
}

async fn opens(directory: &Path) {
    for _ in 0..3 {
        let book = LocalBook::open(directory, Bounds::default()).unwrap();
        assert_eq!((book.revision(), book.tally().entries()), (revision(2), 20));
        let history = book.history(name("ballmounts/two-in-drop-0"), None, 10).await.unwrap();
        assert_eq!(history.iter().map(|past| past.revision.get()).collect::<Vec<_>>(), [2, 1]);
        assert_eq!(&*history[0].author, "foreman");
        let answer = book.request("first-1".into()).await.unwrap().unwrap();
        assert_eq!(answer.revision, revision(2));
        assert_eq!(book.verify(None).await.unwrap().damages, []);
        assert_eq!(book.verify(None).await.unwrap().mended, Vec::<String>::new());
        book.close().await.unwrap();
    }
    let book = LocalBook::open(directory, Bounds::default()).unwrap();
    assert_eq!(book.commit(changes([put("nuts/new", "1")])).await.unwrap().revision, revision(3));
}

/// A base, the commits after it, the marks and the store behind them; the same with marks that vouch for the base; and a
/// backup of it. The revisions through 39 were let go of.
#[tokio::test]
async fn directories_of_the_third_and_fourth_format_and_a_backup_open() {
    let home = tempfile::tempdir().unwrap();
    let [third, fourth, restored] = ["third", "fourth", "restored"].map(|name| home.path().join(name));
    copy(&left_behind("third"), &third);
    copy(&left_behind("fourth"), &fourth);
    let contents = crate::book::backup::restore(&left_behind("third.backup"), &restored, &Bounds::default()).unwrap();
    assert_eq!(format!("{:032x}", contents.tally.digest()), "4ac1cafef64bafd31f8da4529870c770");
    for directory in [third, fourth, restored] {
        let book = LocalBook::open(&directory, Bounds::default()).unwrap();
        assert_eq!(
            (book.revision(), book.tally(), book.horizon().revision),
            (revision(62), contents.tally, revision(39))
        );
        let history = book.history(name("nuts/new"), None, 100).await.unwrap();
        assert_eq!(
            history.iter().map(|past| past.revision.get()).collect::<Vec<_>>(),
            (40..=62).rev().collect::<Vec<_>>()
        );
        // Nobody has changed it since the horizon.
        assert_eq!(book.history(name("ballmounts/two-in-drop-0"), None, 10).await.unwrap(), []);
        assert_eq!(&*book.get("ballmounts/two-in-drop-0").unwrap().author, "foreman");
        assert_eq!(book.request("r-59".into()).await.unwrap().unwrap().revision, revision(62));
        let verified = book.verify(None).await.unwrap();
        assert_eq!((verified.damages, verified.mended), (vec![], vec![]));
        book.close().await.unwrap();
    }
}

/// A data directory of the second format, from before old commits were let go of: an import, a change with a request id.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_directory_of_the_second_format_opens_and_lets_go() {
    let directory = tempfile::tempdir().unwrap();
    copy(&left_behind("second"), directory.path());
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    assert_eq!((book.revision(), book.tally().entries()), (revision(2), 20));
    let history = book.history(name("ballmounts/two-in-drop-0"), None, 10).await.unwrap();
    assert_eq!(history.iter().map(|past| past.revision.get()).collect::<Vec<_>>(), [2, 1]);
    assert_eq!(book.request("first-1".into()).await.unwrap().unwrap().revision, revision(2));
    let verified = book.verify(None).await.unwrap();
    assert_eq!((verified.damages, verified.mended), (vec![], vec![]));
    book.close().await.unwrap();
    drop(book);
    let book = LocalBook::open(directory.path(), Bounds { requests: 1, ..horizon::short() }).unwrap();
    for n in 0..60 {
        book.commit(asked(&format!("r-{n}"), 1, put("nuts/new", &"x".repeat(n)))).await.unwrap();
    }
    assert!(horizon::beyond(&book, Revision::ZERO).await >= revision(2));
    assert_eq!(book.tally().entries(), 21);
    book.close().await.unwrap();
    drop(book);
    assert_eq!(LocalBook::open(directory.path(), Bounds::default()).unwrap().tally().entries(), 21);
}
