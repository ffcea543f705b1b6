//! What readers read: every current record in memory, and as much of the recent past as snapshots and page tokens need.
//!
//! Each name has a chain of records, newest first to hand. A superseded record is dropped once no live snapshot and no
//! revision still readable by number can see it. The committer is the only writer; it holds the write lock for the moment
//! it takes to hang a group of finished commits, never while it waits for the disk.

use std::collections::{BTreeMap, BTreeSet, HashMap, VecDeque};
use std::fmt;
use std::ops::Bound;
use std::sync::Arc;

use parking_lot::{Mutex, RwLock};

use super::bounds::Bounds;
use super::error::BookError;
use super::record::{Name, PastCommit, Record, Revision};
use super::tally::Tally;

/// One page of a scan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// The revision it shows.
    pub revision: Revision,
    /// The records, in order of names.
    pub records: Vec<Arc<Record>>,
    /// Whether more follow after the last one.
    pub more: bool,
}

/// All that was ever true of a name and can still be seen.
struct Chain {
    since: Revision,
    record: Option<Arc<Record>>,
    /// Older states, oldest first, each with the revision it began at.
    past: Vec<(Revision, Option<Arc<Record>>)>,
}

impl Chain {
    fn at(&self, revision: Revision) -> Option<&Arc<Record>> {
        if self.since <= revision {
            return self.record.as_ref();
        }
        self.past.iter().rev().find(|(since, _)| *since <= revision).and_then(|(_, record)| record.as_ref())
    }

    /// Drops what only revisions before `floor` could see.
    fn trim(&mut self, floor: Revision) {
        let ends = self.past.iter().skip(1).map(|(since, _)| *since).chain([self.since]);
        let unseen = ends.take_while(|end| *end <= floor).count();
        self.past.drain(..unseen);
    }
}

/// A record that was superseded: no revision from `at` on sees it.
struct Faded {
    at: Revision,
    name: Name,
    bytes: usize,
}

#[derive(Default)]
struct State {
    revision: Revision,
    /// The oldest revision that can be read.
    floor: Revision,
    chains: HashMap<Name, Chain>,
    order: BTreeSet<Name>,
    faded: VecDeque<Faded>,
    faded_bytes: usize,
    recent: VecDeque<Arc<PastCommit>>,
    recent_bytes: usize,
    tally: Tally,
}

/// Records in memory, many revisions at once.
pub(super) struct Shelf {
    state: RwLock<State>,
    /// Live snapshots by revision. Taken after `state` where both are needed.
    pins: Mutex<BTreeMap<Revision, usize>>,
    kept_revisions: u64,
    kept_bytes: usize,
    recent_commits: usize,
    recent_bytes: usize,
}

impl Shelf {
    /// Hangs what was loaded: all current records at one revision, and no past.
    pub(super) fn new(bounds: &Bounds, revision: Revision, records: Vec<Arc<Record>>, tally: Tally) -> Self {
        let order = records.iter().map(|record| record.name.clone()).collect();
        let chains = records
            .into_iter()
            .map(|record| {
                let chain = Chain { since: record.revision, record: Some(Arc::clone(&record)), past: Vec::new() };
                (record.name.clone(), chain)
            })
            .collect();
        Self {
            state: RwLock::new(State { revision, floor: revision, chains, order, tally, ..State::default() }),
            pins: Mutex::default(),
            kept_revisions: bounds.kept_revisions,
            kept_bytes: bounds.kept_bytes,
            recent_commits: bounds.recent_commits,
            recent_bytes: bounds.recent_bytes,
        }
    }

    pub(super) fn revision(&self) -> Revision {
        self.state.read().revision
    }

    pub(super) fn tally(&self) -> Tally {
        self.state.read().tally
    }

    pub(super) fn get(&self, name: &str) -> Option<Arc<Record>> {
        self.state.read().chains.get(name).and_then(|chain| chain.record.clone())
    }

    pub(super) fn snapshot(self: &Arc<Self>) -> Snapshot {
        let state = self.state.read();
        self.pin(state.revision)
    }

    pub(super) fn snapshot_at(self: &Arc<Self>, revision: Revision) -> Result<Snapshot, BookError> {
        let state = self.state.read();
        state.readable(revision)?;
        Ok(self.pin(revision))
    }

    pub(super) fn scan(
        &self,
        prefix: &str,
        after: Option<&str>,
        limit: usize,
        at: Option<Revision>,
    ) -> Result<Page, BookError> {
        let state = self.state.read();
        let revision = at.unwrap_or(state.revision);
        state.readable(revision)?;
        Ok(state.scan(prefix, after, limit, revision))
    }

    /// Recent commits after a revision; `None` when memory does not reach back that far.
    pub(super) fn recent(&self, after: Revision, limit: usize, bytes: usize) -> Option<Vec<Arc<PastCommit>>> {
        let state = self.state.read();
        if after >= state.revision {
            return Some(Vec::new());
        }
        let first = state.recent.front()?.revision;
        let skip = usize::try_from(after.next().get().checked_sub(first.get())?).ok()?;
        let mut total = 0_usize;
        let mut commits = Vec::new();
        for commit in state.recent.iter().skip(skip).take(limit) {
            total = total.saturating_add(commit.bytes());
            if total > bytes && !commits.is_empty() {
                break;
            }
            commits.push(Arc::clone(commit));
        }
        Some(commits)
    }

    /// Shows a group of durable commits, all at once.
    pub(super) fn publish(&self, commits: &[Arc<PastCommit>], tally: Tally) {
        let mut state = self.state.write();
        for commit in commits {
            state.hang(commit);
            state.recent_bytes += commit.bytes();
            state.recent.push_back(Arc::clone(commit));
        }
        state.tally = tally;
        while state.recent.len() > self.recent_commits || state.recent_bytes > self.recent_bytes {
            let Some(old) = state.recent.pop_front() else { break };
            state.recent_bytes = state.recent_bytes.saturating_sub(old.bytes());
        }
        let pinned = self.pins.lock().keys().next().copied().unwrap_or(state.revision);
        state.fade(pinned, self.kept_revisions, self.kept_bytes);
    }

    /// Pins a revision. The caller holds the state's lock, so that nothing fades in between.
    fn pin(self: &Arc<Self>, revision: Revision) -> Snapshot {
        *self.pins.lock().entry(revision).or_insert(0) += 1;
        Snapshot { shelf: Arc::clone(self), revision }
    }

    fn unpin(&self, revision: Revision) {
        let mut pins = self.pins.lock();
        if let Some(count) = pins.get_mut(&revision) {
            *count -= 1;
            if *count == 0 {
                pins.remove(&revision);
            }
        }
    }

    #[cfg(test)]
    pub(super) fn superseded(&self) -> usize {
        let state = self.state.read();
        state.chains.values().map(|chain| chain.past.len() + usize::from(chain.record.is_none())).sum()
    }
}

impl State {
    fn readable(&self, revision: Revision) -> Result<(), BookError> {
        if revision > self.revision {
            return Err(BookError::RevisionAhead { asked: revision, newest: self.revision });
        }
        if revision < self.floor {
            return Err(BookError::RevisionGone { asked: revision, oldest: self.floor, newest: self.revision });
        }
        Ok(())
    }

    fn scan(&self, prefix: &str, after: Option<&str>, limit: usize, revision: Revision) -> Page {
        let start = match after {
            Some(after) if after >= prefix => Bound::Excluded(after),
            _ => Bound::Included(prefix),
        };
        let mut seen = self
            .order
            .range::<str, _>((start, Bound::Unbounded))
            .take_while(|name| name.starts_with(prefix))
            .filter_map(|name| self.chains.get(name).and_then(|chain| chain.at(revision)));
        let records: Vec<_> = seen.by_ref().take(limit).cloned().collect();
        let more = seen.next().is_some();
        Page { revision, records, more }
    }

    fn hang(&mut self, commit: &PastCommit) {
        self.revision = commit.revision;
        for line in &commit.lines {
            let Some(chain) = self.chains.get_mut(&line.name) else {
                let chain = Chain { since: commit.revision, record: line.record.clone(), past: Vec::new() };
                self.chains.insert(line.name.clone(), chain);
                self.order.insert(line.name.clone());
                continue;
            };
            let old = std::mem::replace(&mut chain.record, line.record.clone());
            let since = std::mem::replace(&mut chain.since, commit.revision);
            let bytes = old.as_ref().map_or(0, |record| record.value.len()) + line.name.len() + 64;
            chain.past.push((since, old));
            self.faded_bytes += bytes;
            self.faded.push_back(Faded { at: commit.revision, name: line.name.clone(), bytes });
        }
    }

    fn fade(&mut self, pinned: Revision, kept_revisions: u64, kept_bytes: usize) {
        let window = Revision::new(self.revision.get().saturating_sub(kept_revisions)).min(pinned);
        self.floor = self.floor.max(window);
        while let Some(front) = self.faded.front() {
            let over = self.faded_bytes > kept_bytes;
            if front.at > pinned || (front.at > window && !over) {
                break;
            }
            let Some(faded) = self.faded.pop_front() else { break };
            self.floor = self.floor.max(faded.at);
            self.faded_bytes = self.faded_bytes.saturating_sub(faded.bytes);
            let Some(chain) = self.chains.get_mut(&faded.name) else { continue };
            chain.trim(faded.at);
            if chain.record.is_none() && chain.past.is_empty() && chain.since <= faded.at {
                self.chains.remove(&faded.name);
                self.order.remove(&faded.name);
            }
        }
    }
}

/// The book at one revision, for as long as it is held. Cloning pins the revision once more.
pub struct Snapshot {
    shelf: Arc<Shelf>,
    revision: Revision,
}

impl Snapshot {
    /// The revision it shows.
    #[must_use]
    pub fn revision(&self) -> Revision {
        self.revision
    }

    /// Returns the record a name had.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Arc<Record>> {
        self.shelf.state.read().chains.get(name).and_then(|chain| chain.at(self.revision)).cloned()
    }

    /// Returns up to `limit` records whose name starts with `prefix` and comes after `after`, in order of names.
    #[must_use]
    pub fn scan(&self, prefix: &str, after: Option<&str>, limit: usize) -> Page {
        self.shelf.state.read().scan(prefix, after, limit, self.revision)
    }
}

impl Clone for Snapshot {
    fn clone(&self) -> Self {
        self.shelf.pin(self.revision)
    }
}

impl Drop for Snapshot {
    fn drop(&mut self) {
        self.shelf.unpin(self.revision);
    }
}

impl fmt::Debug for Snapshot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Snapshot").field("revision", &self.revision).finish_non_exhaustive()
    }
}
