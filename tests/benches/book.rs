//! What a durable commit costs beside the floor of the disk, and what a read costs.
//!
//! The floor is one append and one `fdatasync` of a file of its own in the same directory, measured in the same run.

use std::fs::OpenOptions;
use std::hint::black_box;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use baybook_server::book::{Book, Bounds, Change, Commit, LocalBook, Moment, Name};
use bytes::Bytes;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use tokio::runtime::{Builder, Runtime};

const ENTRIES: u32 = 100_000;
const VALUE_BYTES: usize = 1_000;

/// Aborts the run: without a disk or a runtime there is nothing to measure.
fn must<T, E: std::fmt::Display>(result: Result<T, E>) -> T {
    match result {
        Ok(value) => value,
        Err(error) => {
            let mut talk = std::io::stderr();
            drop(writeln!(talk, "{error}"));
            std::process::exit(1)
        }
    }
}

fn put(number: u32) -> Commit {
    let name = must(Name::new(&format!("vehicles/van-{number:06}")));
    Commit {
        changes: vec![Change::Put { name, value: Bytes::from(vec![7; VALUE_BYTES]) }],
        author: "bench".into(),
        time: Moment::from_micros(0),
        ..Commit::default()
    }
}

fn runtime() -> Runtime {
    must(Builder::new_multi_thread().worker_threads(2).enable_all().build())
}

/// Each of `callers` makes its share of `total` commits, one after the other.
async fn commits(book: &Arc<LocalBook>, callers: u32, total: u64) -> Duration {
    let start = Instant::now();
    let tasks: Vec<_> = (0..callers)
        .map(|caller| {
            let book = Arc::clone(book);
            let share = total / u64::from(callers) + u64::from(u64::from(caller) < total % u64::from(callers));
            tokio::spawn(async move {
                for number in (0..1_000).cycle().take(usize::try_from(share).unwrap_or(usize::MAX)) {
                    must(book.commit(put(caller * 1_000 + number)).await);
                }
            })
        })
        .collect();
    for task in tasks {
        must(task.await);
    }
    start.elapsed()
}

fn floor(directory: &Path, total: u64) -> Duration {
    let mut file = must(OpenOptions::new().create(true).append(true).open(directory.join("floor")));
    let bytes = vec![7; VALUE_BYTES];
    let start = Instant::now();
    for _ in 0..total {
        must(file.write_all(&bytes));
        must(file.sync_data());
    }
    start.elapsed()
}

fn durable(criterion: &mut Criterion) {
    let directory = must(tempfile::tempdir());
    let runtime = runtime();
    let book = Arc::new(must(LocalBook::open(&directory.path().join("data"), Bounds::default())));
    let mut group = criterion.benchmark_group("book/durable");
    group.throughput(Throughput::Elements(1));
    group.bench_function("floor: append and fdatasync", |bench| {
        bench.iter_custom(|total| floor(directory.path(), total));
    });
    for callers in [1, 16, 64] {
        group.bench_function(format!("commit, {callers} callers"), |bench| {
            bench.iter_custom(|total| runtime.block_on(commits(&book, callers, total)));
        });
    }
    group.finish();
}

fn reads(criterion: &mut Criterion) {
    let runtime = runtime();
    let book = must(LocalBook::in_memory(Bounds::default()));
    for thousand in 0..ENTRIES / 1_000 {
        let changes = (0..1_000).flat_map(|number| put(thousand * 1_000 + number).changes).collect();
        must(runtime.block_on(book.commit(Commit { changes, ..Commit::default() })));
    }
    let names: Vec<_> = (0..1_024_u32).map(|n| format!("vehicles/van-{:06}", n * 7_919 % ENTRIES)).collect();
    let mut next = names.iter().cycle();
    let mut group = criterion.benchmark_group("book/read");
    group.bench_function("get, 100,000 entries", |bench| {
        bench.iter(|| black_box(book.get(next.next().map_or("", String::as_str))));
    });
    let snapshot = book.snapshot();
    group.bench_function("get from a snapshot", |bench| {
        bench.iter(|| black_box(snapshot.get(next.next().map_or("", String::as_str))));
    });
    group.bench_function("pin and let go of a snapshot", |bench| bench.iter(|| black_box(book.snapshot())));
    group.bench_function("scan a page of 50", |bench| {
        bench.iter(|| black_box(book.scan("vehicles/", next.next().map(String::as_str), 50, None)));
    });
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(Duration::from_secs(4)).warm_up_time(Duration::from_secs(1));
    targets = durable, reads
}
criterion_main!(benches);
