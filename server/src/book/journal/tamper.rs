//! Tampering with the journal on purpose: edits, drops, swaps and cuts of commits, sealed again as well as whoever does it
//! can. None passes: not under a running service, not at a start, and not past a chain that was kept elsewhere.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

use bytes::Bytes;
use rand::rngs::StdRng;
use rand::{Rng as _, SeedableRng as _};

use super::copy::NoCopy;
use super::frames::FIRST_CHAIN;
use super::state::{Entries, apply};
use super::tests::{Model, bounds};
use super::*;
use crate::book::disk::read_all;
use crate::book::disk::simulated::SimulatedDisk;
use crate::book::record::{Known, Record};

/// How often the journal is tampered with; more with `BAYBOOK_TAMPERS=10000`, one with `BAYBOOK_TAMPER=17`.
const TAMPERS: u64 = 400;
const COMMITS: usize = 60;
const PLACE: &str = "/book";

/// How far somebody went to hide it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    /// Each altered commit has its check sums right.
    Frame,
    /// And the chain is right to the end of its file.
    File,
    /// And to the end of the journal, with the heads of all files.
    Journal,
    /// And the marks agree with that.
    Marks,
}

#[derive(Clone)]
struct Row {
    file: usize,
    durable: Revision,
    body: Vec<u8>,
    chain: Chain,
}

use super::frames::Chain;

/// The files of a book, by path.
type Files = BTreeMap<PathBuf, Vec<u8>>;

fn lay(disk: &SimulatedDisk, files: &Files) {
    for (path, bytes) in files {
        disk.create(path).unwrap().write_at(bytes, 0).unwrap();
    }
}

fn segments(files: &Files) -> Vec<&PathBuf> {
    files.keys().filter(|path| path.extension().is_some_and(|it| it == "journal")).collect()
}

fn written() -> (Files, HighWater) {
    let disk = SimulatedDisk::new(1);
    let opened = Journal::open(Arc::new(disk.clone()), Path::new(PLACE), &NoCopy, &bounds()).unwrap();
    let (mut rng, mut model) = (StdRng::seed_from_u64(11), Model::default());
    for _ in 0..COMMITS {
        let commit = model.next(&mut rng);
        model.commits.push(Arc::clone(&commit));
        opened.journal.append(&Group { commits: &[commit], forgotten: &[], tally: model.tally() }).unwrap();
    }
    opened.journal.sync_mark().unwrap();
    let mut files = Files::new();
    for folder in [PathBuf::from(PLACE), Path::new(PLACE).join(FOLDER)] {
        for name in disk.list(&folder).unwrap() {
            let path = folder.join(name);
            files.insert(path.clone(), read_all(disk.open(&path).unwrap().as_ref()).unwrap());
        }
    }
    assert!(segments(&files).len() > 4, "{:?}", segments(&files));
    (files, opened.journal.high_water())
}

fn rows(files: &Files) -> Vec<Row> {
    let mut rows = Vec::new();
    for (file, path) in segments(files).into_iter().enumerate() {
        let (bytes, mut at) = (&files[path], HEADER_BYTES);
        while let Some(frame) = bytes.get(at..).and_then(Frame::read) {
            rows.push(Row { file, durable: frame.durable, body: frame.body.to_vec(), chain: frame.chain });
            at += frame.size();
        }
        assert_eq!(at, bytes.len());
    }
    assert_eq!(rows.len(), COMMITS);
    rows
}

fn commit(row: &Row) -> PastCommit {
    frame::read_chained_commit(&row.body).unwrap()
}

fn put(row: &mut Row, commit: &PastCommit) {
    row.body = frame::write_commit(&frame::commit_key(commit.revision), commit);
}

/// Changes one thing that somebody did.
fn edited(mut commit: PastCommit, rng: &mut StdRng) -> PastCommit {
    let at = if commit.lines.is_empty() { None } else { Some(rng.random_range(0..commit.lines.len())) };
    match (rng.random_range(0..6), at) {
        (0, _) => commit.author = "bay 2".into(),
        (1, _) => commit.time = crate::book::Moment::from_micros(commit.time.micros() + 1),
        (2, Some(at)) => commit.lines[at].name = Name::new("nuts/other").unwrap(),
        (3, Some(at)) => drop(commit.lines.remove(at)),
        (4, Some(at)) => commit.lines[at].record = None,
        (_, Some(at)) if commit.lines[at].record.is_some() => {
            let record = commit.lines[at].record.as_ref().unwrap();
            let mut value = record.value.to_vec();
            value.push(rng.random());
            commit.lines[at].record = Some(Arc::new(Record { value: Bytes::from(value), ..Record::clone(record) }));
        }
        _ => commit.author = "nobody".into(),
    }
    commit
}

/// Numbers the commits anew from a place on, as if nothing had ever been elsewhere.
fn renumber(rows: &mut [Row], from: usize) {
    for (at, row) in rows.iter_mut().enumerate().skip(from) {
        let renumbered = PastCommit { revision: Revision::new(at as u64 + 1), ..commit(row) };
        put(row, &renumbered);
    }
}

/// Tampers, and says how. The files differ from the ones given.
fn tamper(files: &Files, rng: &mut StdRng) -> (Files, Reach, String) {
    let mut rows = rows(files);
    let reach = [Reach::Frame, Reach::File, Reach::Journal, Reach::Marks][rng.random_range(0..4)];
    let (at, other) = (rng.random_range(0..rows.len()), rng.random_range(0..rows.len()));
    let hidden = rng.random_bool(0.5);
    let (from, what) = match rng.random_range(0..4) {
        0 => {
            let before = commit(&rows[at]);
            let mut after = edited(before.clone(), rng);
            if after == before {
                after.author = "somebody".into();
            }
            put(&mut rows[at], &after);
            (at, format!("revision {} edited", at + 1))
        }
        1 => {
            rows.remove(at);
            if hidden {
                renumber(&mut rows, at);
            }
            (at, format!("revision {} dropped, renumbered: {hidden}", at + 1))
        }
        2 if at != other => {
            let (low, high) = (at.min(other), at.max(other));
            let (first, second) = (rows[low].body.clone(), rows[high].body.clone());
            (rows[low].body, rows[high].body) = (second, first);
            if reach == Reach::Frame {
                let (first, second) = (rows[low].chain, rows[high].chain);
                (rows[low].chain, rows[high].chain) = (second, first);
            }
            if hidden {
                renumber(&mut rows, low);
            }
            (low, format!("revisions {} and {} swapped, renumbered: {hidden}", low + 1, high + 1))
        }
        _ => {
            rows.truncate(at);
            (at, format!("cut after revision {at}"))
        }
    };
    let end_of_file = rows.get(from).map(|row| row.file);
    let mut chain = from.checked_sub(1).and_then(|before| rows.get(before)).map_or(FIRST_CHAIN, |row| row.chain);
    for row in rows.iter_mut().skip(from) {
        if reach == Reach::Frame || (reach == Reach::File && Some(row.file) != end_of_file) {
            break;
        }
        chain = link(&chain, &row.body);
        row.chain = chain;
    }
    let mut out = files.clone();
    let paths: Vec<PathBuf> = segments(files).into_iter().cloned().collect();
    for (file, path) in paths.iter().enumerate() {
        let own: Vec<(usize, &Row)> = rows.iter().enumerate().filter(|(_, row)| row.file == file).collect();
        let original = files[path].get(..HEADER_BYTES).unwrap();
        out.remove(path);
        let Some((first, _)) = own.first() else {
            // Nothing is left of the file; sometimes its head stays.
            if !hidden || file == 0 {
                out.insert(path.clone(), original.to_vec());
            }
            continue;
        };
        let rewritten = matches!(reach, Reach::Journal | Reach::Marks);
        let (mut bytes, path) = if rewritten {
            let before = first.checked_sub(1).map_or(FIRST_CHAIN, |before| rows[before].chain);
            let header = Header { first: Revision::new(*first as u64 + 1), chain: before };
            (header.write(), Path::new(PLACE).join(FOLDER).join(segment_name(header.first)))
        } else {
            (original.to_vec(), path.clone())
        };
        for (_, row) in own {
            Frame { durable: row.durable, body: &row.body, chain: row.chain }.write(&mut bytes);
        }
        out.insert(path, bytes);
    }
    if reach == Reach::Marks {
        let mut entries = Entries::default();
        rows.iter().for_each(|row| apply(&mut entries, commit(row)));
        let tally = tally_of(&entries.into_values().collect::<Vec<_>>());
        let chain = rows.last().map_or(FIRST_CHAIN, |row| row.chain);
        let mark = HighWater { revision: Revision::new(rows.len() as u64), tally, chain, seals: None };
        for (count, name) in mark::NAMES.iter().enumerate() {
            out.insert(Path::new(PLACE).join(name), mark.write(1_000 + count as u64));
        }
    }
    (out, reach, what)
}

/// Whether it is found while the book is open.
fn found_running(files: &Files, tampered: &Files) -> bool {
    let disk = SimulatedDisk::new(2);
    lay(&disk, files);
    let journal = Journal::open(Arc::new(disk.clone()), Path::new(PLACE), &NoCopy, &bounds()).unwrap().journal;
    let clean = journal.read_again(None).unwrap();
    assert!(clean.segments.is_empty() && clean.marks.is_empty());
    for path in files.keys() {
        disk.remove(path).unwrap();
    }
    lay(&disk, tampered);
    !journal.read_again(None).unwrap().segments.is_empty()
}

/// Whether it is found by the next start, or after it by who kept the chain. Commits that were only put into another order
/// are still whole: the start puts them back, and says so.
fn found_at_rest(tampered: &Files, water: HighWater, reach: Reach) -> bool {
    let known = Known { revision: water.revision, chain: water.chain };
    let disk = SimulatedDisk::new(3);
    lay(&disk, tampered);
    match Journal::open(Arc::new(disk), Path::new(PLACE), &NoCopy, &bounds()) {
        Err(BookError::Damaged { .. }) => true,
        Err(other) => panic!("{other}"),
        Ok(opened) if reach == Reach::Marks => opened.journal.read_again(Some(known)).unwrap().foreign.is_some(),
        Ok(opened) => !opened.mended.is_empty() && opened.journal.high_water() == water,
    }
}

#[test]
fn no_tampering_is_missed() {
    let number = |variable: &str| std::env::var(variable).ok()?.parse::<u64>().ok();
    let (files, water) = written();
    let seeds = match number("BAYBOOK_TAMPER") {
        Some(seed) => seed..seed + 1,
        None => 0..number("BAYBOOK_TAMPERS").unwrap_or(TAMPERS),
    };
    let (mut counts, mut missed) = (BTreeMap::new(), Vec::new());
    for seed in seeds.clone() {
        let (tampered, reach, what) = tamper(&files, &mut StdRng::seed_from_u64(seed));
        assert_ne!(tampered, files, "seed {seed}: {what}");
        let found = catch_unwind(AssertUnwindSafe(|| {
            (found_running(&files, &tampered), found_at_rest(&tampered, water, reach))
        }));
        *counts.entry(format!("{reach:?}")).or_insert(0) += 1;
        if !matches!(found, Ok((true, true))) {
            missed.push(format!("BAYBOOK_TAMPER={seed}: {what}, {reach:?}: {found:?}"));
        }
    }
    eprintln!("{} tampers, {counts:?}; {} missed", seeds.end - seeds.start, missed.len());
    assert!(missed.is_empty(), "replay with: {}", missed.join("\n"));
}
