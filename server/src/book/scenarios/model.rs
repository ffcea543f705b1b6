//! Random commits against a model that is nothing but a sorted map.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

const NAMES: [&str; 5] = ["bolts/a", "nuts/a", "nuts/b", "nuts/c", "vehicles/van-7"];

#[derive(Clone, Debug)]
enum Step {
    Commit { wants: Vec<(usize, Want)>, puts: Puts, request: Option<u8> },
    Pin,
    Unpin,
    Reopen,
}

#[derive(Clone, Copy, Debug)]
enum Want {
    Any,
    Absent,
    Present,
    Current,
    Stale,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let which = 0..NAMES.len();
    let wants =
        prop_oneof![Just(Want::Any), Just(Want::Absent), Just(Want::Present), Just(Want::Current), Just(Want::Stale)];
    let wants = prop::collection::vec((which.clone(), wants), 0..3);
    let puts = prop::collection::btree_map(which, prop::option::weighted(0.8, any::<u8>()), 0..4);
    let commit = (wants, puts, prop::option::weighted(0.3, 0..6_u8)).prop_map(|(wants, puts, request)| Step::Commit {
        wants,
        puts: puts.into_iter().collect(),
        request,
    });
    prop::collection::vec(
        prop_oneof![20 => commit, 2 => Just(Step::Pin), 2 => Just(Step::Unpin), 1 => Just(Step::Reopen)],
        1..40,
    )
}

/// Which names a commit puts (or removes), by their place in [`NAMES`].
type Puts = Vec<(usize, Option<u8>)>;

type Entries = BTreeMap<&'static str, (u64, Vec<u8>)>;

#[derive(Default)]
struct Model {
    revision: u64,
    entries: Entries,
    requests: BTreeMap<u8, (u64, Puts)>,
    /// The entries after each revision.
    past: Vec<Entries>,
}

fn digest_of(puts: &[(usize, Option<u8>)]) -> [u8; 32] {
    use sha2::Digest as _;
    sha2::Sha256::digest(format!("{puts:?}")).into()
}

impl Model {
    fn expect(&self, which: usize, want: Want) -> Expect {
        let current = self.entries.get(NAMES[which]).map_or(0, |(revision, _)| *revision);
        match want {
            Want::Any => Expect::Any,
            Want::Absent => Expect::Absent,
            Want::Present => Expect::Present,
            Want::Current => Expect::At(revision(current)),
            Want::Stale => Expect::At(revision(current + 1)),
        }
    }

    /// What the book must answer: the revision and whether it is a replay, or the names that do not fit.
    fn commit(
        &mut self,
        step: &Commit,
        puts: &[(usize, Option<u8>)],
        request: Option<u8>,
    ) -> Result<(u64, bool), BookError> {
        if let Some((first, content)) = request.and_then(|id| self.requests.get(&id)) {
            if content == puts {
                return Ok((*first, true));
            }
            return Err(BookError::RequestReused {
                id: format!("{}", request.unwrap()).into(),
                revision: revision(*first),
            });
        }
        let current = |name: &str| self.entries.get(name).map(|(at, _)| revision(*at));
        let mut unmet = Vec::new();
        for Precondition { name, expect } in &step.preconditions {
            let fits = match (expect, current(name)) {
                (Expect::Any, _) | (Expect::Absent, None) | (Expect::Present, Some(_)) => true,
                (Expect::At(at), Some(current)) => *at == current,
                _ => false,
            };
            if !fits {
                unmet.push(name.to_string());
            }
        }
        for (which, value) in puts {
            if value.is_none() && current(NAMES[*which]).is_none() && !unmet.contains(&NAMES[*which].to_owned()) {
                unmet.push(NAMES[*which].to_owned());
            }
        }
        if !unmet.is_empty() {
            let unmet =
                unmet.iter().map(|text| Unmet { name: name(text), expect: Expect::Any, current: current(text) });
            return Err(BookError::Precondition { unmet: unmet.collect() });
        }
        if puts.is_empty() && request.is_none() {
            return Ok((self.revision, false));
        }
        self.revision += 1;
        for (which, value) in puts {
            match value {
                Some(value) => self.entries.insert(NAMES[*which], (self.revision, vec![*value])),
                None => self.entries.remove(NAMES[*which]),
            };
        }
        if let Some(id) = request {
            self.requests.insert(id, (self.revision, puts.to_vec()));
        }
        self.past.push(self.entries.clone());
        Ok((self.revision, false))
    }
}

fn shown(page: &Page) -> Vec<(&str, u64, Vec<u8>)> {
    page.records.iter().map(|record| (record.name.as_str(), record.revision.get(), record.value.to_vec())).collect()
}

fn kept(entries: &Entries) -> Vec<(&str, u64, Vec<u8>)> {
    entries.iter().map(|(name, (at, value))| (*name, *at, value.clone())).collect()
}

/// Which expectation is reported is judged by the scenarios; here the set of names and their revisions counts.
fn plain(result: Result<Committed, BookError>) -> Result<(u64, bool), BookError> {
    match result {
        Ok(committed) => Ok((committed.revision.get(), committed.replayed.is_some())),
        Err(BookError::Precondition { unmet }) => {
            let unmet = unmet.into_iter().map(|one| Unmet { expect: Expect::Any, ..one }).collect();
            Err(BookError::Precondition { unmet })
        }
        Err(other) => Err(other),
    }
}

async fn run(steps: Vec<Step>, directory: Option<&std::path::Path>) {
    let open = || match directory {
        Some(directory) => LocalBook::open(directory, Bounds::default()).unwrap(),
        None => LocalBook::in_memory(Bounds::default()).unwrap(),
    };
    let mut book = open();
    let mut model = Model::default();
    let mut pins: Vec<(Snapshot, Entries)> = Vec::new();
    for step in steps {
        match step {
            Step::Commit { wants, puts, request } => {
                let preconditions =
                    wants.iter().map(|(which, expect)| want(NAMES[*which], model.expect(*which, *expect))).collect();
                let edits = puts.iter().map(|(which, value)| match value {
                    Some(value) => Change::Put { name: name(NAMES[*which]), value: Bytes::copy_from_slice(&[*value]) },
                    None => remove(NAMES[*which]),
                });
                let key = request.map(|id| Request {
                    id: id.to_string().into(),
                    digest: digest_of(&puts),
                    answer: Bytes::copy_from_slice(&[id]),
                });
                let commit = Commit { preconditions, request: key, ..changes(edits) };
                let expected = model.commit(&commit, &puts, request);
                assert_eq!(plain(book.commit(commit).await), expected);
            }
            Step::Pin => pins.push((book.snapshot(), model.entries.clone())),
            Step::Unpin => drop(pins.pop()),
            Step::Reopen if directory.is_some() => {
                pins.clear();
                drop(book);
                book = open();
            }
            Step::Reopen => {}
        }
        assert_eq!(book.revision().get(), model.revision);
        assert_eq!(shown(&book.scan("", None, 100, None).unwrap()), kept(&model.entries));
        for text in NAMES {
            assert_eq!(book.get(text).map(|record| record.revision.get()), model.entries.get(text).map(|(at, _)| *at));
        }
    }
    for (pin, entries) in &pins {
        assert_eq!(shown(&pin.scan("", None, 100)), kept(entries));
    }
    for (at, entries) in (1..).zip(&model.past) {
        if let Ok(view) = book.snapshot_at(revision(at)) {
            assert_eq!(shown(&view.scan("", None, 100)), kept(entries));
        }
    }
    assert_eq!(book.tally().entries(), model.entries.len() as u64);
    replay(&book, &model).await;
}

/// The feed and the histories, applied to nothing, give the entries after each revision.
async fn replay(book: &LocalBook, model: &Model) {
    let commits = book.changes_since(Revision::ZERO, 1_000).await.unwrap();
    assert_eq!(commits.len(), model.past.len());
    let mut entries = BTreeMap::new();
    for (commit, expected) in commits.iter().zip(&model.past) {
        for line in &commit.lines {
            let previous = entries.get(line.name.as_str()).map(|(at, _): &(u64, Vec<u8>)| revision(*at));
            assert_eq!(line.previous, previous);
            match &line.record {
                Some(record) => entries.insert(line.name.to_string(), (record.revision.get(), record.value.to_vec())),
                None => entries.remove(line.name.as_str()),
            };
        }
        let now: Vec<_> = entries.iter().map(|(name, (at, value))| (name.as_str(), *at, value.clone())).collect();
        assert_eq!(now, kept(expected));
    }
    for text in NAMES {
        let past = book.history(name(text), None, 1_000).await.unwrap();
        let touched: Vec<_> =
            commits.iter().rev().filter(|commit| commit.lines.iter().any(|line| line.name.as_str() == text)).collect();
        assert_eq!(past.len(), touched.len());
        for (step, commit) in past.iter().zip(touched) {
            assert_eq!(step.revision, commit.revision);
        }
    }
}

fn block_on(work: impl Future<Output = ()>) {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(work);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]
    #[test]
    fn the_book_in_memory_is_a_sorted_map(steps in steps()) {
        block_on(run(steps, None));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(40) })]
    #[test]
    fn the_book_on_disk_is_a_sorted_map(steps in steps()) {
        let directory = tempfile::tempdir().unwrap();
        block_on(run(steps, Some(directory.path())));
    }
}
