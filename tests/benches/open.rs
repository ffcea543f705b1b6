//! What it takes to open a book of a million entries, which reads and verifies all of it, beside only reading the same
//! bytes and hashing them; and the same of a book that has let go of its commits and keeps the entries in a base, twice.
//!
//! Not a timed test: it prints what it saw. `-- --quick` takes a tenth of the entries.

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use baybook_proto::v1 as pb;
use baybook_server::book::{Book as _, Bounds, Change, Commit, LocalBook, Moment, Name, catalog};
use baybook_server::{Config, EngineKind, Service};
use sha2::{Digest as _, Sha256};
use tokio::runtime::{Builder, Runtime};

/// Aborts the run: without a disk or a runtime there is nothing to measure.
fn must<T, E: std::fmt::Display>(result: Result<T, E>) -> T {
    match result {
        Ok(value) => value,
        Err(error) => {
            say(&error.to_string());
            std::process::exit(1)
        }
    }
}

fn say(text: &str) {
    drop(writeln!(std::io::stdout(), "{text}"));
}

fn vehicle(number: u32) -> Change {
    let mass = |kg: f64| Some(pb::Mass { value_kg: Some(kg), printed: format!("{kg} kg") });
    let spec = pb::Vehicle {
        label: format!("panel van {number}, long wheelbase"),
        wheelbase_mm: Some(3_600.0 + f64::from(number % 7)),
        gvwr: mass(3_500.0),
        gcwr: mass(6_000.0),
        ..pb::Vehicle::default()
    };
    let name = format!("vehicles/van-{number:07}");
    let source = pb::EntrySource { document: "door sticker".to_owned(), ..pb::EntrySource::default() };
    let spec = Some(pb::entry::Spec::Vehicle(spec));
    let entry = pb::Entry { name: name.clone(), source: Some(source), spec, ..pb::Entry::default() };
    Change::Put { name: must(Name::new(&name)), value: catalog::encode(&entry) }
}

fn written(directory: &Path, entries: u32, runtime: &Runtime) {
    let book = must(LocalBook::open(directory, Bounds::default()));
    for thousand in 0..entries.div_ceil(1_000) {
        let numbers = thousand * 1_000..entries.min(thousand * 1_000 + 1_000);
        let changes = numbers.map(vehicle).collect();
        let commit = Commit { changes, author: "bench".into(), time: Moment::now(), ..Commit::default() };
        must(runtime.block_on(book.commit(commit)));
    }
    must(runtime.block_on(book.close()));
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let start = Instant::now();
    let done = work();
    (done, start.elapsed())
}

/// Lets go of all commits but some last ones.
fn condensed(directory: &Path, runtime: &Runtime) {
    let none = Duration::ZERO;
    // Every commit begins a file of its own, so that nothing but the last one stays.
    let bounds =
        Bounds { history_commits: 0, history_age: none, request_age: none, segment_bytes: 1, ..Bounds::default() };
    let book = must(LocalBook::open(directory, bounds));
    let before = book.revision();
    for number in 0..2 {
        let commit =
            Commit { changes: vec![vehicle(number)], author: "bench".into(), time: Moment::now(), ..Commit::default() };
        must(runtime.block_on(book.commit(commit)));
    }
    while book.horizon().revision < before {
        std::thread::sleep(Duration::from_millis(100));
    }
    must(runtime.block_on(book.close()));
}

/// Only reads the journal and hashes it.
fn floor(directory: &Path) -> u64 {
    let mut read = 0;
    for file in must(fs::read_dir(directory.join("journal"))) {
        let bytes = must(fs::read(must(file).path()));
        std::hint::black_box(Sha256::digest(&bytes));
        read += bytes.len() as u64;
    }
    read
}

fn main() {
    let entries = if std::env::args().any(|arg| arg == "--quick") { 100_000 } else { 1_000_000 };
    let directory = must(tempfile::tempdir());
    let data = directory.path().join("data");
    let runtime = must(Builder::new_multi_thread().worker_threads(2).enable_all().build());
    let ((), wrote) = timed(|| written(&data, entries, &runtime));
    say(&format!("{entries} entries written durably in {:.1} s", wrote.as_secs_f64()));
    opened(&data, &runtime);
    ready(&data, entries, &runtime);
    let ((), took) = timed(|| condensed(&data, &runtime));
    say(&format!("its commits were let go of in {:.1} s; from a base:", took.as_secs_f64()));
    opened(&data, &runtime);
    ready(&data, entries, &runtime);
}

fn opened(data: &Path, runtime: &Runtime) {
    for _ in 0..3 {
        let (bytes, reading) = timed(|| floor(data));
        let (book, opening) = timed(|| must(LocalBook::open(data, Bounds::default())));
        let kept = book.tally().entries();
        must(runtime.block_on(book.close()));
        drop(book);
        say(&format!(
            "floor, {} MiB read and hashed: {:.2} s; {kept} entries opened and verified: {:.2} s, {:.1} times that",
            bytes >> 20,
            reading.as_secs_f64(),
            opening.as_secs_f64(),
            opening.as_secs_f64() / reading.as_secs_f64(),
        ));
    }
}

fn ready(data: &Path, entries: u32, runtime: &Runtime) {
    let allowed = Duration::from_secs(10) * entries / 1_000_000;
    let config = Config { engine: EngineKind::Sled, data_dir: data.to_owned(), ..must(Config::in_memory()) };
    let (service, opening) = timed(|| must(runtime.block_on(Service::open(config))));
    say(&format!(
        "the whole service, ready to answer: {:.2} s; ratio {:.2} of the {:.0} s allowed for so many, bar <= 1.00",
        opening.as_secs_f64(),
        opening.as_secs_f64() / allowed.as_secs_f64(),
        allowed.as_secs_f64()
    ));
    must(runtime.block_on(service.close()));
}
