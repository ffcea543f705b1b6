//! Letting go of old commits: whole files of the journal go, and what they came to stays, condensed.
//!
//! The order makes it safe to be killed at any moment: the base is written beside the old one, both marks vouch for it, it
//! is put in its place, once and once again, and only then the first file that it stands for is taken away. A start that
//! finds both takes the files away.

use std::io;
use std::sync::atomic::Ordering;
use std::time::Duration;

use super::Journal;
use super::base::{self, Base, Writer};
use super::mark;
use super::recover::FOLDER;
use crate::book::Revision;
use crate::book::engine::TakeRecord;
use crate::book::error::BookError;
use crate::book::horizon::Horizon;
use crate::book::record::Moment;

/// How much of the past is kept: a commit goes only when it is both old and followed by many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Keep {
    pub(super) age: Duration,
    pub(super) commits: u64,
}

impl Journal {
    /// Where the kept commits begin.
    pub(super) fn base(&self) -> Base {
        self.state.read().base
    }

    /// Lets go of what need not be kept, as far as the second copy holds it; returns where the kept commits then begin,
    /// if that has moved. Nothing is lost when it fails.
    pub(super) fn let_go(&self, now: Moment, copied: Revision) -> Result<Option<Horizon>, BookError> {
        let Some(through) = self.may_go(now, copied)? else { return Ok(None) };
        let Some(_going) = self.pins.let_go() else { return Ok(None) };
        // Whoever reads all files again must not find some of them gone; the thread that syncs the marks does not wait.
        let Some(_alone) = self.reading.try_lock() else { return Ok(None) };
        let io = |cause: io::Error| BookError::io("condense the journal of", &self.directory, &cause);
        let folder = self.directory.join(FOLDER);
        let [first, second] = base::NAMES;
        let mut failed = None;
        let fill = |out: &mut dyn io::Write| {
            self.condense(through, out).map_err(|why| {
                let text = why.to_string();
                failed.get_or_insert(why);
                io::Error::other(text)
            })
        };
        let written = base::put_in_place_after(self.disk.as_ref(), &folder, first, fill, |base| self.vouch_for(base));
        let base = match (written, failed) {
            (Ok(base), _) => base,
            (Err(_), Some(why)) => return Err(why),
            (Err(cause), None) => return Err(io(cause)),
        };
        base::copy(self.disk.as_ref(), &folder, first, second, base).map_err(io)?;
        let gone = self.state.write().let_go(base);
        for name in gone {
            self.disk.remove(&folder.join(name)).map_err(io)?;
        }
        self.disk.sync_dir(&folder).map_err(io)?;
        Ok(Some(base.horizon))
    }

    /// Makes the marks vouch for a base before it is put in its place: both of them, so that either will do.
    fn vouch_for(&self, base: &Base) -> io::Result<()> {
        self.state.write().coming = Some(base.seal);
        let mut pair = self.mark.lock();
        for _ in mark::NAMES {
            pair.write(self.high_water())?;
            // Never a second time: what a failed sync left behind is unknown.
            pair.sync().inspect_err(|cause| self.refuse(&format!("cannot sync the high-water mark: {cause}")))?;
        }
        Ok(())
    }

    /// Through which revision commits may go: the end of a file of the journal.
    fn may_go(&self, now: Moment, copied: Revision) -> Result<Option<Revision>, BookError> {
        let age = i64::try_from(self.keep.age.as_micros()).unwrap_or(i64::MAX);
        let (ends, held, newest) = {
            let state = self.state.read();
            let many = Revision::new(state.revision.get().saturating_sub(self.keep.commits)).min(copied);
            let ends: Vec<Revision> = state.ends().take_while(|end| *end <= many).collect();
            if ends.is_empty() {
                return Ok(None);
            }
            // The answer to a request that is still remembered lies in its commit.
            let held = state.requests.values().map(|mark| mark.revision).min();
            (ends, held, state.revision)
        };
        // A clock that once ran ahead makes nothing older than it is, nor does one that stands still.
        let now = now.min(self.commit_at(newest)?.time);
        let mut found = None;
        for end in ends.into_iter().take_while(|end| held.is_none_or(|held| *end < held)) {
            if now.micros().saturating_sub(self.commit_at(end)?.time.micros()).max(0) < age {
                break;
            }
            found = Some(end);
        }
        let Some(through) = found else { return Ok(None) };
        // A base as large as what goes would be written for nothing.
        let state = self.state.read();
        let going = state.bytes_through(through);
        let base = self.disk.open(&self.directory.join(FOLDER).join(base::NAMES[0])).and_then(|file| file.size());
        Ok((going >= base.unwrap_or(0) / 2).then_some(through))
    }

    /// Writes every entry as it stood at a revision: what the old base holds and nobody touched since, and then what each
    /// commit left that no later one touched.
    fn condense(&self, through: Revision, out: &mut dyn io::Write) -> Result<Base, BookError> {
        let io = |cause: io::Error| BookError::io("condense the journal of", &self.directory, &cause);
        let last = |name: &str| {
            let state = self.state.read();
            let touched = state.touched(name);
            let count = touched.partition_point(|revision| *revision <= through);
            count.checked_sub(1).and_then(|at| touched.get(at)).copied()
        };
        let mut writer = Writer::begin(out).map_err(io)?;
        self.old_entries(&mut |record| {
            if self.closing.load(Ordering::Relaxed) {
                return Err(io::ErrorKind::Interrupted.into());
            }
            if last(&record.name).is_none() { writer.record(&record) } else { Ok(()) }
        })?;
        let mut revision = self.base().revision();
        let mut time = Moment::default();
        while revision < through {
            revision = revision.next();
            if self.closing.load(Ordering::Relaxed) {
                return Err(BookError::Closed);
            }
            let commit = self.commit_at(revision)?;
            time = commit.time;
            for record in commit.lines.iter().filter_map(|line| line.record.as_ref()) {
                if last(&record.name) == Some(revision) {
                    writer.record(record).map_err(io)?;
                }
            }
        }
        let chain = self.state.read().chain_after(through).ok_or_else(|| self.unreadable(through))?;
        Ok(writer.end(Horizon { revision: through, time }, chain).map_err(io)?.0)
    }

    /// Reads the entries of the base, from either file.
    pub(super) fn old_entries(&self, take: TakeRecord<'_>) -> Result<Base, BookError> {
        let base = self.base();
        if base == Base::default() {
            return Ok(base);
        }
        let folder = self.directory.join(FOLDER);
        let find = |name: &str| base::find(self.disk.as_ref(), &folder, name, |_| Ok(()));
        let io = |cause: io::Error| BookError::io("read the base of", &self.directory, &cause);
        for name in base::NAMES {
            // Looked at before anything of it is taken.
            if find(name).map_err(io)? == base::Found::Whole(base) {
                base::find(self.disk.as_ref(), &folder, name, &mut *take).map_err(io)?;
                return Ok(base);
            }
        }
        Err(self.unreadable(base.revision()))
    }
}
