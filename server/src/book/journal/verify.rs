//! Reading everything on disk again and comparing it: the journal with its chain and mark, the second copy with the
//! journal.

use super::Journal;
use super::copy::SecondCopy as _;
use super::frames::{Frame, HEADER_BYTES, Header, link};
use super::mark::{self, HighWater};
use super::mirror::Mirror;
use super::recover::FOLDER;
use crate::book::Revision;
use crate::book::disk::read_all;
use crate::book::error::BookError;
use crate::book::record::Verified;

impl Journal {
    /// Reads the journal again as it lies on disk, through the newest revision there was when it began.
    pub(super) fn verify(&self) -> Result<Verified, BookError> {
        let (segments, water, end) = {
            let state = self.state.read();
            let water = HighWater { revision: state.revision, tally: state.tally, chain: state.chain };
            (state.segments.clone(), water, state.end)
        };
        let mut verified =
            Verified { revision: water.revision, tally: water.tally, chain: water.chain, ..Verified::default() };
        let (mut chain, mut revision) = (super::frames::FIRST_CHAIN, Revision::ZERO);
        for (index, segment) in segments.iter().enumerate() {
            let path = self.directory.join(FOLDER).join(&segment.name);
            // By name, not by the open file: a file that was replaced or taken away is found too.
            let read = self.disk.open(&path).and_then(|file| read_all(file.as_ref()));
            let mut bytes = match read {
                Ok(bytes) => bytes,
                Err(cause) => {
                    verified.findings.push(format!("{FOLDER}/{}: cannot be read: {cause}", segment.name));
                    return Ok(verified);
                }
            };
            if index + 1 == segments.len() {
                // Beyond it, another group may be on its way.
                bytes.truncate(usize::try_from(end).unwrap_or(usize::MAX));
            }
            verified.bytes += bytes.len() as u64;
            let should = Header { first: revision.next(), chain };
            if Header::read(&bytes) != Some(should) {
                verified.findings.push(format!("{FOLDER}/{}: its header is not what was written", segment.name));
                return Ok(verified);
            }
            let mut at = HEADER_BYTES;
            while at < bytes.len() {
                let next = revision.next();
                let frame = bytes.get(at..).and_then(Frame::read);
                let linked =
                    frame.filter(|frame| frame.revision() == Some(next) && link(&chain, frame.body) == frame.chain);
                let Some(frame) = linked else {
                    let what = if frame.is_some() { "does not link to the one before it" } else { "cannot be read" };
                    verified.findings.push(format!("{FOLDER}/{}: the commit of revision {next} {what}", segment.name));
                    return Ok(verified);
                };
                at += frame.size();
                chain = frame.chain;
                revision = next;
            }
        }
        if (revision, chain) != (water.revision, water.chain) {
            let what = format!("{FOLDER}/: ends at revision {revision}; the book is at {}", water.revision);
            verified.findings.push(what);
        }
        self.verify_marks(&mut verified, &water);
        Ok(verified)
    }

    fn verify_marks(&self, verified: &mut Verified, water: &HighWater) {
        let found = match mark::find(self.disk.as_ref(), &self.directory) {
            Ok(found) => found,
            Err(cause) => {
                verified.findings.push(format!("the marks cannot be read: {cause}"));
                return;
            }
        };
        for name in found.unreadable.iter().chain(&found.missing) {
            verified.findings.push(format!("{name}: is not what was written"));
        }
        if let Some(mark) = found.mark
            && mark.revision == water.revision
            && mark != *water
        {
            verified.findings.push("the newest mark is not the journal's".to_owned());
        }
    }
}

/// Compares the second copy with the journal, as far as it has come.
pub(super) fn second_copy(journal: &Journal, mirror: &Mirror, verified: &mut Verified) {
    let compare = || -> Result<Vec<String>, BookError> {
        let mut findings = Vec::new();
        let Some(progress) = mirror.progress()? else {
            return Ok(vec!["does not say how far it has come".to_owned()]);
        };
        let newest = journal.high_water().revision;
        if progress.revision > newest {
            findings.push(format!("is at revision {}, beyond the journal's {newest}", progress.revision));
        }
        for revision in (1..=progress.revision.min(newest).get()).map(Revision::new) {
            match mirror.try_body(revision)? {
                Some(body) if body == journal.body(revision)? => {}
                Some(_) => findings.push(format!("the commit of revision {revision} is not the journal's")),
                None => findings.push(format!("the commit of revision {revision} cannot be read")),
            }
        }
        let (tally, unreadable) = mirror.tally()?;
        findings.extend(unreadable.iter().map(|name| format!("{name} cannot be read")));
        if let Some(recorded) = progress.tally
            && recorded != tally
        {
            findings.push(format!("holds {tally} and recorded {recorded}"));
        }
        Ok(findings)
    };
    verified.second_copy = mirror.newest().unwrap_or_default();
    match compare() {
        Ok(findings) => verified.findings.extend(findings.into_iter().map(|what| format!("store/: {what}"))),
        Err(why) => verified.findings.push(format!("store/: {why}")),
    }
}
