//! The one writer: groups waiting commits, judges them in order, makes the group durable, publishes it, wakes the callers.
//!
//! It runs on a thread of its own because it blocks on the disk. While one group is being synced the next one gathers, so
//! the more callers there are, the more commits share a sync; a lone caller never waits for company.
//!
//! Every answer of a group, also "your precondition does not hold", is given after the group is durable: it may have been
//! judged against an earlier member of the same group, and nothing undurable may show.

use std::collections::{HashMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use parking_lot::{Mutex, RwLock};
use tokio::sync::{mpsc, oneshot, watch};
use tracing::{debug, error, warn};

use super::bounds::Bounds;
use super::engine::{Engine, Failed, Group, RequestMark};
use super::error::{BookError, Unmet};
use super::record::{
    Change, Commit, Committed, Expect, Line, Moment, Name, PastCommit, Record, Request, Revision, StoredAnswer,
};
use super::shelf::Shelf;
use super::tally::Tally;
use super::{Follower, Standing};

/// A commit, and where its answer goes.
pub(super) struct Ask {
    pub(super) commit: Commit,
    pub(super) reply: oneshot::Sender<Result<Committed, BookError>>,
}

/// What the committer shares with the book's handle.
pub(super) struct Shared {
    pub(super) shelf: Arc<Shelf>,
    pub(super) engine: Arc<dyn Engine>,
    pub(super) followers: Mutex<Vec<Arc<dyn Follower>>>,
    pub(super) newest: watch::Sender<Revision>,
    pub(super) standing: RwLock<Standing>,
    /// Set once the store is closed.
    pub(super) ended: watch::Sender<Option<Result<(), BookError>>>,
}

/// The request ids that are remembered, oldest first.
#[derive(Default)]
struct Requests {
    marks: HashMap<Arc<str>, RequestMark>,
    order: VecDeque<(Arc<str>, Moment)>,
}

impl Requests {
    fn remember(&mut self, mark: RequestMark) {
        self.order.push_back((Arc::clone(&mark.id), mark.time));
        self.marks.insert(Arc::clone(&mark.id), mark);
    }

    /// Forgets what is too old or too much, and says which ids that were.
    fn forget(&mut self, now: Moment, bounds: &Bounds) -> Vec<RequestMark> {
        let age = i64::try_from(bounds.request_age.as_micros()).unwrap_or(i64::MAX);
        let mut gone = Vec::new();
        while let Some((_, time)) = self.order.front() {
            if self.order.len() <= bounds.requests && now.micros().saturating_sub(time.micros()) <= age {
                break;
            }
            let Some((id, _)) = self.order.pop_front() else { break };
            gone.extend(self.marks.remove(&id));
        }
        gone
    }

    /// Undoes [`Requests::remember`] of the last `count` and [`Requests::forget`] of some.
    fn restore(&mut self, count: usize, forgotten: Vec<RequestMark>) {
        for mark in forgotten.into_iter().rev() {
            self.order.push_front((Arc::clone(&mark.id), mark.time));
            self.marks.insert(Arc::clone(&mark.id), mark);
        }
        for _ in 0..count {
            if let Some((id, _)) = self.order.pop_back() {
                self.marks.remove(&id);
            }
        }
    }
}

/// A group while it is judged: nothing of it is visible.
struct Draft {
    revision: Revision,
    tally: Tally,
    commits: Vec<Arc<PastCommit>>,
    /// What the group's names have become so far.
    over: HashMap<Name, Option<Arc<Record>>>,
    /// The group's own requests.
    asked: HashMap<Arc<str>, StoredAnswer>,
}

/// What judging came to.
enum Judged {
    /// Part of the group: holds once the group is durable.
    Written(Committed),
    /// Not part of it: holds whatever becomes of the group, unless it was judged against the group.
    Answered(Result<Committed, BookError>),
}

/// The committer's own state.
pub(super) struct Committer {
    shared: Arc<Shared>,
    bounds: Bounds,
    requests: Requests,
    tally: Tally,
    fault: Option<Arc<str>>,
}

impl Committer {
    pub(super) fn new(shared: Arc<Shared>, bounds: Bounds, marks: Vec<RequestMark>) -> Self {
        let mut requests = Requests::default();
        for mark in marks {
            requests.remember(mark);
        }
        let tally = shared.shelf.tally();
        Self { shared, bounds, requests, tally, fault: None }
    }

    /// Works until every handle is gone, then closes the store.
    pub(super) fn run(mut self, mut asks: mpsc::Receiver<Ask>) {
        while let Some(first) = asks.blocking_recv() {
            let mut bytes = commit_bytes(&first.commit);
            let mut group = vec![first];
            while group.len() < self.bounds.group_commits && bytes < self.bounds.group_bytes {
                let Ok(ask) = asks.try_recv() else { break };
                bytes = bytes.saturating_add(commit_bytes(&ask.commit));
                group.push(ask);
            }
            self.settle(group);
        }
        let engine = Arc::clone(&self.shared.engine);
        let ended = catch_unwind(AssertUnwindSafe(|| engine.close()))
            .unwrap_or_else(|_| Err(BookError::ReadOnly { why: "the store failed while it was being closed".into() }));
        self.shared.ended.send_replace(Some(ended));
    }

    /// Judges, writes, publishes and answers one group.
    fn settle(&mut self, group: Vec<Ask>) {
        if let Some(why) = &self.fault {
            for ask in group {
                answer(ask.reply, Err(BookError::ReadOnly { why: Arc::clone(why) }));
            }
            return;
        }
        let mut draft = Draft {
            revision: self.shared.shelf.revision(),
            tally: self.tally,
            commits: Vec::new(),
            over: HashMap::new(),
            asked: HashMap::new(),
        };
        let judged: Vec<_> = group.into_iter().map(|ask| (self.judge(&mut draft, ask.commit), ask.reply)).collect();
        let written = if draft.commits.is_empty() { Ok(()) } else { self.write(&draft) };
        for (judged, reply) in judged {
            let result = match (judged, &written) {
                (Judged::Written(committed), Ok(())) => Ok(committed),
                (_, Err(Failed::NoRoom { needed_bytes })) => Err(BookError::Full { needed_bytes: *needed_bytes }),
                (Judged::Written(_), Err(Failed::Broken { why })) => Err(BookError::Uncertain { why: Arc::clone(why) }),
                (Judged::Answered(result), Ok(())) => result,
                (Judged::Answered(_), Err(Failed::Broken { why })) => Err(BookError::ReadOnly { why: Arc::clone(why) }),
            };
            answer(reply, result);
        }
    }

    fn judge(&self, draft: &mut Draft, commit: Commit) -> Judged {
        if let Some(request) = &commit.request {
            match self.replay(draft, request) {
                Ok(None) => {}
                Ok(Some(first)) => return Judged::Answered(Ok(first)),
                Err(refused) => return Judged::Answered(Err(refused)),
            }
        }
        let unmet = self.unmet(draft, &commit);
        if !unmet.is_empty() {
            return Judged::Answered(Err(BookError::Precondition { unmet }));
        }
        if commit.changes.is_empty() && commit.request.is_none() {
            return Judged::Answered(Ok(Committed { revision: draft.revision, time: commit.time, replayed: None }));
        }
        Judged::Written(self.enter(draft, commit))
    }

    /// The first answer to a request that was seen before.
    fn replay(&self, draft: &Draft, request: &Request) -> Result<Option<Committed>, BookError> {
        let first = match (draft.asked.get(&request.id), self.requests.marks.get(&request.id)) {
            (Some(first), _) => first.clone(),
            (None, None) => return Ok(None),
            (None, Some(mark)) if mark.digest != request.digest => {
                return Err(BookError::RequestReused { id: Arc::clone(&request.id), revision: mark.revision });
            }
            (None, Some(_)) => {
                let read = catch_unwind(AssertUnwindSafe(|| self.shared.engine.answer(&request.id)));
                match read {
                    Ok(Ok(Some(first))) => first,
                    Ok(Err(refused)) => return Err(refused),
                    Ok(Ok(None)) | Err(_) => return Err(answer_lost(&request.id)),
                }
            }
        };
        if first.digest != request.digest {
            return Err(BookError::RequestReused { id: Arc::clone(&request.id), revision: first.revision });
        }
        Ok(Some(Committed { revision: first.revision, time: first.time, replayed: Some(first.answer) }))
    }

    fn unmet(&self, draft: &Draft, commit: &Commit) -> Vec<Unmet> {
        let asked = commit.preconditions.iter().map(|one| (&one.name, one.expect));
        let implied = commit.changes.iter().filter_map(|change| match change {
            Change::Remove { name } if !commit.preconditions.iter().any(|one| one.name == *name) => {
                Some((name, Expect::Present))
            }
            Change::Remove { name } => {
                // A precondition that lets an absent name pass must not let its removal pass.
                let lenient = commit.preconditions.iter().all(|one| one.name != *name || one.expect.holds(None));
                lenient.then_some((name, Expect::Present))
            }
            Change::Put { .. } => None,
        });
        asked
            .chain(implied)
            .filter_map(|(name, expect)| {
                let current = self.current(draft, name).map(|record| record.revision);
                (!expect.holds(current)).then(|| Unmet { name: name.clone(), expect, current })
            })
            .collect()
    }

    fn current(&self, draft: &Draft, name: &Name) -> Option<Arc<Record>> {
        match draft.over.get(name) {
            Some(record) => record.clone(),
            None => self.shared.shelf.get(name),
        }
    }

    fn enter(&self, draft: &mut Draft, commit: Commit) -> Committed {
        let Commit { changes, request, author, time, .. } = commit;
        let revision = draft.revision.next();
        let mut lines = Vec::with_capacity(changes.len());
        for change in changes {
            let old = self.current(draft, change.name());
            let (name, record) = match change {
                Change::Remove { name } => (name, None),
                Change::Put { name, value } => {
                    let (created, created_time) =
                        old.as_ref().map_or((revision, time), |old| (old.created, old.created_time));
                    let author = Arc::clone(&author);
                    let record = Record { name: name.clone(), value, revision, time, author, created, created_time };
                    (name, Some(Arc::new(record)))
                }
            };
            if let Some(old) = &old {
                draft.tally.take(old);
            }
            if let Some(record) = &record {
                draft.tally.add(record);
            }
            draft.over.insert(name.clone(), record.clone());
            lines.push(Line { name, previous: old.map(|old| old.revision), record });
        }
        if let Some(Request { id, digest, answer }) = &request {
            let stored = StoredAnswer { digest: *digest, answer: answer.clone(), revision, time };
            draft.asked.insert(Arc::clone(id), stored);
        }
        draft.commits.push(Arc::new(PastCommit { revision, time, author, lines, request }));
        draft.revision = revision;
        Committed { revision, time, replayed: None }
    }

    /// Makes the group durable, then visible. Want of room changes nothing; any other failure is final: the store is not
    /// asked again.
    fn write(&mut self, draft: &Draft) -> Result<(), Failed> {
        let mut remembered = 0;
        for (id, stored) in draft.commits.iter().filter_map(|commit| {
            let id = &commit.request.as_ref()?.id;
            draft.asked.get_key_value(id)
        }) {
            let (id, digest) = (Arc::clone(id), stored.digest);
            self.requests.remember(RequestMark { id, digest, revision: stored.revision, time: stored.time });
            remembered += 1;
        }
        let now = draft.commits.iter().map(|commit| commit.time).max().unwrap_or_default();
        let gone = self.requests.forget(now, &self.bounds);
        let forgotten: Vec<Arc<str>> = gone.iter().map(|mark| Arc::clone(&mark.id)).collect();
        let group = Group { commits: &draft.commits, forgotten: &forgotten, tally: draft.tally };
        let appended = catch_unwind(AssertUnwindSafe(|| self.shared.engine.append(&group)))
            .unwrap_or_else(|_| Err(Failed::Broken { why: "the store stopped in the middle of a write".into() }));
        match appended {
            Ok(()) => {}
            Err(failed @ Failed::NoRoom { needed_bytes }) => {
                warn!(needed_bytes, "the disk is full; nothing was written, and reads go on");
                self.requests.restore(remembered, gone);
                return Err(failed);
            }
            Err(Failed::Broken { why }) => {
                error!(%why, revision = draft.revision.get(), "the book takes no more writes");
                self.fault = Some(Arc::clone(&why));
                *self.shared.standing.write() = Standing::ReadOnly { why: Arc::clone(&why) };
                return Err(Failed::Broken { why });
            }
        }
        self.tally = draft.tally;
        let followers = self.shared.followers.lock();
        self.shared.shelf.publish(&draft.commits, draft.tally);
        for follower in followers.iter() {
            let told = catch_unwind(AssertUnwindSafe(|| follower.published(&draft.commits)));
            if told.is_err() {
                error!(revision = draft.revision.get(), "a follower failed on a commit; the commit stands");
            }
        }
        drop(followers);
        self.shared.newest.send_replace(draft.revision);
        debug!(commits = draft.commits.len(), revision = draft.revision.get(), "published");
        Ok(())
    }
}

/// A caller that went away needs no answer.
fn answer(reply: oneshot::Sender<Result<Committed, BookError>>, result: Result<Committed, BookError>) {
    drop(reply.send(result));
}

fn answer_lost(id: &str) -> BookError {
    BookError::Damaged {
        what: format!("the first answer to request {id} cannot be read back"),
        names: Vec::new(),
        next: "nothing was changed now; read the entries to see the effect of the first time".to_owned(),
    }
}

/// The bytes a commit brings.
pub(super) fn commit_bytes(commit: &Commit) -> usize {
    let request = commit.request.as_ref().map_or(0, |request| request.id.len() + request.answer.len());
    commit.changes.iter().map(Change::bytes).sum::<usize>() + request + commit.author.len()
}
