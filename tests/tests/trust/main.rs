//! What must never go wrong, tried on the built program: kills, full disks, lost replies, signals; and what many callers see
//! at the same time, held against a checker of linearizability.
//!
//! Each test runs a short version. The long ones, each by one command:
//!
//! ```text
//! BAYBOOK_KILLS=2000   cargo test --release -p baybook-tests --test trust -- --nocapture killed_at_any_moment
//! BAYBOOK_LETTINGS=200  cargo test --release -p baybook-tests --test trust -- --nocapture killed_while_old
//! BAYBOOK_RETRIES=1000 cargo test --release -p baybook-tests --test trust -- --nocapture killed_before_the_reply
//! BAYBOOK_HISTORIES=500 cargo test --release -p baybook-tests --test trust -- --nocapture histories
//! ```
//!
//! What fails prints the seed that repeats it: `BAYBOOK_SEED=17` and the same command.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on has failed")]
#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a test says how far it came")]

mod bad_store;
mod daemon;
mod full_disk;
mod history;
mod kill_loop;
mod ledger;
mod letting_go;
mod linear;
mod lost_reply;
#[path = "../scenarios/program.rs"]
mod program;
mod references;
mod shutdown;

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

use baybook_proto::v1 as pb;

/// Reads a whole number that the long run is asked for by.
fn asked(variable: &str) -> Option<u64> {
    std::env::var(variable).ok()?.parse().ok()
}

/// Runs each seed, or the one of `BAYBOOK_SEED`; a failure says how to repeat it.
fn seeds(test: &str, count: u64, mut run: impl FnMut(u64)) {
    let seeds = match asked("BAYBOOK_SEED") {
        Some(seed) => seed..seed + 1,
        None => 0..count,
    };
    for seed in seeds {
        if let Err(panic) = catch_unwind(AssertUnwindSafe(|| run(seed))) {
            println!("repeat with: BAYBOOK_SEED={seed} cargo test -p baybook-tests --test trust -- --nocapture {test}");
            resume_unwind(panic);
        }
    }
}

/// A runtime of a test's own.
fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().expect("a runtime starts")
}

/// A bolt whose label tells which write it comes from.
fn bolt(name: &str, number: u64, note: &str) -> pb::Entry {
    let bolt = pb::Bolt { label: number.to_string(), thread: "M12".to_owned(), ..pb::Bolt::default() };
    pb::Entry {
        name: name.to_owned(),
        etag: "*".to_owned(),
        note: note.to_owned(),
        spec: Some(pb::entry::Spec::Bolt(bolt)),
        ..pb::Entry::default()
    }
}

/// Which write an entry comes from.
fn number(entry: &pb::Entry) -> u64 {
    match &entry.spec {
        Some(pb::entry::Spec::Bolt(bolt)) => bolt.label.parse().expect("a number is its label"),
        other => panic!("{} is no bolt: {other:?}", entry.name),
    }
}
