//! Books that break their word, each in one way, so that the tests of linearizability are seen to fail.

use std::{
    collections::HashMap,
    sync::{
        Arc, Mutex,
        atomic::{AtomicU64, Ordering},
        mpsc,
    },
    time::Duration,
};

use baybook_server::book::{
    Book, BookError, Change, Commit, Committed, Expect, Follower, Known, Name, Page, Past, PastCommit, Pending, Record,
    Revision, Snapshot, Standing, StoredAnswer, Tally, Unmet, Verified,
};
use tokio::sync::watch;

/// The way in which a book breaks its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Readers are always one group of commits behind.
    StaleRead,
    /// A write is acknowledged some milliseconds before readers see it.
    EarlyAcknowledgement,
    /// A write is acknowledged and gone a little later.
    LostAfterAcknowledgement,
    /// An etag is not compared: of two changes of one state the first is lost.
    LostUpdate,
    /// Readers are never told of some commits.
    DroppedEvent,
    /// Readers are told of half a batch, and of its other half later.
    TornEvent,
    /// A batch is two commits.
    SplitBatch,
    /// Readers are told of two commits in the wrong order.
    ReorderedEvents,
    /// A stale etag is answered with success, and nothing is done.
    PhantomSuccess,
    /// A good etag is refused.
    FalseConflict,
    /// A write is refused, and done.
    RefusedButDone,
    /// A removed entry comes back.
    ResurrectedRemoval,
    /// A removal is acknowledged, and nothing is done.
    RemovesNothing,
    /// An entry goes back to what it was before.
    RolledBack,
    /// A write is made once more a little later.
    DoubleEffect,
    /// What should be new replaces what is there.
    CreatesOverOld,
    /// A new revision shows the old content.
    OldContentNewEtag,
    /// New content shows the old revision.
    NewContentOldEtag,
    /// An etag is not compared when an entry is removed.
    RemovesUnseen,
    /// A removal is refused, and done.
    RemovalRefusedButDone,
    /// No fault: before a commit of `importer` somebody else changes the same entries, once.
    SomebodyElseFirst,
}

pub const FAULTS: [Fault; 20] = [
    Fault::StaleRead,
    Fault::EarlyAcknowledgement,
    Fault::LostAfterAcknowledgement,
    Fault::LostUpdate,
    Fault::DroppedEvent,
    Fault::TornEvent,
    Fault::SplitBatch,
    Fault::ReorderedEvents,
    Fault::PhantomSuccess,
    Fault::FalseConflict,
    Fault::RefusedButDone,
    Fault::ResurrectedRemoval,
    Fault::RemovesNothing,
    Fault::RolledBack,
    Fault::DoubleEffect,
    Fault::CreatesOverOld,
    Fault::OldContentNewEtag,
    Fault::NewContentOldEtag,
    Fault::RemovesUnseen,
    Fault::RemovalRefusedButDone,
];

/// How often the faults strike that strike now and then.
const EVERY: u64 = 6;
const LATER: Duration = Duration::from_millis(4);

/// A book over a good one.
#[derive(Debug)]
pub struct BadBook {
    inner: Arc<dyn Book>,
    fault: Fault,
    counter: AtomicU64,
}

impl BadBook {
    pub fn new(inner: Arc<dyn Book>, fault: Fault) -> Self {
        Self { inner, fault, counter: AtomicU64::new(0) }
    }

    fn strikes(&self) -> bool {
        self.counter.fetch_add(1, Ordering::Relaxed) % EVERY == EVERY - 1
    }

    fn strikes_once(&self) -> bool {
        self.counter.fetch_add(1, Ordering::Relaxed) == 0
    }

    /// Makes a commit some time later.
    fn later(&self, commit: Commit) {
        let inner = Arc::clone(&self.inner);
        tokio::spawn(async move {
            tokio::time::sleep(LATER).await;
            // Nobody waits for it.
            drop(inner.commit(commit).await);
        });
    }

    /// What undoes a commit.
    fn undone(&self, commit: &Commit) -> Commit {
        let changes = commit.changes.iter().map(|change| {
            let name = change.name().clone();
            match self.inner.get(&name) {
                Some(old) => Change::Put { name, value: old.value.clone() },
                None => Change::Remove { name },
            }
        });
        Commit {
            changes: changes.collect(),
            author: Arc::clone(&commit.author),
            time: commit.time,
            ..Commit::default()
        }
    }

    async fn badly(&self, mut commit: Commit) -> Result<Committed, BookError> {
        let removes = commit.changes.iter().any(|change| matches!(change, Change::Remove { .. }));
        let (time, newest) = (commit.time, self.inner.revision());
        match self.fault {
            Fault::LostUpdate => loosen(&mut commit, |expect| matches!(expect, Expect::At(_))),
            Fault::CreatesOverOld => loosen(&mut commit, |expect| expect == Expect::Absent),
            Fault::LostAfterAcknowledgement if self.strikes() => {
                let undone = self.undone(&commit);
                let committed = self.inner.commit(commit).await?;
                self.later(undone);
                return Ok(committed);
            }
            Fault::DoubleEffect if self.strikes() => {
                let again = Commit { preconditions: Vec::new(), request: None, ..commit.clone() };
                let committed = self.inner.commit(commit).await?;
                self.later(again);
                return Ok(committed);
            }
            Fault::SplitBatch if commit.changes.len() > 1 => {
                let rest = Commit { changes: commit.changes.split_off(1), ..Commit::default() };
                let rest = Commit { author: Arc::clone(&commit.author), time, ..rest };
                self.inner.commit(commit).await?;
                tokio::time::sleep(Duration::from_micros(300)).await;
                return self.inner.commit(rest).await;
            }
            Fault::PhantomSuccess if commit.changes.len() == 1 => {
                return match self.inner.commit(commit).await {
                    Err(BookError::Precondition { unmet }) if unmet.iter().all(|one| one.current.is_some()) => {
                        Ok(Committed { revision: self.inner.revision(), time, replayed: None })
                    }
                    answer => answer,
                };
            }
            Fault::FalseConflict if !removes && self.strikes() => return Err(refusal(&commit, newest)),
            Fault::RefusedButDone if !removes && self.strikes() => {
                let refused = refusal(&commit, newest);
                self.inner.commit(commit).await?;
                return Err(refused);
            }
            Fault::SomebodyElseFirst if commit.author.contains("importer") && self.strikes_once() => {
                let names = commit.changes.iter().map(Change::name);
                let names = names.chain(commit.preconditions.iter().map(|one| &one.name)).cloned();
                let changes = names.map(|name| {
                    let value = crate::bolt(&name, 9, "");
                    let bare = baybook_proto::v1::Entry { etag: String::new(), ..value };
                    Change::Put { name, value: prost::Message::encode_to_vec(&bare).into() }
                });
                self.inner.commit(Commit { changes: changes.collect(), time, ..Commit::default() }).await?;
            }
            Fault::RemovesUnseen if removes => loosen(&mut commit, |expect| matches!(expect, Expect::At(_))),
            Fault::RemovalRefusedButDone if removes && self.strikes() => {
                let refused = refusal(&commit, newest);
                self.inner.commit(commit).await?;
                return Err(refused);
            }
            Fault::RemovesNothing if removes => {
                commit.changes.clear();
                return self.inner.commit(commit).await;
            }
            _ => {}
        }
        self.inner.commit(commit).await
    }
}

/// Lets some expectations pass whatever is there.
fn loosen(commit: &mut Commit, which: impl Fn(Expect) -> bool) {
    commit.preconditions.iter_mut().filter(|one| which(one.expect)).for_each(|one| one.expect = Expect::Any);
}

fn refusal(commit: &Commit, newest: Revision) -> BookError {
    let unmet = commit.changes.iter().map(|change| Unmet {
        name: change.name().clone(),
        expect: Expect::At(newest),
        current: Some(newest),
    });
    BookError::Precondition { unmet: unmet.collect() }
}

/// Stands between the book and what its readers read.
struct Meddler {
    fault: Fault,
    told: Arc<dyn Follower>,
    state: Mutex<Meddling>,
    late: mpsc::Sender<Vec<Arc<PastCommit>>>,
}

#[derive(Default)]
struct Meddling {
    held: Vec<Arc<PastCommit>>,
    records: HashMap<Name, Arc<Record>>,
    commits: u64,
}

impl Meddler {
    fn new(fault: Fault, told: Arc<dyn Follower>) -> Self {
        let (late, waiting) = mpsc::channel::<Vec<Arc<PastCommit>>>();
        let later = Arc::clone(&told);
        std::thread::spawn(move || {
            while let Ok(commits) = waiting.recv() {
                std::thread::sleep(LATER);
                later.published(&commits);
            }
        });
        Self { fault, told, state: Mutex::default(), late }
    }

    /// What readers are told of a commit, and what they are told of it with the next one.
    fn meddle(&self, state: &mut Meddling, commit: &Arc<PastCommit>) -> (Vec<Arc<PastCommit>>, Vec<Arc<PastCommit>>) {
        state.commits += 1;
        let strikes = state.commits.is_multiple_of(EVERY);
        let with = |lines| Arc::new(PastCommit { lines, ..PastCommit::clone(commit) });
        let before = |record: &Option<Arc<Record>>, name| record.as_ref().and(state.records.get(name)).cloned();
        let whole = vec![Arc::clone(commit)];
        match self.fault {
            Fault::DroppedEvent if strikes => (Vec::new(), Vec::new()),
            Fault::ReorderedEvents if strikes => (Vec::new(), whole),
            Fault::TornEvent if commit.lines.len() > 1 => {
                let (first, second) = commit.lines.split_at(1);
                (vec![with(first.to_vec())], vec![with(second.to_vec())])
            }
            Fault::ResurrectedRemoval | Fault::RolledBack => {
                let removal = commit.lines.iter().any(|line| line.record.is_none());
                if removal != (self.fault == Fault::ResurrectedRemoval) || (!removal && !strikes) {
                    return (whole, Vec::new());
                }
                let mut lines = commit.lines.clone();
                lines.iter_mut().for_each(|line| line.record = state.records.get(&line.name).cloned());
                (whole, vec![with(lines)])
            }
            Fault::OldContentNewEtag | Fault::NewContentOldEtag if strikes => {
                let mut lines = commit.lines.clone();
                for line in &mut lines {
                    let (Some(old), Some(new)) = (before(&line.record, &line.name), &line.record) else { continue };
                    let mixed = if self.fault == Fault::OldContentNewEtag {
                        Record { value: old.value.clone(), ..Record::clone(new) }
                    } else {
                        Record { revision: old.revision, ..Record::clone(new) }
                    };
                    line.record = Some(Arc::new(mixed));
                }
                (vec![with(lines)], Vec::new())
            }
            _ => (whole, Vec::new()),
        }
    }
}

impl Follower for Meddler {
    fn published(&self, commits: &[Arc<PastCommit>]) {
        match self.fault {
            Fault::EarlyAcknowledgement => self.late.send(commits.to_vec()).expect("the late one runs"),
            Fault::StaleRead => {
                let mut state = self.state.lock().expect("no reader fails");
                let held = std::mem::replace(&mut state.held, commits.to_vec());
                self.told.published(&held);
            }
            _ => {
                let mut state = self.state.lock().expect("no reader fails");
                for commit in commits {
                    let held = std::mem::take(&mut state.held);
                    let (mut now, next) = self.meddle(&mut state, commit);
                    now.extend(held);
                    state.held = next;
                    self.told.published(&now);
                    for line in &commit.lines {
                        match &line.record {
                            Some(record) => drop(state.records.insert(line.name.clone(), Arc::clone(record))),
                            None => drop(state.records.remove(&line.name)),
                        }
                    }
                }
            }
        }
    }
}

impl Book for BadBook {
    fn commit(&self, commit: Commit) -> Pending<'_, Committed> {
        Box::pin(self.badly(commit))
    }

    fn follow(&self, follower: Arc<dyn Follower>) -> Snapshot {
        self.inner.follow(Arc::new(Meddler::new(self.fault, follower)))
    }

    fn revision(&self) -> Revision {
        self.inner.revision()
    }

    fn get(&self, name: &str) -> Option<Arc<Record>> {
        self.inner.get(name)
    }

    fn snapshot(&self) -> Snapshot {
        self.inner.snapshot()
    }

    fn snapshot_at(&self, revision: Revision) -> Result<Snapshot, BookError> {
        self.inner.snapshot_at(revision)
    }

    fn scan(&self, prefix: &str, after: Option<&str>, limit: usize, at: Option<Revision>) -> Result<Page, BookError> {
        self.inner.scan(prefix, after, limit, at)
    }

    fn changes_since(&self, after: Revision, limit: usize) -> Pending<'_, Vec<Arc<PastCommit>>> {
        self.inner.changes_since(after, limit)
    }

    fn history(&self, name: Name, before: Option<Revision>, limit: usize) -> Pending<'_, Vec<Past>> {
        self.inner.history(name, before, limit)
    }

    fn request(&self, id: Arc<str>) -> Pending<'_, Option<StoredAnswer>> {
        self.inner.request(id)
    }

    fn subscribe(&self) -> watch::Receiver<Revision> {
        self.inner.subscribe()
    }

    fn tally(&self) -> Tally {
        self.inner.tally()
    }

    fn standing(&self) -> Standing {
        self.inner.standing()
    }

    fn verify(&self, known: Option<Known>) -> Pending<'_, Verified> {
        self.inner.verify(known)
    }

    fn close(&self) -> Pending<'_, ()> {
        self.inner.close()
    }
}
