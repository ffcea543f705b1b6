//! What the journal remembers of itself in memory: where each commit lies, who touched a name, which requests came.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use ahash::RandomState;

use super::base::{Base, Seal};
use super::frames::{CHAIN_BYTES, Chain, FIRST_CHAIN, HEAD_BYTES, Header};
use super::mark::HighWater;
use crate::book::disk::DiskFile;
use crate::book::engine::RequestMark;
use crate::book::record::{Name, PastCommit, Record};
use crate::book::{Revision, Tally};

/// One file of the journal.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    pub(super) header: Header,
    pub(super) name: String,
    pub(super) file: Arc<dyn DiskFile>,
}

/// Where a commit lies within its segment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    offset: u32,
    length: u32,
}

/// The journal as far as it is durable.
#[derive(Debug)]
pub(super) struct State {
    /// What came before the first segment.
    pub(super) base: Base,
    /// The seal of the base that is being put in its place.
    pub(super) coming: Option<Seal>,
    /// Oldest first.
    pub(super) segments: Vec<Segment>,
    /// Where the last segment ends.
    pub(super) end: u64,
    pub(super) revision: Revision,
    pub(super) chain: Chain,
    pub(super) tally: Tally,
    /// One a revision, from the one after the base on.
    places: Vec<Place>,
    /// The revisions that changed a name, oldest first.
    touched: HashMap<Name, Vec<Revision>, RandomState>,
    pub(super) requests: HashMap<Arc<str>, RequestMark, RandomState>,
}

impl Default for State {
    fn default() -> Self {
        Self {
            base: Base::default(),
            coming: None,
            segments: Vec::new(),
            end: 0,
            revision: Revision::ZERO,
            chain: FIRST_CHAIN,
            tally: Tally::default(),
            places: Vec::new(),
            touched: HashMap::default(),
            requests: HashMap::default(),
        }
    }
}

impl State {
    /// What it holds, as the marks tell it.
    pub(super) fn high_water(&self) -> HighWater {
        let based = self.base.revision() > Revision::ZERO || self.coming.is_some();
        let seals = based.then(|| [self.base.seal, self.coming.unwrap_or(self.base.seal)]);
        HighWater { revision: self.revision, tally: self.tally, chain: self.chain, seals }
    }

    /// Begins after what a base stands for.
    pub(super) fn begin_at(&mut self, base: Base) {
        (self.base, self.revision, self.chain) = (base, base.revision(), base.chain);
    }

    /// Takes note of the next commit, which lies at an offset of the last segment.
    pub(super) fn enter(&mut self, commit: &PastCommit, chain: Chain, offset: u64, body: usize) {
        // A segment is far shorter than four gibibytes.
        let offset = u32::try_from(offset).unwrap_or(u32::MAX);
        self.places.push(Place { offset, length: u32::try_from(body).unwrap_or(u32::MAX) });
        self.revision = commit.revision;
        self.chain = chain;
        for line in &commit.lines {
            match self.touched.get_mut(&line.name) {
                Some(revisions) => revisions.push(commit.revision),
                None => drop(self.touched.insert(line.name.clone(), vec![commit.revision])),
            }
        }
        if let Some(request) = &commit.request {
            let (id, digest) = (Arc::clone(&request.id), request.digest);
            let mark = RequestMark { id, digest, revision: commit.revision, time: commit.time };
            self.requests.insert(Arc::clone(&request.id), mark);
        }
    }

    /// The segment and the part of it that holds a commit, head and chain left out.
    pub(super) fn place(&self, revision: Revision) -> Option<(&Segment, u64, usize)> {
        let place = self.places.get(self.index(revision)?)?;
        let after = self.segments.partition_point(|segment| segment.header.first <= revision);
        let segment = self.segments.get(after.checked_sub(1)?)?;
        Some((segment, u64::from(place.offset) + HEAD_BYTES as u64, usize::try_from(place.length).ok()?))
    }

    fn index(&self, revision: Revision) -> Option<usize> {
        usize::try_from(revision.get().checked_sub(self.base.revision().next().get())?).ok()
    }

    /// The last revision of each segment but the one that is being written.
    pub(super) fn ends(&self) -> impl Iterator<Item = Revision> {
        self.segments.iter().skip(1).map(|next| Revision::new(next.header.first.get().saturating_sub(1)))
    }

    /// The chain after the last revision of a segment.
    pub(super) fn chain_after(&self, end: Revision) -> Option<Chain> {
        self.segments.iter().find(|segment| segment.header.first == end.next()).map(|segment| segment.header.chain)
    }

    /// About how many bytes the segments take that end no later than a revision.
    pub(super) fn bytes_through(&self, end: Revision) -> u64 {
        let count = self.index(end.next()).unwrap_or(0);
        let each = |place: &Place| u64::from(place.length) + (HEAD_BYTES + CHAIN_BYTES) as u64;
        self.places.iter().take(count).map(each).sum()
    }

    /// Forgets what a base stands for from now on; returns the names of the segments that nobody needs any more.
    pub(super) fn let_go(&mut self, base: Base) -> Vec<String> {
        let gone = self.index(base.revision().next()).unwrap_or(0).min(self.places.len());
        self.places.drain(..gone);
        self.places.shrink_to_fit();
        self.touched.retain(|_, revisions| {
            let old = revisions.partition_point(|revision| *revision <= base.revision());
            revisions.drain(..old);
            !revisions.is_empty()
        });
        let old = self.segments.partition_point(|segment| segment.header.first <= base.revision());
        (self.base, self.coming) = (base, None);
        self.segments.drain(..old).map(|segment| segment.name).collect()
    }

    /// The names that any of these revisions changed, in order, at most so many of them.
    pub(super) fn names_of(&self, revisions: &BTreeSet<Revision>, most: usize) -> Vec<String> {
        let hit = |all: &[Revision]| all.iter().any(|revision| revisions.contains(revision));
        let mut names: Vec<String> =
            self.touched.iter().filter(|(_, all)| hit(all)).map(|(name, _)| name.to_string()).collect();
        names.sort();
        names.truncate(most);
        names
    }

    /// The revisions that changed a name, oldest first.
    pub(super) fn touched(&self, name: &str) -> &[Revision] {
        self.touched.get(name).map_or(&[], Vec::as_slice)
    }

    /// Keeps only as many requests as are remembered, and none older than the newest by more than an age.
    pub(super) fn trim_requests(&mut self, most: usize, age_micros: i64) -> Vec<RequestMark> {
        let mut marks: Vec<RequestMark> = self.requests.values().cloned().collect();
        marks.sort_by_key(|mark| mark.revision);
        let newest = marks.iter().map(|mark| mark.time.micros()).max().unwrap_or_default();
        let extra = marks.len().saturating_sub(most);
        marks.drain(..extra);
        marks.retain(|mark| newest.saturating_sub(mark.time.micros()) <= age_micros);
        self.requests = marks.iter().map(|mark| (Arc::clone(&mark.id), mark.clone())).collect();
        marks
    }
}

/// The current entries while the journal is read.
pub(super) type Entries = HashMap<Name, Arc<Record>, RandomState>;

/// Applies a commit to the entries.
pub(super) fn apply(entries: &mut Entries, commit: PastCommit) {
    for line in commit.lines {
        match line.record {
            Some(record) => drop(entries.insert(line.name, record)),
            None => drop(entries.remove(&line.name)),
        }
    }
}

/// Counts and digests many records on as many threads as there are processors.
pub(super) fn tally_of(records: &[Arc<Record>]) -> Tally {
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = records.len().div_ceil(threads).max(4_096);
    let count = |records: &[Arc<Record>]| {
        let mut tally = Tally::default();
        records.iter().for_each(|record| tally.add(record));
        tally
    };
    if records.len() <= share {
        return count(records);
    }
    std::thread::scope(|scope| {
        let parts: Vec<_> =
            records.chunks(share).map(|records| (records, scope.spawn(move || count(records)))).collect();
        // A thread that ended early is not trusted with its share.
        parts
            .into_iter()
            .map(|(records, part)| part.join().unwrap_or_else(|_| count(records)))
            .fold(Tally::default(), Tally::plus)
    })
}
