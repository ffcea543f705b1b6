//! Reading everything on disk again and comparing it: the journal with its chain and mark, the second copy with the
//! journal.

use std::collections::BTreeSet;
use std::sync::atomic::Ordering;

use super::Journal;
use super::base;
use super::copy::SecondCopy as _;
use super::frames::{Chain, Frame, HEADER_BYTES, Header, link, salvage};
use super::mark::{self, HighWater};
use super::mirror::Mirror;
use super::recover::FOLDER;
use super::state::Segment;
use crate::book::Revision;
use crate::book::disk::read_all;
use crate::book::error::BookError;
use crate::book::record::{Damage, Known, Verified};

/// How many names a damage lists.
const NAMES: usize = 1_000;

/// What was found of the journal.
pub(super) struct Findings {
    /// What everything comes to, without the damages.
    pub(super) verified: Verified,
    /// Files of the journal that are not as they were written, by name.
    pub(super) segments: Vec<(String, Damage)>,
    /// Marks that are not as they were written.
    pub(super) marks: Vec<Damage>,
    /// Files of the base that are not as they were written, by name.
    pub(super) bases: Vec<(&'static str, Damage)>,
    /// Commits that are whole and are not those whose chain was kept.
    pub(super) foreign: Option<Damage>,
}

/// Where a segment ends: what the next one, or the book itself, says of it.
struct End {
    revision: Revision,
    chain: Chain,
    /// Where the last segment ends; beyond it, another group may be on its way.
    bytes: Option<u64>,
}

impl Journal {
    /// Reads the journal again as it lies on disk, through the newest revision there was when it began.
    pub(super) fn read_again(&self, known: Option<Known>) -> Result<Findings, BookError> {
        let (segments, water, end) = {
            let state = self.state.read();
            (state.segments.clone(), state.high_water(), state.end)
        };
        let verified =
            Verified { revision: water.revision, tally: water.tally, chain: water.chain, ..Verified::default() };
        let mut findings =
            Findings { verified, segments: Vec::new(), marks: Vec::new(), bases: Vec::new(), foreign: None };
        let base = self.base();
        let mut met = known.is_none_or(|known| {
            known.revision == Revision::ZERO || (known.revision, known.chain) == (base.revision(), base.chain)
        });
        for name in base::NAMES.into_iter().filter(|_| base.revision() > Revision::ZERO) {
            let mut tally = crate::book::Tally::default();
            let found = base::find(self.disk.as_ref(), &self.directory.join(FOLDER), name, |record| {
                tally.add(&record);
                Ok(())
            });
            if !matches!(found, Ok(base::Found::Whole(found)) if found == base) || tally != base.tally {
                let what = format!("{FOLDER}/{name}: is not what was written");
                findings.bases.push((name, Damage { what, names: Vec::new(), mended: false, next: String::new() }));
            }
        }
        for (index, segment) in segments.iter().enumerate() {
            let end = match segments.get(index + 1) {
                Some(next) => End {
                    revision: Revision::new(next.header.first.get().saturating_sub(1)),
                    chain: next.header.chain,
                    bytes: None,
                },
                None => End { revision: water.revision, chain: water.chain, bytes: Some(end) },
            };
            let mut agrees = |revision, chain: &Chain| {
                if let Some(known) = known.filter(|known| known.revision == revision) {
                    met = known.chain == *chain;
                }
            };
            if let Some(damage) = self.segment_again(segment, &end, &mut findings.verified.bytes, &mut agrees)? {
                findings.segments.push((segment.name.clone(), damage));
            }
        }
        if let Some(known) = known.filter(|_| !met) {
            findings.foreign = Some(foreign(known, base.revision(), water.revision));
        }
        findings.marks = self.marks_again(&water);
        Ok(findings)
    }

    /// Reads one segment again: what is wrong with it, and which entries that touches.
    fn segment_again(
        &self,
        segment: &Segment,
        end: &End,
        read: &mut u64,
        seen: &mut dyn FnMut(Revision, &Chain),
    ) -> Result<Option<Damage>, BookError> {
        let name = &segment.name;
        let (before, mut chain) = (Revision::new(segment.header.first.get().saturating_sub(1)), segment.header.chain);
        let mut revision = before;
        // By name, not by the open file: a file that was replaced or taken away is found too.
        let path = self.directory.join(FOLDER).join(name);
        let mut bytes = match self.disk.open(&path).and_then(|file| read_all(file.as_ref())) {
            Ok(bytes) => bytes,
            Err(cause) => {
                let what = format!("{FOLDER}/{name}: cannot be read: {cause}");
                return Ok(Some(self.damage(what, &[], before, end.revision)));
            }
        };
        if let Some(end) = end.bytes {
            bytes.truncate(usize::try_from(end).unwrap_or(usize::MAX));
        }
        *read += bytes.len() as u64;
        if Header::read(&bytes) != Some(segment.header) {
            let what = format!("{FOLDER}/{name}: its header is not what was written");
            return Ok(Some(self.damage(what, &bytes, before, before)));
        }
        let mut at = HEADER_BYTES;
        while at < bytes.len() {
            if self.closing.load(Ordering::Relaxed) {
                return Err(BookError::Closed);
            }
            let next = revision.next();
            let frame = bytes.get(at..).and_then(Frame::read);
            let linked = frame.filter(|it| it.revision() == Some(next) && link(&chain, it.body) == it.chain);
            let Some(frame) = linked else {
                let what = if frame.is_some() { "does not link to the one before it" } else { "cannot be read" };
                let what = format!("{FOLDER}/{name}: the commit of revision {next} {what}");
                return Ok(Some(self.damage(what, bytes.get(at + 1..).unwrap_or_default(), revision, end.revision)));
            };
            at += frame.size();
            chain = frame.chain;
            revision = next;
            seen(revision, &chain);
        }
        if revision != end.revision {
            let what = format!("{FOLDER}/{name}: ends at revision {revision}; it was written through {}", end.revision);
            return Ok(Some(self.damage(what, &[], revision, end.revision)));
        }
        if chain != end.chain {
            let what = format!("{FOLDER}/{name}: its commits are not those that were written");
            return Ok(Some(self.damage(what, &[], before, end.revision)));
        }
        Ok(None)
    }

    /// A damage to a segment: it touches what no whole commit is left of, after one revision and through another.
    fn damage(&self, what: String, rest: &[u8], after: Revision, through: Revision) -> Damage {
        let whole: BTreeSet<Revision> = salvage(rest).iter().filter_map(|(_, frame)| frame.revision()).collect();
        let lost: BTreeSet<Revision> =
            (after.next().get()..=through.get()).map(Revision::new).filter(|it| !whole.contains(it)).collect();
        Damage { what, names: self.state.read().names_of(&lost, NAMES), mended: false, next: String::new() }
    }

    fn marks_again(&self, water: &HighWater) -> Vec<Damage> {
        let damage = |what: String| Damage { what, names: Vec::new(), mended: false, next: String::new() };
        let found = match mark::find(self.disk.as_ref(), &self.directory) {
            Ok(found) => found,
            Err(cause) => return vec![damage(format!("the marks cannot be read: {cause}"))],
        };
        let broken = found.unreadable.iter().chain(&found.missing);
        let mut damages: Vec<Damage> = broken.map(|name| damage(format!("{name}: is not what was written"))).collect();
        if let Some(mark) = found.mark
            && ((mark.revision == water.revision && (mark.tally, mark.chain) != (water.tally, water.chain))
                || !mark.vouches_for(&self.base()))
        {
            damages.push(damage("the newest mark is not the journal's".to_owned()));
        }
        damages
    }
}

fn foreign(known: Known, base: Revision, newest: Revision) -> Damage {
    if known.revision < base {
        let what = format!(
            "the chain that was kept is of revision {}, and commits through {base} were let go of: it cannot be compared",
            known.revision
        );
        let next = "keep the chain of a newer verification: baybook verify".to_owned();
        return Damage { what, names: Vec::new(), mended: false, next };
    }
    let what = if known.revision > newest {
        format!("the book ends at revision {newest}, before revision {}, whose chain was kept", known.revision)
    } else {
        format!("the commits through revision {} are not those whose chain was kept", known.revision)
    };
    let next = "compare with a backup of that time: baybook restore BACKUP --data OTHER-DIRECTORY, then baybook book \
                history NAME --data OTHER-DIRECTORY";
    Damage { what, names: Vec::new(), mended: false, next: next.to_owned() }
}

/// Compares the second copy with the journal, as far as it has come. What differs is begun anew.
pub(super) fn second_copy(journal: &Journal, mirror: &Mirror, verified: &mut Verified) {
    let compare = || -> Result<Vec<String>, BookError> {
        let mut findings = Vec::new();
        let Some(progress) = mirror.progress()? else {
            return Ok(vec!["does not say how far it has come".to_owned()]);
        };
        let water = journal.high_water();
        let newest = water.revision;
        if let Some(recorded) = progress.tally.filter(|it| progress.revision == newest && *it != water.tally) {
            findings.push(format!("came to {recorded} where the journal comes to {}", water.tally));
        }
        if progress.revision > newest {
            findings.push(format!("is at revision {}, beyond the journal's {newest}", progress.revision));
        }
        let base = journal.base().revision();
        for revision in (base.next().get()..=progress.revision.min(newest).get()).map(Revision::new) {
            if journal.closing.load(Ordering::Relaxed) {
                return Ok(findings);
            }
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
    let findings = compare().unwrap_or_else(|why| vec![why.to_string()]);
    let lost = mirror.is_without_answer();
    let next = if lost {
        "the journal is whole; restart the service: it begins the second copy anew".to_owned()
    } else {
        super::mend::looked_after("the second copy is being written anew from the journal")
    };
    verified.damages.extend(findings.into_iter().map(|what| Damage {
        what: format!("store/: {what}"),
        names: Vec::new(),
        mended: !lost,
        next: next.clone(),
    }));
}
