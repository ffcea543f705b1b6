//! What callers were told, kept outside the service: the list that a book is held against after a kill.

use std::collections::{HashMap, HashSet};
use std::sync::atomic::{AtomicBool, Ordering};

use baybook_proto::v1::{
    self as pb, spec_book_service_client::SpecBookServiceClient, steward_service_client::StewardServiceClient,
};
use rand::{Rng as _, rngs::StdRng};
use tonic::{Status, transport::Channel};
use tonic_types::StatusExt as _;

use crate::{bolt, daemon::past, number};

type Client = SpecBookServiceClient<Channel>;

/// What a writer does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Deed {
    /// Puts two entries in one batch; both carry the same number.
    Pair,
    /// Puts one entry.
    Put,
    /// Removes it.
    Remove,
}

/// A write that was sent and not answered.
#[derive(Clone, Debug)]
struct Pending {
    deed: Deed,
    number: u64,
    note: usize,
    etag: String,
    /// Its effect, found in the book after a kill.
    found: Option<i64>,
    /// Its effect, when that is a removal.
    gone: bool,
}

/// One caller with entries of its own.
#[derive(Debug)]
pub struct Writer {
    id: usize,
    next: u64,
    /// The newest number of its pair and of its single entry, with their revisions.
    pair: Option<(u64, i64)>,
    single: Option<(u64, i64)>,
    pending: Option<Pending>,
    /// Every write it was told of, and its revision.
    told: Vec<(Deed, u64, i64)>,
    /// Writes sent again after a kill that had their effect before it.
    pub replayed: usize,
}

impl Writer {
    pub fn new(id: usize) -> Self {
        Self { id, next: 1, pair: None, single: None, pending: None, told: Vec::new(), replayed: 0 }
    }

    /// How many writes it was told of.
    pub fn told(&self) -> usize {
        self.told.len()
    }

    fn name(&self, which: &str) -> String {
        format!("bolts/w{}-{which}", self.id)
    }

    /// Writes until the service is killed. What is on its way then stays pending.
    pub async fn write(
        mut self,
        mut client: Client,
        mut rng: StdRng,
        killed: &AtomicBool,
        paused: &AtomicBool,
    ) -> Self {
        if self.pending.is_some() && rng.random_bool(0.5) {
            self.give_up();
        }
        loop {
            while paused.load(Ordering::Relaxed) && !killed.load(Ordering::SeqCst) {
                tokio::time::sleep(std::time::Duration::from_millis(5)).await;
            }
            let write = self.pending.get_or_insert_with(|| draw(&mut self.next, self.single, &mut rng)).clone();
            match answered(self.send(&mut client, &write)).await {
                Ok(revision) => {
                    if let Some(found) = write.found {
                        assert_eq!(revision, found, "writer {}: {write:?} had a second effect", self.id);
                        self.replayed += 1;
                    }
                    self.take(&write, revision);
                    self.pending = None;
                }
                Err(status) => {
                    assert!(killed.load(Ordering::SeqCst), "writer {}: {write:?}: {status:?}", self.id);
                    let spoke = status.get_error_details().error_info().is_some();
                    assert!(!spoke, "writer {}: {write:?}: {status:?}", self.id);
                    return self;
                }
            }
        }
    }

    async fn send(&self, client: &mut Client, write: &Pending) -> Result<i64, Status> {
        // The same id and the same words every time, so that a write sent again has one effect.
        let request_id = format!("w{}-{}", self.id, write.number);
        let author = format!("writer {}", self.id);
        let entry = |which| bolt(&self.name(which), write.number, &"x".repeat(write.note));
        match write.deed {
            Deed::Pair => {
                let entries = vec![entry("l"), entry("r")];
                let request = pb::BatchPutEntriesRequest { entries, request_id, author, validate_only: false };
                Ok(client.batch_put_entries(request).await?.into_inner().revision)
            }
            Deed::Put => {
                let entry = pb::Entry { etag: write.etag.clone(), ..entry("m") };
                let request = pb::PutEntryRequest { entry: Some(entry), request_id, author, validate_only: false };
                Ok(client.put_entry(request).await?.into_inner().revision)
            }
            Deed::Remove => {
                let (name, etag) = (self.name("m"), write.etag.clone());
                let request = pb::RemoveEntryRequest { name, etag, request_id, author };
                Ok(client.remove_entry(request).await?.into_inner().revision)
            }
        }
    }

    /// Takes note of an effect.
    fn take(&mut self, write: &Pending, revision: i64) {
        self.told.push((write.deed, write.number, revision));
        match write.deed {
            Deed::Pair => self.pair = Some((write.number, revision)),
            Deed::Put => self.single = Some((write.number, revision)),
            Deed::Remove => self.single = None,
        }
    }

    /// Never sends what is pending again; whether it had its effect is known by now.
    fn give_up(&mut self) {
        let Some(write) = self.pending.take() else { return };
        if let Some(revision) = write.found {
            self.take(&write, revision);
        }
        if write.gone {
            self.single = None;
        }
    }

    /// Holds what is in the book after a kill against what the writer was told.
    pub fn settle(&mut self, entries: &HashMap<String, pb::Entry>) {
        let found = |which: &str| entries.get(&self.name(which)).map(|entry| (number(entry), entry.revision));
        let [left, right, single] = ["l", "r", "m"].map(found);
        assert_eq!(left, right, "writer {}: a torn batch", self.id);
        let (mut pair_is, mut single_is) = (self.pair, self.single);
        if let Some(pending) = &mut self.pending {
            let newest = self.told.last().map_or(0, |(_, _, revision)| *revision);
            let its = |found: Option<(u64, i64)>| found.filter(|(number, _)| *number == pending.number);
            let (before, gone_before) = (pending.found, pending.gone);
            match pending.deed {
                Deed::Pair => (pending.found, pair_is) = (its(left).map(|(_, at)| at), its(left).or(self.pair)),
                Deed::Put => (pending.found, single_is) = (its(single).map(|(_, at)| at), its(single).or(self.single)),
                // Which revision removed it only the past tells; the end of the run looks there.
                Deed::Remove if single.is_none() => (pending.gone, single_is) = (true, None),
                Deed::Remove => {}
            }
            assert!(pending.found.is_none_or(|at| at > newest), "writer {}: {pending:?} after {newest}", self.id);
            assert!(before.is_none() || before == pending.found, "writer {}: {pending:?} was at {before:?}", self.id);
            assert!(!gone_before || single.is_none(), "writer {}: what was removed is back: {single:?}", self.id);
        }
        assert_eq!((left, single), (pair_is, single_is), "writer {}: not what it was told", self.id);
    }

    /// Holds the whole past against every write the writer was told of: each once, in order.
    pub async fn check_past(&mut self, client: &mut Client) {
        let mut sides = Vec::new();
        for which in ["l", "r", "m"] {
            let written = self.told.iter().any(|(deed, ..)| (*deed == Deed::Pair) != (which == "m"));
            if !written && self.pending.is_none() {
                continue;
            }
            if !written && !self.exists(client, which).await {
                continue;
            }
            let mut changes = past(client, &self.name(which)).await;
            changes.reverse();
            let steps: Vec<(Option<u64>, i64)> =
                changes.iter().map(|change| (change.entry.as_ref().map(number), change.revision)).collect();
            assert!(steps.is_sorted_by(|a, b| a.1 < b.1), "{which}: {steps:?}");
            let numbers: Vec<u64> = steps.iter().filter_map(|(number, _)| *number).collect();
            assert!(numbers.is_sorted_by(|a, b| a < b), "writer {}: a write had two effects: {numbers:?}", self.id);
            let seen: HashSet<(Option<u64>, i64)> = steps.iter().copied().collect();
            for (deed, number, revision) in &self.told {
                let step = match (deed, which) {
                    (Deed::Pair, "l" | "r") | (Deed::Put, "m") => (Some(*number), *revision),
                    (Deed::Remove, "m") => (None, *revision),
                    _ => continue,
                };
                assert!(seen.contains(&step), "writer {}: {deed:?} {number} at {revision} is lost", self.id);
            }
            // Nothing is there that was never sent.
            assert!(numbers.iter().all(|number| *number < self.next), "writer {}: {numbers:?}", self.id);
            sides.push(steps);
        }
        if let [left, right, ..] = &sides[..]
            && self.pair.is_some()
        {
            assert_eq!(left, right, "writer {}: a torn batch in the past", self.id);
        }
    }

    async fn exists(&self, client: &mut Client, which: &str) -> bool {
        let request = pb::GetEntryRequest { name: self.name(which), min_revision: 0 };
        client.get_entry(request).await.is_ok()
    }
}

/// A call that is never answered, because its connection went away at the wrong moment, counts as one that failed.
async fn answered<T>(call: impl Future<Output = Result<T, Status>>) -> Result<T, Status> {
    let patience = std::time::Duration::from_secs(60);
    tokio::time::timeout(patience, call).await.unwrap_or_else(|_| Err(Status::unavailable("no answer")))
}

/// Chooses the next write.
fn draw(next: &mut u64, single: Option<(u64, i64)>, rng: &mut StdRng) -> Pending {
    let number = *next;
    *next += 1;
    let note = rng.random_range(0..2_000);
    let (deed, etag) = match single {
        _ if rng.random_bool(0.6) => (Deed::Pair, String::new()),
        Some((_, revision)) if rng.random_bool(0.4) => (Deed::Remove, format!("r{revision}")),
        Some((_, revision)) => (Deed::Put, format!("r{revision}")),
        None => (Deed::Put, String::new()),
    };
    Pending { deed, number, note, etag, found: None, gone: false }
}

/// A caller that imports the same entries again and again, each time with a higher number.
#[derive(Debug, Default)]
pub struct Importer {
    told: u64,
    sent: u64,
}

const MESSAGES: u64 = 6;
const ENTRIES: u64 = 20;

impl Importer {
    fn name(message: u64, entry: u64) -> String {
        format!("bolts/i{message}-{entry:02}")
    }

    /// How many imports it was told of.
    pub fn told(&self) -> u64 {
        self.told
    }

    pub async fn import(mut self, mut client: Client, killed: &AtomicBool, paused: &AtomicBool) -> Self {
        loop {
            while paused.load(Ordering::Relaxed) && !killed.load(Ordering::SeqCst) {
                tokio::time::sleep(std::time::Duration::from_millis(5)).await;
            }
            self.sent += 1;
            let number = self.sent;
            let messages = (0..MESSAGES).map(move |message| pb::ImportEntriesRequest {
                entries: (0..ENTRIES).map(|entry| bolt(&Self::name(message, entry), number, "imported")).collect(),
                author: "importer".to_owned(),
                validate_only: false,
            });
            match answered(client.import_entries(tokio_stream::iter(messages))).await {
                Ok(reply) => {
                    let reply = reply.into_inner();
                    assert_eq!(reply.error_count, 0, "{:?}", reply.errors);
                    assert_eq!(
                        reply.created_count + reply.replaced_count,
                        i32::try_from(MESSAGES * ENTRIES).unwrap(),
                        "{reply:?}"
                    );
                    self.told = number;
                }
                Err(status) => {
                    assert!(killed.load(Ordering::SeqCst), "import {number}: {status:?}");
                    return self;
                }
            }
        }
    }

    /// Every message is there whole, and none without those before it.
    pub fn settle(&self, entries: &HashMap<String, pb::Entry>) {
        let mut before = self.sent;
        for message in 0..MESSAGES {
            let found: Vec<Option<(u64, i64)>> = (0..ENTRIES)
                .map(|entry| entries.get(&Self::name(message, entry)).map(|entry| (number(entry), entry.revision)))
                .collect();
            assert!(found.iter().all(|one| *one == found[0]), "a torn message of an import: {found:?}");
            let number = found[0].map_or(0, |(number, _)| number);
            assert!(number >= self.told, "import {} was acknowledged; message {message} is of {number}", self.told);
            assert!(number <= before, "message {message} is of import {number}, the one before of {before}");
            before = number;
        }
    }
}

/// A caller that has the book backed up again and again.
#[derive(Debug, Default)]
pub struct Keeper {
    /// What it was told of, oldest first.
    pub told: Vec<pb::BackupNote>,
}

impl Keeper {
    pub async fn back_up(mut self, channel: Channel, killed: &AtomicBool) -> Self {
        let mut client = StewardServiceClient::new(channel);
        loop {
            match answered(client.backup(pb::BackupRequest {})).await {
                Ok(answer) => self.told.extend(answer.into_inner().backup),
                Err(status) => {
                    assert!(killed.load(Ordering::SeqCst), "backup: {status:?}");
                    return self;
                }
            }
        }
    }
}
