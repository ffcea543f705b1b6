//! Journal files that nobody wrote.

use rand::Rng as _;

use super::base;
use super::frames::{FIRST_CHAIN, Frame, Header, link, salvage};
use crate::book::frame;
use crate::book::horizon::Horizon;
use crate::book::record::{Line, Moment, Name, PastCommit, Record, Request, Revision};

use crate::fuzz::{mutate, run};

fn commit(number: u64) -> PastCommit {
    let name = Name::new(&format!("bolts/m{number}")).unwrap();
    let (revision, time) = (Revision::new(number), Moment::from_micros(1_700_000_000_000_000));
    let record = Record {
        name: name.clone(),
        value: vec![7; number as usize * 9].into(),
        revision,
        time,
        author: "Ines".into(),
        created: revision,
        created_time: time,
    };
    let removed = Line { name: Name::new("nuts/old").unwrap(), previous: Some(Revision::new(1)), record: None };
    let put = Line { name, previous: None, record: Some(std::sync::Arc::new(record)) };
    let request =
        number.is_multiple_of(2).then(|| Request { id: "one".into(), digest: [3; 32], answer: vec![1, 2].into() });
    PastCommit { revision, time, author: "Ines".into(), lines: vec![put, removed], request }
}

fn bodies() -> Vec<Vec<u8>> {
    (1..6).map(|number| frame::write_commit(&frame::commit_key(Revision::new(number)), &commit(number))).collect()
}

fn segment() -> Vec<u8> {
    let mut bytes = Header { first: Revision::new(1), chain: FIRST_CHAIN }.write();
    let mut chain = FIRST_CHAIN;
    for body in bodies() {
        chain = link(&chain, &body);
        Frame { durable: Revision::ZERO, body: &body, chain }.write(&mut bytes);
    }
    bytes
}

#[test]
fn fuzz_journal_frames() {
    let segment = segment();
    assert_eq!(salvage(&segment).len(), 5, "what is whole is found");
    let corpus = [segment];
    run("journal frames", |dice| {
        let bytes = mutate(dice, &corpus, &["\0\0\0\0", "\u{7f}\u{7f}\u{7f}\u{7f}"]);
        let _ = Header::read(&bytes);
        for (at, found) in salvage(&bytes) {
            assert!(at + found.size() <= bytes.len());
            let _ = (found.revision(), frame::read_chained_commit(found.body));
        }
    });
}

/// A base whose digest is not looked at where that can be told apart: its records are read before it is known.
#[test]
fn fuzz_journal_base() {
    let mut writer = base::Writer::begin(Vec::new()).unwrap();
    for number in 1..6 {
        let records = commit(number).lines.into_iter().filter_map(|line| line.record);
        records.for_each(|record| writer.record(&record).unwrap());
    }
    let horizon = Horizon { revision: Revision::new(9), time: Moment::from_micros(3) };
    let (_, whole) = writer.end(horizon, FIRST_CHAIN).unwrap();
    assert!(base::read(&mut whole.as_slice(), |_| Ok(())).unwrap().is_some());
    let corpus = [whole];
    run("journal base", |dice| {
        let bytes = mutate(dice, &corpus, &["\0\0\0\0", "\u{7f}\u{7f}\u{7f}\u{7f}"]);
        let mut taken = 0;
        let found = base::read(&mut bytes.as_slice(), |record| {
            taken += record.value.len();
            Ok(())
        });
        assert!(taken <= bytes.len());
        assert!(found.unwrap().is_none() || bytes.starts_with(&corpus[0]));
    });
}

/// Bodies whose check is not looked at, as when something stronger has vouched for them.
#[test]
fn fuzz_journal_commits() {
    let corpus = bodies();
    run("journal commits", |dice| {
        let mut body = mutate(dice, &corpus, &["\0\0\0\0\0\0\0\u{1}"]);
        if !body.is_empty() && dice.random() {
            body[0] = corpus[0][0];
        }
        let _ = frame::read_chained_commit(&body);
        let key = frame::commit_key(Revision::new(1));
        let _ = (frame::read_commit(&key, &body), frame::read_record(&key, &body), frame::read_mark(&key, &body));
    });
}
