//! Reading the whole journal at open, and mending it from the second copy where it is damaged.
//!
//! Every frame is read and its chain is checked, so an open that succeeds has verified all of it. Where a frame cannot be
//! read, the question is whether it was ever acknowledged. It may not have been when nothing later is known to be durable:
//! then it is the torn end of the last group, and is cut off. It was when the mark, a later segment or a later frame says
//! so: then it is damage, and the segment is written anew from its whole frames and the second copy, put in place by one
//! rename, and only when its end links to what follows. What cannot be mended is refused.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use super::copy::SecondCopy;
use super::frames::{Chain, Frame, HEADER_BYTES, Header, link, salvage};
use super::mark::HighWater;
use super::state::{Entries, Segment, State, apply};
use crate::book::disk::{Disk, read_all};
use crate::book::error::BookError;
use crate::book::{Revision, frame};

pub(super) const FOLDER: &str = "journal";
pub(super) const ASIDE: &str = "damaged";
const SUFFIX: &str = ".journal";

/// The name of the segment that begins at a revision.
pub(super) fn segment_name(first: Revision) -> String {
    format!("{:020}{SUFFIX}", first.get())
}

pub(super) fn first_of(name: &str) -> Option<Revision> {
    let digits = name.strip_suffix(SUFFIX).filter(|digits| digits.len() == 20)?;
    digits.parse().ok().map(Revision::new)
}

/// The journal as it was read, mended where need be.
#[derive(Debug, Default)]
pub(super) struct Recovered {
    pub(super) state: State,
    pub(super) entries: Entries,
    /// What was mended, in words.
    pub(super) mended: Vec<String>,
}

/// One segment's frames, as far as they are whole and linked.
struct Walked {
    /// Offset, and what the frame says.
    frames: Vec<(usize, usize, Revision, Chain)>,
    end: usize,
    chain: Chain,
    revision: Revision,
}

fn walk(bytes: &[u8], header: &Header) -> Walked {
    let mut walked = Walked {
        frames: Vec::new(),
        end: HEADER_BYTES,
        chain: header.chain,
        revision: Revision::new(header.first.get().saturating_sub(1)),
    };
    while let Some(found) = bytes.get(walked.end..).and_then(Frame::read) {
        let next = walked.revision.next();
        if found.revision() != Some(next) || link(&walked.chain, found.body) != found.chain {
            break;
        }
        walked.frames.push((walked.end, found.body.len(), next, found.chain));
        walked.end += found.size();
        walked.chain = found.chain;
        walked.revision = next;
    }
    walked
}

/// Reads the journal of a data directory.
pub(super) struct Recovery<'a> {
    pub(super) disk: &'a dyn Disk,
    pub(super) directory: &'a Path,
    pub(super) mark: Option<HighWater>,
    pub(super) copy: &'a dyn SecondCopy,
    /// Nothing is written: damage is refused even where it could be mended.
    pub(super) read_only: bool,
}

impl Recovery<'_> {
    pub(super) fn folder(&self) -> PathBuf {
        self.directory.join(FOLDER)
    }

    pub(super) fn io(&self, doing: &'static str, name: &str) -> impl FnOnce(io::Error) -> BookError {
        let path = self.folder().join(name);
        move |cause| BookError::io(doing, &path, &cause)
    }

    /// Reads all segments, oldest first.
    pub(super) fn run(&self) -> Result<Recovered, BookError> {
        let mut names = self.names()?;
        let mut recovered = Recovered::default();
        self.base(&mut recovered, &names)?;
        let base = recovered.state.base;
        self.drop_condensed(&mut names, &base)?;
        let base = base.revision();
        let known = self.mark.map_or(Revision::ZERO, |mark| mark.revision);
        // A gap before the first segment, or no segment at all where there should be one.
        let first_name = base.next();
        let begins = names.first().and_then(|name| first_of(name));
        if begins.is_none() && base > Revision::ZERO && known <= base {
            return Err(self.refused(base, first_name, "the last file of the journal is missing"));
        }
        if begins.is_some_and(|first| first != first_name) || (begins.is_none() && known > base) {
            names.insert(0, segment_name(first_name));
        }
        for (index, name) in names.iter().enumerate() {
            let next = names.get(index + 1).map(|next| self.peek(next)).transpose()?;
            let through = names.get(index + 1).and_then(|next| first_of(next));
            let through = through.map(|first| Revision::new(first.get().saturating_sub(1)));
            let expected = next.flatten().map(|header| header.chain);
            self.segment(&mut recovered, name, through, expected)?;
        }
        if let Some(mark) = self.mark {
            self.agree(&recovered, &mark)?;
        }
        Ok(recovered)
    }

    /// The journal holds what the mark says, at the mark's revision.
    fn agree(&self, recovered: &Recovered, mark: &HighWater) -> Result<(), BookError> {
        let state = &recovered.state;
        if state.revision < mark.revision {
            return Err(self.refused(state.revision, mark.revision, "they are missing from the journal"));
        }
        Ok(())
    }

    fn names(&self) -> Result<Vec<String>, BookError> {
        let folder = self.folder();
        let listed = self.disk.list(&folder).map_err(|cause| BookError::io("list", &folder, &cause))?;
        let mut names = Vec::new();
        for name in listed {
            if first_of(&name).is_some() {
                names.push(name);
            } else if name.ends_with(".new") && !self.read_only {
                // A segment that was being written when the process ended; the old one is still in place.
                self.disk.remove(&folder.join(&name)).map_err(self.io("remove", &name))?;
            }
        }
        names.sort();
        Ok(names)
    }

    pub(super) fn peek(&self, name: &str) -> Result<Option<Header>, BookError> {
        let mut bytes = [0; HEADER_BYTES];
        match self.disk.open(&self.folder().join(name)) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(None),
            file => {
                let read = file.and_then(|file| file.read_at(&mut bytes, 0)).map_err(self.io("read", name))?;
                Ok(bytes.get(..read).and_then(Header::read))
            }
        }
    }

    /// Reads one segment. `through` is its last revision where a later segment tells, `expected` the chain after it.
    fn segment(
        &self,
        recovered: &mut Recovered,
        name: &str,
        through: Option<Revision>,
        expected: Option<Chain>,
    ) -> Result<(), BookError> {
        let (before, chain) = (recovered.state.revision, recovered.state.chain);
        let should = Header { first: before.next(), chain };
        let path = self.folder().join(name);
        let bytes = match self.disk.open(&path) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Vec::new(),
            file => file.and_then(|file| read_all(file.as_ref())).map_err(self.io("read", name))?,
        };
        let header = Header::read(&bytes).filter(|header| *header == should);
        let walked = header.map(|header| walk(&bytes, &header));
        let reached = walked.as_ref().map_or(before, |walked| walked.revision);
        let end = walked.as_ref().map_or(0, |walked| walked.end);
        let known = match through {
            Some(through) => through,
            None => self.known(&bytes, end, reached),
        };
        let marked = self.mark.filter(|mark| mark.revision > before && mark.revision <= known);
        let linked = walked.as_ref().is_some_and(|walked| {
            let ends = through.is_none() || expected.is_none_or(|expected| expected == walked.chain);
            ends && marked.is_none_or(|mark| {
                let at = walked.frames.iter().find(|(_, _, revision, _)| *revision == mark.revision);
                at.is_some_and(|(_, _, _, chain)| *chain == mark.chain)
            })
        });
        let whole =
            linked && reached >= known && (through.is_none_or(|through| reached == through && end == bytes.len()));
        if whole {
            if end < bytes.len() {
                self.cut(name, end)?;
            }
        } else if known <= before && through.is_none() {
            // A segment that was being begun when the process ended: nothing in it was acknowledged.
            if !self.read_only && before > Revision::ZERO {
                self.disk.remove(&path).map_err(self.io("remove", name))?;
                let folder = self.folder();
                return self.disk.sync_dir(&folder).map_err(|cause| BookError::io("sync", &folder, &cause));
            }
            if before == Revision::ZERO && !self.read_only {
                self.put_in_place(name, &should.write(), &bytes)?;
            }
            return self.absorb(recovered, name, &should.write(), &should);
        } else {
            let mended = self.mend(&bytes, &should, known, expected)?;
            self.put_in_place(name, &mended, &bytes)?;
            recovered.mended.push(format!(
                "{FOLDER}/{name} was damaged after revision {reached}; it was written anew through revision {known} from its \
                 whole commits and the second copy, and the damaged file was put into {ASIDE}/"
            ));
            return self.absorb(recovered, name, &mended, &should);
        }
        self.absorb(recovered, name, bytes.get(..end).unwrap_or_default(), &should)
    }

    /// Through which revision the last segment is known to have been durable, beyond what was read of it.
    fn known(&self, bytes: &[u8], end: usize, reached: Revision) -> Revision {
        let marked = self.mark.map_or(Revision::ZERO, |mark| mark.revision);
        let beyond = salvage(bytes.get(end..).unwrap_or_default());
        let durable = beyond.iter().map(|(_, frame)| frame.durable).max().unwrap_or_default();
        let copied = if self.mark.is_none() { self.copy.newest().unwrap_or_default() } else { Revision::ZERO };
        if durable > reached {
            // The frames that say so were themselves acknowledged or at least written whole: they stay.
            let whole = beyond.iter().filter_map(|(_, frame)| frame.revision()).max().unwrap_or_default();
            return durable.max(whole).max(marked).max(copied);
        }
        reached.max(marked).max(copied)
    }

    /// Cuts off what was never acknowledged.
    fn cut(&self, name: &str, end: usize) -> Result<(), BookError> {
        if self.read_only {
            return Ok(());
        }
        let file = self.disk.open(&self.folder().join(name)).map_err(self.io("open", name))?;
        file.set_size(end as u64).and_then(|()| file.sync()).map_err(self.io("cut", name))
    }

    /// Puts a segment together again: its own whole frames first, the second copy where they do not link; then the other
    /// way about.
    pub(super) fn mend(
        &self,
        bytes: &[u8],
        header: &Header,
        through: Revision,
        expected: Option<Chain>,
    ) -> Result<Vec<u8>, BookError> {
        let own: BTreeMap<Revision, Frame<'_>> =
            salvage(bytes).into_iter().filter_map(|(_, frame)| Some((frame.revision()?, frame))).collect();
        let before = Revision::new(header.first.get().saturating_sub(1));
        let refuse = |after: Revision, why: &str| Err(self.refused(after, through, why));
        if self.read_only {
            let walked = walk(bytes, header);
            let after = if Header::read(bytes) == Some(*header) { walked.revision } else { before };
            return refuse(
                after.min(Revision::new(through.get().saturating_sub(1))),
                "the journal's file is damaged there",
            );
        }
        let mut lost = None;
        for own_first in [true, false] {
            match self.compose(&own, header, through, own_first) {
                Ok((out, chain)) if expected.is_none_or(|expected| expected == chain) => return Ok(out),
                Ok(_) => {}
                Err(after) => lost = Some(lost.map_or(after, |lost: Revision| lost.max(after))),
            }
        }
        match lost {
            Some(after) => refuse(after, "the journal cannot be read there, and the second copy does not hold them"),
            None => refuse(before, "neither the journal nor the second copy links to what follows"),
        }
    }

    /// The segment's bytes and the chain after it, or the last revision before what cannot be had.
    fn compose(
        &self,
        own: &BTreeMap<Revision, Frame<'_>>,
        header: &Header,
        through: Revision,
        own_first: bool,
    ) -> Result<(Vec<u8>, Chain), Revision> {
        let mut out = header.write();
        let mut chain = header.chain;
        let mut revision = Revision::new(header.first.get().saturating_sub(1));
        while revision < through {
            let next = revision.next();
            let ours = || {
                let frame = own.get(&next).filter(|frame| link(&chain, frame.body) == frame.chain)?;
                Some(frame.body.to_vec())
            };
            let copied = || self.copy.body(next);
            let body = if own_first { ours().or_else(copied) } else { copied().or_else(ours) };
            let body = body.ok_or(revision)?;
            chain = link(&chain, &body);
            if self.mark.is_some_and(|mark| mark.revision == next && mark.chain != chain) {
                return Err(revision);
            }
            Frame { durable: revision, body: &body, chain }.write(&mut out);
            revision = next;
        }
        Ok((out, chain))
    }

    /// Puts a segment in its place by one rename, after the damaged one was copied aside.
    pub(super) fn put_in_place(&self, name: &str, bytes: &[u8], old: &[u8]) -> Result<(), BookError> {
        let folder = self.folder();
        if !old.is_empty() {
            self.keep_aside(name, old);
        }
        let new = format!("{name}.new");
        let put = || {
            self.disk.create_dir(&folder)?;
            let file = self.disk.create(&folder.join(&new))?;
            file.write_at(bytes, 0)?;
            file.sync()?;
            self.disk.rename(&folder.join(&new), &folder.join(name))?;
            self.disk.sync_dir(&folder)
        };
        put().map_err(self.io("mend", name))
    }

    /// Keeps a damaged file for whoever wants to look into it. No room for it is no reason not to mend.
    fn keep_aside(&self, name: &str, old: &[u8]) {
        let aside = self.directory.join(ASIDE);
        let kept = || {
            self.disk.create_dir(&aside)?;
            let count = self.disk.list(&aside)?.len();
            let file = self.disk.create(&aside.join(format!("{name}.{count}")))?;
            file.write_at(old, 0)?;
            file.sync()
        };
        if let Err(cause) = kept() {
            tracing::warn!(%cause, segment = name, "the damaged file could not be kept aside");
        }
    }

    /// Takes a whole segment's commits in.
    fn absorb(&self, recovered: &mut Recovered, name: &str, bytes: &[u8], header: &Header) -> Result<(), BookError> {
        let Recovered { state, entries, .. } = recovered;
        let walked = walk(bytes, header);
        let path = self.folder().join(name);
        let file = self.disk.open(&path).map_err(|cause| BookError::io("open", &path, &cause))?;
        state.segments.push(Segment { header: *header, name: name.to_owned(), file });
        for (offset, length, revision, chain) in walked.frames {
            let at = offset + super::frames::HEAD_BYTES;
            let commit = bytes.get(at..at + length).and_then(|body| {
                // The chain has vouched for the commit's bytes already.
                frame::read_chained_commit(body)
            });
            let Some(commit) = commit else {
                return Err(self.refused(Revision::new(revision.get() - 1), revision, "the commit is not one of ours"));
            };
            state.enter(&commit, chain, offset as u64, length);
            apply(entries, commit);
        }
        state.end = walked.end as u64;
        Ok(())
    }

    /// Says which revisions are lost, which entries that touches, and what to type.
    pub(super) fn refused(&self, after: Revision, through: Revision, why: &str) -> BookError {
        let first = after.next();
        let what = if first >= through {
            format!("revision {through} cannot be had: {why}")
        } else {
            format!("revisions {first} to {through} cannot be had: {why}")
        };
        let names = self.copy.names(after, through);
        BookError::Damaged { what, names, next: next_step(self.directory) }
    }
}

/// What to type when both copies fail.
pub(super) fn next_step(directory: &Path) -> String {
    let directory = directory.display();
    format!(
        "nothing was changed; keep what is there with: mv {directory} {directory}.damaged; then bring the last backup in its \
         place with: baybook restore BACKUP --data {directory}"
    )
}
