//! Old commits go, on any disk and under any kill: what is kept is whole, and what went is in the base.

use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Command, Stdio};

use super::super::base;
use super::*;
use crate::book::disk::SystemDisk;

/// As little of the past as may be kept, in small files.
pub(super) fn bounds() -> Bounds {
    let none = std::time::Duration::ZERO;
    Bounds { segment_bytes: 2_000, history_commits: 6, history_age: none, request_age: none, ..Bounds::default() }
}

pub(super) fn later() -> Moment {
    Moment::from_micros(i64::MAX)
}

/// What is kept is what the model says, what went is its entries at the horizon, and the horizon is told.
fn compare(opened: &OpenedJournal, model: &Model) {
    let OpenedJournal { journal, loaded, .. } = opened;
    assert_eq!((loaded.revision, loaded.tally), (model.revision(), model.tally()));
    let mut records = loaded.records.clone();
    records.sort_by(|a, b| a.name.cmp(&b.name));
    assert_eq!(records, model.entries().into_values().collect::<Vec<_>>());
    kept(journal, model);
}

fn kept(journal: &Journal, model: &Model) {
    let base = journal.base();
    let horizon = usize::try_from(base.revision().get()).unwrap();
    let past = Model { commits: model.commits[..horizon].to_vec() };
    let mut entries = Vec::new();
    let condensed = journal.old_entries(&mut |record| {
        entries.push(Arc::new(record));
        Ok(())
    });
    assert_eq!(condensed.unwrap(), base);
    entries.sort_by(|a, b| a.name.cmp(&b.name));
    assert_eq!(entries, past.entries().into_values().collect::<Vec<_>>());
    assert_eq!(base.tally, past.tally());
    assert_eq!(base.horizon.time, past.commits.last().map_or(Moment::default(), |commit| commit.time));
    for after in 0..=model.commits.len() {
        let after = Revision::new(after as u64);
        let span = Span { after, through: Revision::new(u64::MAX), limit: usize::MAX, bytes: usize::MAX };
        match journal.commits(span) {
            Ok(commits) => {
                assert!(after >= base.revision());
                assert_eq!(commits, model.commits[usize::try_from(after.get()).unwrap()..]);
            }
            Err(BookError::RevisionGone { oldest, .. }) => {
                assert!(after < base.revision());
                assert_eq!(oldest, base.revision());
            }
            Err(other) => panic!("{other}"),
        }
    }
    let newest = |name: &Name| {
        let steps =
            model.commits[horizon..].iter().rev().filter(|commit| commit.lines.iter().any(|it| it.name == *name));
        steps.map(|commit| commit.revision).collect::<Vec<_>>()
    };
    for name in model.entries().keys() {
        let span = Span { after: Revision::ZERO, through: Revision::new(u64::MAX), limit: 999, bytes: usize::MAX };
        let steps = journal.history(name, span).unwrap();
        assert_eq!(steps.iter().map(|step| step.revision).collect::<Vec<_>>(), newest(name));
    }
    let read = journal.read_again(None).unwrap();
    assert!(read.segments.is_empty() && read.marks.is_empty() && read.bases.is_empty());
}

fn without_requests(model: &Model, rng: &mut StdRng) -> Arc<PastCommit> {
    Arc::new(PastCommit { request: None, ..PastCommit::clone(&model.next(rng)) })
}

/// Returns how often something went.
fn run(seed: u64) -> usize {
    let mut rng = StdRng::seed_from_u64(seed);
    let simulated = SimulatedDisk::new(seed ^ 0x5eed);
    let disk: Arc<dyn Disk> = Arc::new(simulated.clone());
    let directory = Path::new("/book");
    let mut model = Model::default();
    let mut uncertain: Vec<Arc<PastCommit>> = Vec::new();
    let mut went = 0;
    for _ in 0..rng.random_range(2..7) {
        if rng.random_bool(0.5) {
            let how = if rng.random_bool(0.5) { Refusal::Broken } else { Refusal::Full };
            simulated.refuse(rng.random_range(1..200), how);
        }
        let mut opened = Journal::open(Arc::clone(&disk), directory, &NoCopy, &bounds());
        if opened.is_err() && simulated.has_refused() {
            simulated.refuse_nothing();
            if rng.random_bool(0.5) {
                simulated.lose_power();
            }
            opened = Journal::open(Arc::clone(&disk), directory, &NoCopy, &bounds());
        }
        let opened = opened.unwrap_or_else(|refused| panic!("the book does not open: {refused}"));
        let more = usize::try_from(opened.loaded.revision.get()).unwrap().checked_sub(model.commits.len());
        let more = more.expect("acknowledged commits are lost");
        model.commits.extend(uncertain.drain(..).take(more));
        simulated.refuse_nothing();
        compare(&opened, &model);
        let armed = rng.random_bool(0.6);
        if armed {
            let how = if rng.random_bool(0.5) { Refusal::Broken } else { Refusal::Full };
            simulated.refuse(rng.random_range(1..150), how);
        }
        for _ in 0..rng.random_range(0..30) {
            let mut ahead = model.clone();
            let mut group = Vec::new();
            for _ in 0..rng.random_range(1..4) {
                let commit = without_requests(&ahead, &mut rng);
                ahead.commits.push(Arc::clone(&commit));
                group.push(commit);
            }
            match opened.journal.append(&Group { commits: &group, forgotten: &[], tally: ahead.tally() }) {
                Ok(()) => model = ahead,
                Err(Failed::NoRoom { .. }) => {}
                Err(Failed::Broken { .. }) => {
                    uncertain = group;
                    break;
                }
            }
            if rng.random_bool(0.3) {
                let copied = Revision::new(rng.random_range(0..=model.revision().get()));
                let before = opened.journal.base().revision();
                match opened.journal.let_go(later(), copied) {
                    Ok(Some(horizon)) => {
                        went += 1;
                        assert!(horizon.revision > before && horizon.revision <= copied);
                        assert!(horizon.revision.get() + bounds().history_commits <= model.revision().get());
                        if !armed && rng.random_bool(0.3) {
                            kept(&opened.journal, &model);
                        }
                    }
                    Ok(None) => {}
                    // It is tried again later, and takes nothing away before it has succeeded.
                    Err(_) => assert!(simulated.has_refused()),
                }
            }
            if rng.random_bool(0.2) && opened.journal.sync_mark().is_err() {
                break;
            }
        }
        simulated.refuse_nothing();
        if rng.random_bool(0.8) {
            simulated.lose_power();
        }
    }
    went
}

#[test]
fn what_was_acknowledged_survives_any_disk_when_old_commits_go() {
    let seeds = match number("BAYBOOK_SEED") {
        Some(seed) => seed..seed + 1,
        None => 0..number("BAYBOOK_SEEDS").unwrap_or(SEEDS),
    };
    let all = seeds.end - seeds.start;
    let mut went = 0;
    for seed in seeds {
        match catch_unwind(AssertUnwindSafe(|| run(seed))) {
            Ok(times) => went += times,
            Err(panic) => {
                eprintln!(
                    "replay with: BAYBOOK_SEED={seed} cargo test -p baybook-server --lib \
                     what_was_acknowledged_survives_any_disk_when_old_commits_go"
                );
                std::panic::resume_unwind(panic);
            }
        }
    }
    eprintln!("commits went {went} times");
    assert!(all < 50 || went as u64 > all, "the seeds were good for something: {went}");
}

fn append(journal: &Journal, model: &mut Model, commit: Arc<PastCommit>) {
    model.commits.push(Arc::clone(&commit));
    journal.append(&Group { commits: &[commit], forgotten: &[], tally: model.tally() }).unwrap();
}

/// A commit of a book whose history is one rule, so that another process knows it too.
fn ruled(model: &Model) -> Arc<PastCommit> {
    without_requests(model, &mut StdRng::seed_from_u64(model.revision().get()))
}

pub(super) fn go_on(journal: &Journal, model: &mut Model) {
    let next = ruled(model);
    append(journal, model, next);
}

#[test]
fn what_is_young_or_among_the_last_or_answers_a_request_stays() {
    let disk: Arc<dyn Disk> = Arc::new(SimulatedDisk::new(3));
    let bounds = Bounds {
        segment_bytes: 500,
        history_commits: 10,
        history_age: std::time::Duration::from_micros(20),
        ..Bounds::default()
    };
    let journal = Journal::open(disk, Path::new("/book"), &NoCopy, &bounds).unwrap().journal;
    let mut model = Model::default();
    let all = |model: &Model| model.revision();
    while model.commits.len() < 15 {
        go_on(&journal, &mut model);
    }
    // Followed by many, and younger than 20 µs: a commit's time is its number.
    assert_eq!(journal.let_go(later(), all(&model)).unwrap(), None);
    while model.commits.len() < 40 {
        go_on(&journal, &mut model);
    }
    // A clock that stands still makes nothing old.
    assert_eq!(journal.let_go(Moment::from_micros(5), all(&model)).unwrap(), None);
    // The second copy must have come so far.
    assert_eq!(journal.let_go(later(), Revision::ZERO).unwrap(), None);
    let horizon = journal.let_go(later(), all(&model)).unwrap().unwrap();
    assert!(horizon.revision <= Revision::new(20) && horizon.revision >= Revision::new(12), "{horizon:?}");
    kept(&journal, &model);
    // A request that is remembered holds its commit, and all after it.
    let request = Request { id: "r".into(), digest: [1; 32], answer: Bytes::new() };
    let asked = Arc::new(PastCommit { request: Some(request), ..PastCommit::clone(&ruled(&model)) });
    let held = asked.revision;
    append(&journal, &mut model, asked);
    while model.commits.len() < 120 {
        go_on(&journal, &mut model);
        let moved = journal.let_go(later(), all(&model)).unwrap();
        assert!(moved.is_none_or(|horizon| horizon.revision < held));
    }
    assert!(journal.answer("r").unwrap().is_some());
    kept(&journal, &model);
}

#[test]
fn either_file_of_the_base_is_mended_from_the_other() {
    let directory = tempfile::tempdir().unwrap();
    let disk: Arc<dyn Disk> = Arc::new(SystemDisk);
    let open = || Journal::open(Arc::clone(&disk), directory.path(), &NoCopy, &bounds());
    let mut model = Model::default();
    let journal = open().unwrap().journal;
    while journal.let_go(later(), model.revision()).unwrap().is_none() {
        go_on(&journal, &mut model);
    }
    let paths = base::NAMES.map(|name| directory.path().join(FOLDER).join(name));
    let whole = std::fs::read(&paths[0]).unwrap();
    assert_eq!(std::fs::read(&paths[1]).unwrap(), whole);
    for path in &paths {
        // While it is open, and at the next start.
        std::fs::write(path, &whole[..whole.len() / 2]).unwrap();
        let verified = journal.verify_and_mend(None, &NoCopy).unwrap();
        assert!(verified.damages.len() == 1 && verified.damages[0].mended, "{:?}", verified.damages);
        assert_eq!(std::fs::read(path).unwrap(), whole);
        std::fs::remove_file(path).unwrap();
        let opened = open().unwrap();
        assert_eq!(opened.mended.len(), 1);
        compare(&opened, &model);
    }
    for path in &paths {
        std::fs::write(path, b"nothing of it").unwrap();
    }
    let refused = open().unwrap_err();
    assert!(matches!(&refused, BookError::Damaged { what, .. } if what.contains("cannot be had")), "{refused}");
}

/// Names the directory to the process that is going to be killed.
const VICTIM: &str = "BAYBOOK_TEST_LETTING_GO";

/// Writes and lets go until it is killed; does nothing in an ordinary test run.
#[test]
fn victim() {
    let Ok(directory) = std::env::var(VICTIM) else { return };
    let opened = Journal::open(Arc::new(SystemDisk), Path::new(&directory), &NoCopy, &bounds()).unwrap();
    let mut model = Model::default();
    while model.revision() < opened.loaded.revision {
        model.commits.push(ruled(&model));
    }
    loop {
        go_on(&opened.journal, &mut model);
        std::io::stdout().lock().write_all(format!("ack {}\n", model.revision()).as_bytes()).unwrap();
        if model.commits.len() % 4 == 0 {
            opened.journal.let_go(later(), model.revision()).unwrap();
        }
    }
}

#[test]
fn a_process_that_lets_go_may_be_killed_at_any_moment() {
    let directory = tempfile::tempdir().unwrap();
    let (mut model, mut horizons) = (Model::default(), std::collections::BTreeSet::new());
    for round in 0..12_u64 {
        let mut victim = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "book::journal::tests::letting_go::victim", "--nocapture"])
            .env(VICTIM, directory.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = BufReader::new(victim.stdout.take().unwrap());
        let reader = std::thread::spawn(move || {
            let acks = out.lines().map_while(Result::ok);
            acks.filter_map(|line| line.split_once("ack ")?.1.parse::<u64>().ok()).last().unwrap_or(0)
        });
        std::thread::sleep(std::time::Duration::from_millis(60 + round * 41 % 200));
        victim.kill().unwrap();
        victim.wait().unwrap();
        let told = reader.join().unwrap();
        let opened = Journal::open(Arc::new(SystemDisk), directory.path(), &NoCopy, &bounds()).unwrap();
        assert!(opened.loaded.revision.get() >= told, "told of {told}, found {}", opened.loaded.revision);
        while model.revision() < opened.loaded.revision {
            model.commits.push(ruled(&model));
        }
        compare(&opened, &model);
        horizons.insert(opened.journal.base().revision());
    }
    assert!(horizons.len() > 3, "the rounds were long enough to mean something: {horizons:?}");
}
