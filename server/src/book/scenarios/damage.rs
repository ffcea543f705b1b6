//! Damage to any file the book owns: mended from the other copy, or refused with what it touches and what to type. Never
//! passed over in silence, never a panic.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rand::rngs::StdRng;
use rand::{Rng as _, SeedableRng as _};

use super::*;

/// How many times a file is damaged; more with `BAYBOOK_DAMAGES=12000`, one with `BAYBOOK_DAMAGE=17`.
const DAMAGES: u64 = 90;

/// How many at the same time.
const AT_ONCE: usize = 12;

pub(super) fn bounds() -> Bounds {
    // Several files of the journal, and little memory for sled.
    Bounds { segment_bytes: 3_000, cache_bytes: 1 << 20, copy_pause: Duration::from_millis(20), ..Bounds::default() }
}

pub(super) fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        let to = to.join(file.file_name());
        if file.file_type().unwrap().is_dir() {
            copy(&file.path(), &to)
        } else {
            assert!(fs::copy(file.path(), to).is_ok())
        }
    }
}

pub(super) fn files(directory: &Path, found: &mut Vec<PathBuf>) {
    for file in fs::read_dir(directory).unwrap() {
        let path = file.unwrap().path();
        if path.is_dir() { files(&path, found) } else { found.push(path) }
    }
}

/// A book of some dozens of commits, closed.
pub(super) async fn written(directory: &Path) -> (Vec<Arc<PastCommit>>, Vec<Arc<Record>>, Tally) {
    let book = LocalBook::open(directory, bounds()).unwrap();
    for n in 0..40_u64 {
        let text = format!("{n} {}", "x".repeat(usize::try_from(n * 53 % 400).unwrap()));
        book.commit(asked(&format!("r-{n}"), 1, put(&format!("nuts/{}", n % 9), &text))).await.unwrap();
        if n % 10 == 9 {
            book.commit(changes([remove("nuts/3"), put("bolts/b", &text)])).await.unwrap();
        }
    }
    let state = shown(&book).await;
    book.close().await.unwrap();
    state
}

pub(super) async fn shown(book: &LocalBook) -> (Vec<Arc<PastCommit>>, Vec<Arc<Record>>, Tally) {
    let commits = book.changes_since(book.horizon().revision, 1_000).await.unwrap();
    (commits, book.scan("", None, 1_000, None).unwrap().records, book.tally())
}

/// What was done, for the message of a failure.
pub(super) fn damage(directory: &Path, rng: &mut StdRng) -> String {
    let mut all = Vec::new();
    files(directory, &mut all);
    // The lock holds nothing, and what is in the ballast does not matter.
    all.retain(|path| {
        !path.ends_with("lock") && !path.starts_with(directory.join("damaged")) && fs::metadata(path).unwrap().len() > 0
    });
    all.sort();
    let path = &all[rng.random_range(0..all.len())];
    let mut bytes = fs::read(path).unwrap();
    // sled leaves most of its file empty: damage is to hit what is written.
    let used = bytes.iter().rposition(|byte| *byte != 0).unwrap_or(0) + 1;
    let at = rng.random_range(0..used);
    let what = match rng.random_range(0..12) {
        0 => {
            bytes.truncate(at);
            "truncated"
        }
        1 => {
            let page = at / 4_096 * 4_096;
            let end = bytes.len().min(page + 4_096);
            bytes[page..end].fill(0);
            "page zeroed"
        }
        2 => {
            fs::remove_file(path).unwrap();
            return format!("{} removed", path.display());
        }
        _ => {
            bytes[at] ^= 1 << rng.random_range(0..8);
            "bit flipped"
        }
    };
    fs::write(path, bytes).unwrap();
    format!("{} {what} at {at}", path.display())
}

type State = (Vec<Arc<PastCommit>>, Vec<Arc<Record>>, Tally);

/// What became of a damage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    Mended,
    Refused,
    /// In bytes that hold nothing: all of both copies was read and is as it was.
    Harmless,
}

async fn one(seed: u64, template: &Path, before: &State) -> Fate {
    let directory = tempfile::tempdir().unwrap();
    copy(template, directory.path());
    let what = damage(directory.path(), &mut StdRng::seed_from_u64(seed));
    let book = match LocalBook::open(directory.path(), bounds()) {
        Ok(book) => book,
        Err(BookError::Damaged { next, .. }) => {
            assert!(next.contains("baybook restore BACKUP"), "{what}: {next}");
            return Fate::Refused;
        }
        Err(other) => panic!("{what}: {other}"),
    };
    // A second copy that cannot be opened is nothing that a caller waits for.
    assert_eq!(&shown(&book).await, before, "{what}");
    let first = book.verify(None).await.unwrap();
    let harmless = first.damages.is_empty() && first.mended.is_empty();
    if !harmless {
        let mut last = first;
        for _ in 0..100 {
            if last.damages.is_empty() && last.second_copy == last.revision {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
            last = book.verify(None).await.unwrap();
        }
        assert!(last.damages.is_empty() && !last.mended.is_empty(), "{what}: {last:?}");
    }
    book.close().await.unwrap();
    drop(book);
    let again = LocalBook::open(directory.path(), bounds()).unwrap();
    assert_eq!(&shown(&again).await, before, "{what}");
    if harmless { Fate::Harmless } else { Fate::Mended }
}

pub(super) fn number(variable: &str) -> Option<u64> {
    std::env::var(variable).ok()?.parse().ok()
}

#[tokio::test(flavor = "multi_thread")]
async fn no_damage_passes_in_silence() {
    let template = tempfile::tempdir().unwrap();
    let before = written(template.path()).await;
    many(template.path(), before, "no_damage_passes_in_silence").await;
}

/// The same of a book that has let go of its oldest commits, and holds a base in their place.
#[tokio::test(flavor = "multi_thread")]
async fn no_damage_to_a_condensed_book_passes_in_silence() {
    let template = tempfile::tempdir().unwrap();
    written(template.path()).await;
    let little = Bounds {
        history_commits: 12,
        history_age: std::time::Duration::ZERO,
        request_age: std::time::Duration::ZERO,
        requests: 1,
        ..bounds()
    };
    let book = LocalBook::open(template.path(), little).unwrap();
    book.commit(changes([put("nuts/last", "1")])).await.unwrap();
    horizon::beyond(&book, Revision::ZERO).await;
    book.close().await.unwrap();
    drop(book);
    let book = LocalBook::open(template.path(), bounds()).unwrap();
    let before = shown(&book).await;
    assert!(book.horizon().revision > Revision::ZERO);
    book.close().await.unwrap();
    drop(book);
    many(template.path(), before, "no_damage_to_a_condensed_book_passes_in_silence").await;
}

async fn many(template: &Path, before: (Vec<Arc<PastCommit>>, Vec<Arc<Record>>, Tally), test: &str) {
    let before = Arc::new(before);
    let seeds = match number("BAYBOOK_DAMAGE") {
        Some(seed) => seed..seed + 1,
        None => 0..number("BAYBOOK_DAMAGES").unwrap_or(DAMAGES),
    };
    let all = seeds.end - seeds.start;
    // Most of the time is spent waiting for the second copy's thread: several go on side by side.
    let places = Arc::new(tokio::sync::Semaphore::new(AT_ONCE));
    let mut running = Vec::new();
    for seed in seeds {
        let place = Arc::clone(&places).acquire_owned().await.unwrap();
        let (template, before) = (template.to_owned(), Arc::clone(&before));
        let work = tokio::spawn(async move {
            let fate = one(seed, &template, &before).await;
            drop(place);
            fate
        });
        running.push((seed, work));
    }
    let (mut mended, mut refused, mut harmless, mut failed) = (0, 0, 0, Vec::new());
    for (seed, work) in running {
        match work.await {
            Ok(Fate::Mended) => mended += 1,
            Ok(Fate::Refused) => refused += 1,
            Ok(Fate::Harmless) => harmless += 1,
            Err(_) => failed.push(seed),
        }
    }
    eprintln!("{all} damages: {mended} mended, {refused} refused, {harmless} harmless, failed: {failed:?}");
    assert!(failed.is_empty(), "replay with: BAYBOOK_DAMAGE={} cargo test -p baybook-server --lib {test}", failed[0]);
    assert!(all < 50 || mended > all / 4, "{mended} of {all}");
}

/// Both copies of the same commit gone: the refusal names what that touches and what to type.
#[tokio::test]
async fn what_no_copy_holds_is_refused_by_name() {
    let directory = tempfile::tempdir().unwrap();
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    for n in 0..8 {
        book.commit(changes([put(&format!("nuts/{n}"), "some value of it")])).await.unwrap();
    }
    book.close().await.unwrap();
    drop(book);
    // The commits go from the second copy; its entries stay and tell the names.
    let db = ::sled::Config::new().path(directory.path().join("store")).flush_every_ms(None).open().unwrap();
    for revision in [4, 5] {
        db.remove(crate::book::frame::commit_key(super::revision(revision))).unwrap();
    }
    db.flush().unwrap();
    drop(db);
    let segment = directory.path().join("journal/00000000000000000001.journal");
    let mut bytes = fs::read(&segment).unwrap();
    let hit = |bytes: &[u8], what: &[u8]| bytes.windows(what.len()).position(|window| window == what).unwrap();
    for name in [&b"nuts/3"[..], b"nuts/4"] {
        let at = hit(&bytes, name);
        bytes[at] ^= 1;
    }
    let damaged = bytes.clone();
    fs::write(&segment, bytes).unwrap();
    let refused = LocalBook::open(directory.path(), Bounds::default()).unwrap_err();
    let BookError::Damaged { what, names, next } = &refused else { panic!("{refused}") };
    assert!(what.contains("revision"), "{what}");
    assert!(names.contains(&"nuts/3".to_owned()), "{names:?}");
    assert!(next.contains("baybook restore BACKUP"), "{next}");
    assert_eq!(fs::read(&segment).unwrap(), damaged, "a refusal changes nothing");
}

/// An older state put back whole, journal and marks, is not taken for the newest: the second copy knows of more.
#[tokio::test]
async fn an_older_journal_is_not_taken_for_the_newest() {
    let (directory, older) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    book.commit(changes([put("nuts/a", "1")])).await.unwrap();
    book.close().await.unwrap();
    drop(book);
    copy(directory.path(), older.path());
    let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
    book.commit(changes([put("nuts/a", "2")])).await.unwrap();
    book.close().await.unwrap();
    drop(book);
    for name in ["mark-a", "mark-b", "journal/00000000000000000001.journal"] {
        fs::copy(older.path().join(name), directory.path().join(name)).unwrap();
    }
    for _ in 0..2 {
        let refused = LocalBook::open(directory.path(), Bounds::default()).unwrap_err();
        let BookError::Damaged { what, names, .. } = &refused else { panic!("{refused}") };
        assert!(what.contains("ends at revision 1 ") && what.contains("through 2"), "{what}");
        assert_eq!(*names, ["nuts/a"]);
        // The same without the note beside the store: it is asked itself.
        drop(fs::remove_file(directory.path().join("store/reached")));
    }
}

/// Taking the end off at a whole commit, which no check sum of a commit can tell.
#[tokio::test]
async fn a_journal_cut_between_commits_is_mended() {
    let directory = tempfile::tempdir().unwrap();
    let before = written(directory.path()).await;
    let mut all = Vec::new();
    files(&directory.path().join("journal"), &mut all);
    all.sort();
    let last = all.last().unwrap();
    let bytes = fs::read(last).unwrap();
    let start = bytes.windows(4).rposition(|window| window == b"bbj1").unwrap();
    fs::write(last, &bytes[..start]).unwrap();
    let book = LocalBook::open(directory.path(), bounds()).unwrap();
    assert_eq!(shown(&book).await, before);
    assert_eq!(book.verify(None).await.unwrap().mended.len(), 1);
}

/// Nothing is left but the ballast: that is no new book.
#[tokio::test]
async fn a_book_that_is_gone_is_not_begun_anew() {
    let directory = tempfile::tempdir().unwrap();
    written(directory.path()).await;
    for folder in ["journal", "store"] {
        fs::remove_dir_all(directory.path().join(folder)).unwrap();
    }
    for mark in ["mark-a", "mark-b"] {
        fs::remove_file(directory.path().join(mark)).unwrap();
    }
    assert!(matches!(LocalBook::open(directory.path(), Bounds::default()), Err(BookError::Damaged { .. })));
}
