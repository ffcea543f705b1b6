//! What sled is known to do on damaged files and on a full disk: each is provoked on sled alone, and the book that keeps
//! its second copy there is unharmed by the same.

use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rand::rngs::StdRng;
use rand::{Rng as _, SeedableRng as _};

use super::*;

fn bounds() -> Bounds {
    Bounds { cache_bytes: 1 << 20, copy_pause: Duration::from_millis(20), ..Bounds::default() }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        let to = to.join(file.file_name());
        if file.file_type().unwrap().is_dir() {
            copy(&file.path(), &to);
        } else {
            fs::copy(file.path(), to).unwrap();
        }
    }
}

/// A book of some hundred commits, closed, with all of them in the second copy.
async fn written(directory: &Path) -> (Vec<Arc<Record>>, Tally) {
    // Opened more than once: sled writes a snapshot of itself when it opens.
    for round in 0..3 {
        let book = LocalBook::open(directory, bounds()).unwrap();
        for n in 0..60_u64 {
            let text = format!("{round} {n} {}", "x".repeat(usize::try_from(n * 97 % 900).unwrap()));
            book.commit(changes([put(&format!("nuts/{}", n % 25), &text)])).await.unwrap();
        }
        if round == 2 {
            let shown = (book.scan("", None, 1_000, None).unwrap().records, book.tally());
            book.close().await.unwrap();
            return shown;
        }
        book.close().await.unwrap();
    }
    unreachable!()
}

/// What sled alone does with a store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Alone {
    Panics,
    Corruption,
    OtherError,
    /// It opens and says nothing, and records are missing or changed.
    HidesIt,
    Whole,
}

type Pairs = BTreeMap<Vec<u8>, Vec<u8>>;

/// Everything sled gives back, and then whether it also takes something.
fn pairs(store: &Path, read: &mut Option<Pairs>) -> Result<(), ::sled::Error> {
    let mut tries = 0;
    let db = loop {
        match ::sled::Config::new().path(store).flush_every_ms(None).cache_capacity(1 << 20).open() {
            Err(::sled::Error::Io(cause)) if tries < 100 && cause.to_string().contains("lock") => {
                tries += 1;
                std::thread::sleep(Duration::from_millis(10));
            }
            opened => break opened?,
        }
    };
    let found = db.iter().map(|pair| pair.map(|(key, value)| (key.to_vec(), value.to_vec())));
    *read = Some(found.collect::<Result<_, _>>()?);
    // Some damage shows only when it is written to.
    for n in 0..300_u32 {
        db.insert(n.to_be_bytes(), vec![7; 900])?;
    }
    db.flush().map(drop)
}

/// What sled does, and whether it gives back everything as it was.
fn alone(store: &Path, whole: &Pairs) -> (Alone, bool) {
    let mut read = None;
    let ended = catch_unwind(AssertUnwindSafe(|| pairs(store, &mut read)));
    let same = read.as_ref() == Some(whole);
    let kind = match ended {
        Err(_) => Alone::Panics,
        Ok(Err(::sled::Error::Corruption { .. })) => Alone::Corruption,
        Ok(Err(_)) => Alone::OtherError,
        Ok(Ok(())) if same => Alone::Whole,
        Ok(Ok(())) => Alone::HidesIt,
    };
    (kind, same)
}

/// The book opens on the same damage, shows everything, and mends or begins its second copy anew. It says so whenever
/// sled gives back anything else than what was written; damage to bytes that hold nothing of ours (sled's own counters,
/// pages it has let go of, a snapshot that it makes again) changes no answer, and the book may say nothing of it.
async fn unharmed(directory: &Path, before: &(Vec<Arc<Record>>, Tally), gives_all: bool, what: &str) {
    let book = LocalBook::open(directory, bounds()).unwrap_or_else(|refused| panic!("{what}: {refused}"));
    let shown = (book.scan("", None, 1_000, None).unwrap().records, book.tally());
    assert_eq!(&shown, before, "{what}");
    book.commit(changes([put("bolts/after", "1")])).await.unwrap();
    let begun = Instant::now();
    let mut told = false;
    loop {
        let verified = book.verify(None).await.unwrap();
        told |= !verified.damages.is_empty() || !verified.mended.is_empty();
        if verified.damages.is_empty() && verified.second_copy == verified.revision {
            assert!(told || gives_all, "mended without a word: {what}");
            if !told {
                eprintln!("nothing was said, and all of it is given back: {what}");
            }
            break;
        }
        assert!(begun.elapsed() < Duration::from_secs(60), "{what}: {verified:?}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    book.close().await.unwrap();
}

/// How a file is damaged.
#[derive(Clone, Copy, Debug)]
enum Way {
    Flip,
    Cut,
    /// A flipped bit, and sled's snapshot of itself is gone: it reads everything again.
    FlipWithoutSnapshot,
    CutWithoutSnapshot,
    /// A page of zeros.
    Zeros,
}

/// The files of the store whose names begin so, damaged by a seed.
fn damaged(directory: &Path, prefix: &str, seed: u64, way: Way) -> String {
    let mut rng = StdRng::seed_from_u64(seed);
    let store = directory.join("store");
    let mut files: Vec<PathBuf> = fs::read_dir(&store)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.file_name().unwrap().to_string_lossy().starts_with(prefix))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "sled keeps no {prefix}");
    let path = &files[rng.random_range(0..files.len())];
    let mut bytes = fs::read(path).unwrap();
    let used = bytes.iter().rposition(|byte| *byte != 0).unwrap_or(0) + 1;
    let at = rng.random_range(0..used);
    match way {
        Way::Flip | Way::FlipWithoutSnapshot => bytes[at] ^= 1 << rng.random_range(0..8),
        Way::Cut | Way::CutWithoutSnapshot => bytes.truncate(at),
        Way::Zeros => bytes[at..].iter_mut().take(4_096).for_each(|byte| *byte = 0),
    }
    fs::write(path, bytes).unwrap();
    if matches!(way, Way::FlipWithoutSnapshot | Way::CutWithoutSnapshot) {
        for file in fs::read_dir(&store).unwrap().flatten() {
            if file.file_name().to_string_lossy().starts_with("snap.") {
                fs::remove_file(file.path()).unwrap();
            }
        }
    }
    format!("seed {seed}: {} {way:?} at {at}", path.file_name().unwrap().to_string_lossy())
}

async fn provoke(
    template: &Path,
    before: &(Vec<Arc<Record>>, Tally),
    prefix: &str,
    way: Way,
    seeds: u64,
) -> BTreeMap<Alone, u64> {
    let whole = {
        let apart = tempfile::tempdir().unwrap();
        copy(&template.join("store"), apart.path());
        let mut whole = None;
        pairs(apart.path(), &mut whole).unwrap();
        whole.unwrap()
    };
    let mut seen = BTreeMap::new();
    for seed in 0..seeds {
        let directory = tempfile::tempdir().unwrap();
        copy(template, directory.path());
        let what = damaged(directory.path(), prefix, seed, way);
        let apart = tempfile::tempdir().unwrap();
        copy(&directory.path().join("store"), apart.path());
        let (sled_alone, gives_all) = alone(apart.path(), &whole);
        let count = seen.entry(sled_alone).or_insert(0);
        *count += 1;
        // Each kind is tried on the book a few times.
        if *count <= 2 {
            unharmed(directory.path(), before, gives_all, &format!("{what}, sled alone: {sled_alone:?}")).await;
        }
    }
    eprintln!("{prefix} {way:?}: sled alone: {seen:?}");
    seen
}

#[tokio::test]
async fn damage_on_which_sled_panics_or_hides_the_loss_or_reports_corruption() {
    let template = tempfile::tempdir().unwrap();
    let before = written(template.path()).await;
    let ways = [
        ("db", Way::Flip, 40),
        ("db", Way::FlipWithoutSnapshot, 60),
        ("db", Way::Cut, 20),
        ("db", Way::CutWithoutSnapshot, 20),
        ("db", Way::Zeros, 20),
        ("conf", Way::Flip, 20),
        ("snap.", Way::Flip, 20),
    ];
    let mut seen: BTreeMap<Alone, u64> = BTreeMap::new();
    for (prefix, way, seeds) in ways {
        for (kind, count) in provoke(template.path(), &before, prefix, way, seeds).await {
            *seen.entry(kind).or_default() += count;
        }
    }
    for kind in [Alone::HidesIt, Alone::Corruption] {
        assert!(seen.contains_key(&kind), "{kind:?} was not provoked: {seen:?}");
    }
}

/// sled's files grow by segments of this size.
const SEGMENT: usize = 512 << 10;

/// A write that went astray: the head of one of sled's segments lies where another one begins. sled does not report that,
/// it panics; the book does not, and says what it did.
#[tokio::test]
async fn a_misplaced_write_on_which_sled_panics() {
    let template = tempfile::tempdir().unwrap();
    let book = LocalBook::open(template.path(), bounds()).unwrap();
    for n in 0..400_u64 {
        book.commit(changes([put(&format!("nuts/{n}"), &"x".repeat(5_000))])).await.unwrap();
    }
    let before = (book.scan("", None, 1_000, None).unwrap().records, book.tally());
    book.close().await.unwrap();
    drop(book);
    let mut panicked = 0;
    for (from, to) in [(0, 1), (1, 2), (2, 1)] {
        let directory = tempfile::tempdir().unwrap();
        copy(template.path(), directory.path());
        let path = directory.path().join("store").join("db");
        let mut bytes = fs::read(&path).unwrap();
        assert!(bytes.len() > 3 * SEGMENT, "{} bytes", bytes.len());
        bytes.copy_within(from * SEGMENT..from * SEGMENT + 4_096, to * SEGMENT);
        fs::write(&path, bytes).unwrap();
        let apart = tempfile::tempdir().unwrap();
        copy(&directory.path().join("store"), apart.path());
        let (sled_alone, gives_all) = alone(apart.path(), &Pairs::new());
        panicked += u32::from(sled_alone == Alone::Panics);
        let what = format!("the head of segment {from} at segment {to}, sled alone: {sled_alone:?}");
        eprintln!("{what}");
        unharmed(directory.path(), &before, gives_all, &what).await;
    }
    assert!(panicked > 0, "sled did not panic on any of these");
}

/// Whatever the store's calls panic on, the caller gets an error, and the store is opened anew for the next call.
#[test]
fn a_panic_within_sled_s_calls_is_an_error() {
    let directory = tempfile::tempdir().unwrap();
    let mirror = super::super::journal::mirror_of(directory.path());
    let refused = mirror.with(|_| -> Result<(), BookError> { panic!("assertion failed: lsn >= active.lsn") });
    assert!(
        matches!(&refused, Err(BookError::Damaged { what, .. }) if what.contains("lsn >= active.lsn")),
        "{refused:?}"
    );
    assert!(mirror.with(crate::book::sled::SledStore::progress).is_ok());
}

#[tokio::test]
async fn a_torn_snapshot() {
    let template = tempfile::tempdir().unwrap();
    let before = written(template.path()).await;
    let seen = provoke(template.path(), &before, "snap.", Way::Cut, 12).await;
    assert!(seen.keys().any(|kind| *kind != Alone::Whole), "a torn snapshot was not noticed by sled: {seen:?}");
}

/// Names the mount point of a small file system to a test within it.
const SMALL: &str = "BAYBOOK_TEST_SMALL_DISK";

/// Starts one of these tests again where a small file system is mounted; says so where none can be.
fn on_a_small_disk(test: &str, proof: &str) {
    let folder = tempfile::tempdir().unwrap();
    for namespace in [&["--user", "--map-root-user", "--mount"][..], &["--mount"]] {
        let script = format!("mount -t tmpfs -o size=10m small \"${SMALL}\" && echo mounted && exec \"$0\" \"$@\"");
        let output = Command::new("unshare")
            .args(namespace)
            .args(["sh", "-c", &script])
            .arg(std::env::current_exe().unwrap())
            .args(["--exact", test, "--nocapture", "--include-ignored"])
            .env(SMALL, folder.path())
            .stdin(Stdio::null())
            .output();
        let Ok(output) = output else { continue };
        let (said, talk) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        if said.lines().any(|line| line == "mounted") {
            assert!(output.status.success() && talk.contains(proof), "{said}\n{talk}");
            eprintln!("{talk}");
            return;
        }
    }
    eprintln!("SKIPPED, nothing was shown: no small file system can be mounted here");
}

#[test]
fn a_full_disk_that_poisons_sled() {
    on_a_small_disk("book::scenarios::traps::within_a_small_disk", "the second copy caught up");
}

fn fill(disk: &Path) -> PathBuf {
    use std::io::Write as _;
    let path = disk.join("filler");
    let mut file = fs::File::create(&path).unwrap();
    for bytes in [&[0x5a; 65_536][..], &[0x5a; 512], &[0x5a]] {
        while file.write(bytes).is_ok() {}
    }
    path
}

/// sled that has once found no room does not recover when there is some again; the book's second copy does.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "runs on a small file system, started by the test above"]
async fn within_a_small_disk() {
    let Some(disk) = std::env::var_os(SMALL).map(PathBuf::from) else { return };
    let poisoned = {
        let db = ::sled::Config::new().path(disk.join("alone")).flush_every_ms(None).open().unwrap();
        let filler = fill(&disk);
        let write = |from: u32, through: u32| {
            (from..through).map(|n| {
                catch_unwind(AssertUnwindSafe(|| {
                    db.insert(n.to_be_bytes(), vec![7; 30_000])
                        .and_then(|_| db.flush())
                        .map_err(|error| error.to_string())
                }))
                .unwrap_or_else(|_| Err("a panic".to_owned()))
            })
        };
        let refused = write(0, 300).find_map(Result::err);
        fs::remove_file(filler).unwrap();
        let after = write(300, 303).find_map(Result::err);
        eprintln!("sled alone: {refused:?} on a full disk, {after:?} with room again");
        // Not dropped: sled would write.
        std::mem::forget(db);
        refused.is_some() && after.is_some()
    };
    assert!(poisoned, "sled was not poisoned");
    fs::remove_dir_all(disk.join("alone")).unwrap();

    let book = LocalBook::open(&disk.join("book"), bounds()).unwrap();
    for n in 0..50_u64 {
        book.commit(changes([put(&format!("nuts/{n}"), &"x".repeat(2_000))])).await.unwrap();
    }
    // The second copy is begun, and then finds no room for the rest.
    while book.verify(None).await.unwrap().second_copy < revision(1) {
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let filler = fill(&disk);
    let mut told = 50;
    for n in 0..200_u64 {
        match book.commit(changes([put(&format!("bolts/{n}"), &"y".repeat(20_000))])).await {
            Ok(_) => told += 1,
            Err(BookError::Full { needed_bytes }) => {
                assert!(needed_bytes > 20_000);
                break;
            }
            Err(other) => panic!("{other}"),
        }
    }
    tokio::time::sleep(Duration::from_secs(4)).await;
    assert_eq!(book.tally().entries(), told);
    fs::remove_file(filler).unwrap();
    book.commit(changes([put("nuts/after", "1")])).await.unwrap();
    let begun = Instant::now();
    loop {
        let verified = book.verify(None).await.unwrap();
        if verified.damages.is_empty() && verified.second_copy == verified.revision {
            eprintln!("the second copy caught up {} s after there was room again", begun.elapsed().as_secs());
            break;
        }
        assert!(begun.elapsed() < Duration::from_secs(40), "{verified:?}");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    book.close().await.unwrap();
}
