//! The second copy's store on a thread of its own, so that nobody waits for it without bound.
//!
//! sled waits for threads that all stores of a process share. When one of them panics, or all of them wait for one another,
//! a call never comes back, nor does letting go of the store. A thread whose store does not answer is left behind together
//! with its store: the journal is the truth, and the second copy can be begun anew.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

use parking_lot::Mutex;

use crate::book::error::BookError;
use crate::book::sled::SledStore;

/// How often whoever waits looks whether to go on waiting.
const LOOK: Duration = Duration::from_millis(50);
/// Opening reads all of the store again after a crash, and loading reads every entry.
const LONG: u32 = 10;

/// Uses the store; returns whether the thread goes on.
type Job = Box<dyn FnOnce(&mut Option<SledStore>) -> bool + Send>;

/// What became of a call.
pub(super) enum Answer<T> {
    Given(Result<T, BookError>),
    /// It panicked, and its store is not used again.
    Panicked(String),
    /// It did not come back.
    Silent,
}

/// How long an answer is waited for.
#[derive(Clone, Copy)]
pub(super) struct Patience<'a> {
    pub(super) most: Duration,
    /// Until when, once the book is being closed.
    pub(super) until: &'a Mutex<Option<Instant>>,
}

/// A thread that holds the store. Dropped, it lets go of the store, and nobody waits for that.
pub(super) struct StoreThread {
    jobs: Sender<Job>,
    ended: Receiver<Result<(), String>>,
    directory: PathBuf,
    cache_bytes: u64,
    opened: bool,
}

impl StoreThread {
    pub(super) fn start(directory: PathBuf, cache_bytes: u64) -> std::io::Result<Self> {
        let (jobs, queue) = mpsc::channel::<Job>();
        let (end, ended) = mpsc::channel();
        let work = move || {
            let mut store = None;
            let whole = queue.iter().all(|job| job(&mut store));
            let closed = catch_unwind(AssertUnwindSafe(|| {
                let synced = store.as_ref().filter(|_| whole).map_or(Ok(()), SledStore::sync);
                drop(store);
                synced.map_err(|why| why.to_string())
            }));
            // Whoever waited may have left.
            drop(end.send(closed.unwrap_or_else(|panic| Err(words(panic.as_ref())))));
        };
        std::thread::Builder::new().name("book-store".to_owned()).spawn(work)?;
        Ok(Self { jobs, ended, directory, cache_bytes, opened: false })
    }

    /// Uses the store, opening it if need be.
    pub(super) fn ask<T: Send + 'static>(
        &mut self,
        work: impl FnOnce(&SledStore) -> Result<T, BookError> + Send + 'static,
        patience: Patience<'_>,
    ) -> Answer<T> {
        let (give, answer) = mpsc::channel();
        let (directory, cache_bytes) = (self.directory.clone(), self.cache_bytes);
        let job: Job = Box::new(move |slot| {
            let used = catch_unwind(AssertUnwindSafe(|| {
                let store = match slot.take() {
                    Some(store) => store,
                    None => SledStore::open(&directory, cache_bytes)?,
                };
                // Not dropped while unwinding: sled would write.
                work(slot.insert(store))
            }));
            let goes_on = used.is_ok();
            drop(give.send(match used {
                Ok(result) => Answer::Given(result),
                Err(panic) => Answer::Panicked(words(panic.as_ref())),
            }));
            goes_on
        });
        let most = if self.opened { patience.most } else { patience.most.saturating_mul(LONG) };
        if self.jobs.send(job).is_err() {
            return Answer::Panicked("its thread has ended".to_owned());
        }
        let answer = wait(&answer, Patience { most, ..patience }).unwrap_or(Answer::Silent);
        self.opened |= matches!(answer, Answer::Given(Ok(_)));
        answer
    }

    /// Lets go of the store once it is synced; `None` when that did not come to an end.
    pub(super) fn end(self, patience: Patience<'_>) -> Option<Result<(), String>> {
        drop(self.jobs);
        wait(&self.ended, patience)
    }
}

fn wait<T>(answer: &Receiver<T>, patience: Patience<'_>) -> Option<T> {
    let begun = Instant::now();
    loop {
        match answer.recv_timeout(LOOK) {
            Ok(answer) => return Some(answer),
            Err(RecvTimeoutError::Disconnected) => return None,
            Err(RecvTimeoutError::Timeout) => {}
        }
        if begun.elapsed() >= patience.most || patience.until.lock().is_some_and(|moment| Instant::now() >= moment) {
            return None;
        }
    }
}

fn words(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().map(String::as_str).or_else(|| panic.downcast_ref::<&str>().copied());
    text.unwrap_or("no reason given").to_owned()
}
