//! The book on disk: a journal of commits first, a second copy of it in sled behind.
//!
//! A group of commits is appended to the journal's last segment and made durable by one `fdatasync`; only then is it
//! acknowledged and shown. The journal is read whole at open, so the current entries come from it and every byte of it is
//! verified each time. A high-water mark beside it tells when it ends too early. The second copy is written behind by a
//! thread of its own, some seconds late; it is asked only when the journal is damaged.

mod apart;
pub mod backup;
mod ballast;
mod base;
mod behind;
mod compact;
mod copy;
mod frames;
mod keeper;
mod mark;
mod mend;
mod migrate;
mod mirror;
mod pins;
mod recover;
mod rejoin;
mod state;
mod verify;

#[cfg(test)]
mod fuzz;
#[cfg(test)]
mod tamper;
#[cfg(test)]
mod tests;

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, OnceLock};
use std::time::Instant;

use parking_lot::{Mutex, RwLock};

pub(super) use keeper::JournalEngine;

#[cfg(test)]
pub(super) fn mirror_of(directory: &std::path::Path) -> mirror::Mirror {
    mirror::Mirror::new(directory, &Bounds { cache_bytes: 1 << 20, ..Bounds::default() })
}

use super::bounds::Bounds;
use super::disk::{Disk, is_full};
use super::engine::{Failed, Group, Loaded, Span};
use super::error::BookError;
use super::frame;
use super::history::{past_bytes, past_of, within};
use super::record::{Name, Past, PastCommit, Revision, StoredAnswer};
use crate::measure::Timing;
use compact::Keep;
use copy::SecondCopy;
use frames::{Frame, HEADER_BYTES, Header, link};
use mark::{HighWater, MarkPair};
use pins::Pins;
use recover::{FOLDER, Recovered, Recovery, next_step, segment_name};
use state::{Segment, State, tally_of};

/// What the committer, the readers and the second copy's thread share.
#[derive(Debug)]
struct Journal {
    disk: Arc<dyn Disk>,
    directory: PathBuf,
    state: RwLock<State>,
    mark: Mutex<MarkPair>,
    /// Held while the last segment is written, and while a segment is replaced.
    writing: Mutex<()>,
    /// Held while all files are read again, and while some of them are let go of.
    reading: Mutex<()>,
    keep: Keep,
    /// Who reads all of the past.
    pins: Arc<Pins>,
    /// Set when the book is being closed: whoever reads it all again ends early.
    closing: AtomicBool,
    /// Why no more is written, found by somebody else than the committer.
    refusal: OnceLock<Arc<str>>,
    segment_bytes: u64,
    segment_commits: u64,
    /// How long each group's sync took.
    syncs: Timing,
}

/// What opening a journal came to.
#[derive(Debug)]
struct OpenedJournal {
    journal: Journal,
    loaded: Loaded,
    mended: Vec<String>,
}

impl Journal {
    /// Reads, verifies and if need be mends the journal of a data directory that is already locked.
    fn open(
        disk: Arc<dyn Disk>,
        directory: &Path,
        copy: &dyn SecondCopy,
        bounds: &Bounds,
    ) -> Result<OpenedJournal, BookError> {
        let io = |doing| move |cause: io::Error| BookError::io(doing, directory, &cause);
        let found = mark::find(disk.as_ref(), directory).map_err(io("read the marks of"))?;
        let mut mended = Vec::new();
        for name in &found.unreadable {
            mended.push(format!("{name} was damaged; it was written anew"));
        }
        let recovery = Recovery { disk: disk.as_ref(), directory, mark: found.mark, copy, read_only: false };
        let Recovered { mut state, entries, mended: segments } = recovery.run()?;
        mended.extend(segments);
        // The newest mark may be the one that cannot be read: the second copy then says how far the book had come.
        if !found.unreadable.is_empty() || (found.mark.is_none() && state.revision > Revision::ZERO) {
            mended.extend(witness(directory, &state, found.mark, copy)?);
        }
        let records: Vec<_> = entries.into_values().collect();
        state.tally = tally_of(&records);
        if let Some(mark) = found.mark.filter(|mark| mark.revision == state.revision && mark.tally != state.tally) {
            let what = format!("the journal comes to {} but recorded {}", state.tally, mark.tally);
            return Err(BookError::Damaged { what, names: Vec::new(), next: next_step(directory) });
        }
        if state.segments.is_empty() {
            let first = Header { first: state.revision.next(), chain: state.chain };
            disk.create_dir(&directory.join(FOLDER)).map_err(io("create the journal of"))?;
            state.segments.push(begin(disk.as_ref(), directory, first).map_err(io("begin the journal of"))?);
            state.end = HEADER_BYTES as u64;
        }
        // A name that an earlier start gave and could not sync is made durable before anything relies on it.
        disk.sync_dir(&directory.join(FOLDER)).and_then(|()| disk.sync_dir(directory)).map_err(io("sync"))?;
        let sure = found.mark.map_or(Revision::ZERO, |mark| mark.revision);
        write_end_again(&state, sure).map_err(io("sync the journal of"))?;
        let mark = state.high_water();
        let pair = MarkPair::settle(disk.as_ref(), directory, mark).map_err(io("write the marks of"))?;
        let age = i64::try_from(bounds.request_age.as_micros()).unwrap_or(i64::MAX);
        let requests = state.trim_requests(bounds.requests, age);
        let loaded = Loaded { revision: state.revision, records, requests, tally: state.tally };
        let journal = Self {
            disk,
            directory: directory.to_owned(),
            state: RwLock::new(state),
            mark: Mutex::new(pair),
            writing: Mutex::default(),
            reading: Mutex::default(),
            keep: Keep { age: bounds.history_age, commits: bounds.history_commits },
            pins: Arc::default(),
            closing: AtomicBool::new(false),
            refusal: OnceLock::new(),
            segment_bytes: bounds.segment_bytes,
            segment_commits: bounds.segment_commits,
            syncs: Timing::default(),
        };
        Ok(OpenedJournal { journal, loaded, mended })
    }

    /// Appends a group, makes it durable, and only then takes note of it.
    fn append(&self, group: &Group<'_>) -> Result<(), Failed> {
        if let Some(why) = self.refusal.get() {
            return Err(Failed::Broken { why: Arc::clone(why) });
        }
        let _writing = self.writing.lock();
        let (mut chain, durable, mut end, mut segment) = {
            let state = self.state.read();
            let segment = state.segments.last().cloned();
            (state.chain, state.revision, state.end, segment)
        };
        let mut out = Vec::new();
        let mut noted = Vec::with_capacity(group.commits.len());
        for commit in group.commits {
            let body = frame::write_commit(&frame::commit_key(commit.revision), commit);
            chain = link(&chain, &body);
            noted.push((out.len() as u64, body.len(), chain));
            Frame { durable, body: &body, chain }.write(&mut out);
        }
        let before = self.state.read().chain;
        let mut begun = None;
        let many =
            |segment: &Segment| durable.next().get().saturating_sub(segment.header.first.get()) >= self.segment_commits;
        if end >= self.segment_bytes || segment.as_ref().is_none_or(many) {
            let header = Header { first: durable.next(), chain: before };
            let next = begin(self.disk.as_ref(), &self.directory, header).map_err(|cause| failed(&cause, out.len()))?;
            end = HEADER_BYTES as u64;
            segment = Some(next.clone());
            begun = Some(next);
        }
        let Some(segment) = segment else { return Err(broken("the journal has no segment")) };
        if let Some(begun) = begun {
            let mut state = self.state.write();
            state.segments.push(begun);
            state.end = end;
        }
        if let Err(cause) = segment.file.write_at(&out, end) {
            if is_full(&cause) {
                // What was written of it must not be taken for a frame later, not even after a loss of power: the caller is
                // told that nothing was changed.
                segment
                    .file
                    .set_size(end)
                    .and_then(|()| segment.file.sync())
                    .map_err(|cause| broken(&format!("cannot cut the journal: {cause}")))?;
            }
            return Err(failed(&cause, out.len()));
        }
        // Never a second time: what a failed sync left behind is unknown.
        let begun = Instant::now();
        segment.file.sync().map_err(|cause| broken(&format!("cannot sync the journal: {cause}")))?;
        self.syncs.note(begun.elapsed());
        {
            let mut state = self.state.write();
            for (commit, (offset, body, chain)) in group.commits.iter().zip(noted) {
                state.enter(commit, chain, end + offset, body);
            }
            for id in group.forgotten {
                state.requests.remove(id);
            }
            state.end = end + out.len() as u64;
            state.tally = group.tally;
        }
        if let Some(mut pair) = self.mark.try_lock() {
            self.tell(&mut pair);
        }
        Ok(())
    }

    /// What the journal holds now.
    fn high_water(&self) -> HighWater {
        self.state.read().high_water()
    }

    fn tell(&self, pair: &mut MarkPair) {
        let mark = self.high_water();
        if pair.written() != mark
            && let Err(cause) = pair.write(mark)
        {
            // The commits are durable all the same; the mark is merely old.
            tracing::warn!(%cause, "the high-water mark was not written");
        }
    }

    /// Makes the mark durable.
    fn sync_mark(&self) -> io::Result<()> {
        let mut pair = self.mark.lock();
        self.tell(&mut pair);
        pair.sync()?;
        self.tell(&mut pair);
        Ok(())
    }

    /// Reads the bytes of a commit, checked by its own sum.
    fn body(&self, revision: Revision) -> Result<Vec<u8>, BookError> {
        let (file, name, offset, length) = {
            let state = self.state.read();
            let base = state.base.revision();
            if revision <= base {
                return Err(BookError::RevisionGone { asked: revision, oldest: base, newest: state.revision });
            }
            let (segment, offset, length) = state.place(revision).ok_or_else(|| self.unreadable(revision))?;
            (Arc::clone(&segment.file), segment.name.clone(), offset, length)
        };
        let mut body = vec![0; length];
        let path = self.directory.join(FOLDER).join(name);
        let read = file.read_at(&mut body, offset).map_err(|cause| BookError::io("read", &path, &cause))?;
        if read < length || frame::read_commit(&frame::commit_key(revision), &body).is_none() {
            return Err(self.unreadable(revision));
        }
        Ok(body)
    }

    fn commit_at(&self, revision: Revision) -> Result<PastCommit, BookError> {
        let body = self.body(revision)?;
        frame::read_commit(&frame::commit_key(revision), &body).ok_or_else(|| self.unreadable(revision))
    }

    fn unreadable(&self, revision: Revision) -> BookError {
        BookError::Damaged {
            what: format!("the commit of revision {revision} can no longer be read from the journal"),
            names: Vec::new(),
            next: "current entries are still served from memory; restart the service: it mends the journal from the second \
                   copy at start, or names what it cannot"
                .to_owned(),
        }
    }

    /// Refuses every later group.
    fn refuse(&self, why: &str) {
        tracing::error!(why, "the book takes no more writes");
        // The first reason stands.
        drop(self.refusal.set(why.into()));
    }
}

/// Begins a segment; durable with its name before anything is written into it.
fn begin(disk: &dyn Disk, directory: &Path, header: Header) -> io::Result<Segment> {
    let name = segment_name(header.first);
    let folder = directory.join(FOLDER);
    let file = disk.create(&folder.join(&name))?;
    file.write_at(&header.write(), 0)?;
    file.sync()?;
    disk.sync_dir(&folder)?;
    Ok(Segment { header, name, file })
}

/// Writes again what no mark vouches for, and syncs the last segment: after a failed sync the system may show what never
/// reached the disk, and believe it has.
fn write_end_again(state: &State, sure: Revision) -> io::Result<()> {
    let Some(last) = state.segments.last() else { return Ok(()) };
    let first = sure.next().max(last.header.first);
    if let Some((_, offset, _)) = state.place(first) {
        let from = offset.saturating_sub(frames::HEAD_BYTES as u64);
        let length = usize::try_from(state.end.saturating_sub(from)).unwrap_or(0);
        let mut bytes = vec![0; length];
        let read = last.file.read_at(&mut bytes, from)?;
        bytes.truncate(read);
        last.file.write_at(&bytes, from)?;
    }
    last.file.write_at(&last.header.write(), 0)?;
    last.file.sync()
}

/// With no mark to be trusted, the second copy must vouch for how far the book had come.
fn witness(
    directory: &Path,
    state: &State,
    mark: Option<HighWater>,
    copy: &dyn SecondCopy,
) -> Result<Option<String>, BookError> {
    let damaged = |what: String, names| Err(BookError::Damaged { what, names, next: next_step(directory) });
    match copy.newest() {
        Some(newest) if newest > state.revision => {
            let what = format!("the journal ends at revision {}, and the second copy at {newest}", state.revision);
            damaged(what, copy.names(state.revision, newest))
        }
        Some(newest) => {
            let agrees = newest == Revision::ZERO || copy.body(newest).is_some();
            if !agrees {
                return damaged("neither the mark nor the second copy can be read".to_owned(), Vec::new());
            }
            Ok(mark.is_none().then(|| {
                format!("the high-water mark was lost; it was taken anew from the journal, which the second copy bears out through revision {newest}")
            }))
        }
        None if mark.is_some() || state.revision == Revision::ZERO => Ok(None),
        None => damaged(
            "both files of the high-water mark are lost, and there is no second copy to tell whether the journal is whole"
                .to_owned(),
            Vec::new(),
        ),
    }
}

fn failed(cause: &io::Error, bytes: usize) -> Failed {
    if is_full(cause) {
        Failed::NoRoom { needed_bytes: bytes }
    } else {
        broken(&format!("cannot write the journal: {cause}"))
    }
}

fn broken(why: &str) -> Failed {
    Failed::Broken { why: why.into() }
}

impl Journal {
    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        let newest = self.state.read().revision.min(span.through);
        let revisions = (span.after.next().get()..=newest.get()).map(Revision::new);
        let commits = revisions.map(|revision| self.commit_at(revision).map(Arc::new));
        within(span, commits, |commit| commit.revision, |commit| commit.bytes())
    }

    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError> {
        let touched: Vec<Revision> = {
            let state = self.state.read();
            let all = state.touched(name);
            let end = all.partition_point(|revision| *revision <= span.through);
            all.get(..end).unwrap_or_default().iter().rev().take(span.limit).copied().collect()
        };
        let steps = touched.into_iter().map_while(|revision| match self.commit_at(revision) {
            // It has just been let go of, and all before it.
            Err(BookError::RevisionGone { .. }) => None,
            Err(why) => Some(Err(why)),
            Ok(commit) => Some(past_of(&commit, name).ok_or_else(|| self.unreadable(revision))),
        });
        within(span, steps, |past| past.revision, past_bytes)
    }

    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError> {
        let Some(mark) = self.state.read().requests.get(id).cloned() else { return Ok(None) };
        let request = self.commit_at(mark.revision)?.request.filter(|request| *request.id == *id);
        let request = request.ok_or_else(|| self.unreadable(mark.revision))?;
        let (digest, revision, time) = (mark.digest, mark.revision, mark.time);
        Ok(Some(StoredAnswer { digest, answer: request.answer, revision, time }))
    }
}
