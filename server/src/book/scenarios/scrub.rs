//! Damage to the files of a book that is open: found by reading them again, and mended, or the book takes no more writes.

use std::fs;
use std::path::Path;
use std::time::Duration;

use rand::SeedableRng as _;
use rand::rngs::StdRng;

use super::damage::{bounds, damage, number, shown, written};
use super::*;

/// How many times a file is damaged; more with `BAYBOOK_DAMAGES=12000`.
const DAMAGES: u64 = 30;

/// Waits until the second copy holds everything and all is as it was written.
async fn settled(book: &LocalBook) {
    for _ in 0..200 {
        let verified = book.verify(None).await.unwrap();
        if verified.damages.is_empty() && verified.second_copy == verified.revision {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("{:?}", book.verify(None).await.unwrap());
}

#[tokio::test]
async fn damage_under_an_open_book_is_found_and_mended() {
    let directory = tempfile::tempdir().unwrap();
    written(directory.path()).await;
    let book = LocalBook::open(directory.path(), bounds()).unwrap();
    let (mut mended, mut harmless) = (0, 0);
    for seed in 0..number("BAYBOOK_DAMAGES").unwrap_or(DAMAGES) {
        settled(&book).await;
        let before = shown(&book).await;
        let what = damage(directory.path(), &mut StdRng::seed_from_u64(seed));
        let found = book.verify(None).await.unwrap();
        assert!(found.damages.iter().all(|damage| damage.mended && !damage.next.is_empty()), "{what}: {found:?}");
        assert_eq!(book.standing(), Standing::Writable, "{what}");
        if found.damages.is_empty() {
            harmless += 1
        } else {
            mended += 1
        }
        let ours = what.contains("journal/") || what.contains("mark-");
        assert!(!ours || !found.damages.is_empty(), "{what} passed in silence");
        assert_eq!(shown(&book).await, before, "{what}");
        book.commit(changes([put("nuts/0", &what)])).await.unwrap();
        // What was put aside is not looked at, and would only fill the disk of a long run.
        drop(fs::remove_dir_all(directory.path().join("damaged")));
    }
    eprintln!("{mended} mended, {harmless} harmless");
    settled(&book).await;
    let before = shown(&book).await;
    book.close().await.unwrap();
    drop(book);
    assert_eq!(shown(&LocalBook::open(directory.path(), bounds()).unwrap()).await, before);
}

fn segment(directory: &Path) -> std::path::PathBuf {
    directory.join("journal/00000000000000000001.journal")
}

/// A file that was taken away while the book is open comes back whole from the open file, without any second copy.
#[tokio::test]
async fn a_file_that_was_taken_away_is_written_again() {
    let directory = tempfile::tempdir().unwrap();
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    fs::remove_file(segment(directory.path())).unwrap();
    let found = book.verify(None).await.unwrap();
    assert!(found.damages.len() == 1 && found.damages[0].mended, "{found:?}");
    assert_eq!(found.damages[0].names, ["nuts/a"]);
    // What is written from now on is in the new file.
    book.commit(changes([put("nuts/a", "2")])).await.unwrap();
    let before = shown(&book).await;
    book.close().await.unwrap();
    drop(book);
    assert_eq!(shown(&LocalBook::open(directory.path(), Bounds::default()).unwrap()).await, before);
}

/// Neither copy holds it: the book names what is touched and what to type, goes on reading, and takes no more writes.
#[tokio::test]
async fn what_no_copy_holds_stops_writes_and_says_what_to_type() {
    let directory = tempfile::tempdir().unwrap();
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    for n in 0..4 {
        book.commit(changes([put(&format!("nuts/{n}"), "some value of it")])).await.unwrap();
    }
    let mut bytes = fs::read(segment(directory.path())).unwrap();
    let at = bytes.windows(6).position(|window| window == b"nuts/2").unwrap();
    bytes[at] ^= 1;
    fs::write(segment(directory.path()), bytes).unwrap();
    let verified = book.verify(None).await.unwrap();
    let [damage] = verified.damages.as_slice() else { panic!("{verified:?}") };
    // Should the second copy have been this quick, there is nothing to refuse.
    if damage.mended {
        return;
    }
    assert!(damage.what.contains("the commit of revision 3 cannot be read"), "{damage:?}");
    assert_eq!(damage.names, ["nuts/2"]);
    for command in ["baybook book export", "mv ", "baybook restore BACKUP --data", "baybook book import"] {
        assert!(damage.next.contains(command), "{}", damage.next);
    }
    assert!(matches!(book.standing(), Standing::ReadOnly { .. }));
    let refused = book.commit(changes([put("nuts/9", "no")])).await.unwrap_err();
    assert!(matches!(refused, BookError::ReadOnly { .. }), "{refused}");
    assert_eq!(book.scan("nuts/", None, 10, None).unwrap().records.len(), 4);
}
