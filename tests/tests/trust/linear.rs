//! Eight callers at once through gRPC, on every engine: what they saw can be explained by one order of their calls. Bad stores
//! of many kinds, each seeded, are found out by the same test.

use std::{
    net::SocketAddr,
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
};

use baybook_proto::v1::{self as pb, spec_book_service_client::SpecBookServiceClient};
use baybook_server::{Config, EngineKind, Service, bind, book::Book, incoming};
use rand::{Rng as _, SeedableRng as _, rngs::StdRng};
use tokio::sync::oneshot;
use tonic::{Code, Status, transport::Channel};
use tonic_types::StatusExt as _;

use crate::{
    asked,
    bad_store::{BadBook, FAULTS, Fault},
    bolt,
    daemon::book as client,
    history::{Call, Done, Races, Recorder, Seen, Want},
    number, runtime, seeds,
};

const CALLERS: usize = 8;
const KEYS: usize = 3;
/// Calls of one caller in one history.
const CALLS: usize = 60;
/// Histories of a short run, on each engine.
const HISTORIES: u64 = 12;
/// Histories within which a bad store must be found out.
const CHANCES: u64 = 12;

#[derive(Clone, Copy, Debug)]
enum Store {
    Memory,
    Journal,
    Bad(Fault),
}

/// Which calls are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mix {
    /// All kinds, of several entries.
    All,
    /// Mostly removals of the entries of one key, and what they race with.
    Removals,
}

#[test]
fn histories_on_the_journal_are_linearizable() {
    good("histories_on_the_journal", Store::Journal, Mix::All);
}

#[test]
fn histories_in_memory_are_linearizable() {
    good("histories_in_memory", Store::Memory, Mix::All);
}

/// Removals of what was seen, of what is gone and came back, and of whatever there is, while others put and read it.
#[test]
fn histories_of_removals_are_linearizable() {
    for store in [Store::Journal, Store::Memory] {
        let (races, histories) = good("histories_of_removals", store, Mix::Removals);
        println!("{store:?}: {races:?}");
        assert!(races.least() >= histories, "too few of them met in {histories} histories: {races:?}");
    }
}

fn good(test: &str, store: Store, mix: Mix) -> (Races, u64) {
    let (mut calls, mut races, mut run) = (0, Races::default(), 0);
    let histories = asked("BAYBOOK_HISTORIES").unwrap_or(HISTORIES);
    seeds(test, histories, |seed| {
        let (seen, unexplained) = history(store, mix, seed);
        calls += seen.0;
        races.add(seen.1);
        run += 1;
        if let Some((key, events)) = unexplained {
            events.iter().for_each(|event| println!("{event:?}"));
            panic!("{store:?}, seed {seed}: no order of the calls explains what was seen of key {key}");
        }
    });
    let what = if mix == Mix::All { "" } else { ", mostly removals" };
    println!("{store:?}: {run} histories of {CALLERS} callers, {calls} calls{what}, each explained by one order");
    (races, run)
}

#[test]
fn every_bad_store_is_found_out() {
    let mut caught = 0;
    for fault in FAULTS {
        let of_removals = matches!(fault, Fault::RemovesUnseen | Fault::RemovalRefusedButDone);
        let mix = if of_removals { Mix::Removals } else { Mix::All };
        let found = (0..CHANCES).find(|seed| history(Store::Bad(fault), mix, *seed).1.is_some());
        match found {
            Some(seed) => println!("{fault:?}: found out in history {}", seed + 1),
            None => panic!("{fault:?}: {CHANCES} histories were explained; {caught} others were found out"),
        }
        caught += 1;
    }
    assert!(caught >= 12);
    println!("{caught} of {} bad stores found out", FAULTS.len());
}

/// One entry of a message is as it was already, and somebody else changes both before the message is in.
#[test]
fn a_message_of_an_import_takes_effect_whole() {
    runtime().block_on(async {
        let config = Config::in_memory().expect("the defaults are sound");
        let service = Service::open(config.clone()).await.expect("an empty book opens");
        let bad = BadBook::new(Arc::clone(service.catalog().book()), Fault::SomebodyElseFirst);
        let service = Service::over(Arc::new(bad) as Arc<dyn Book>, &config);
        let embedded = baybook_server::Embedded::start(service, &config.limits);
        let mut client = SpecBookServiceClient::new(embedded.channel());
        let names = ["bolts/a", "bolts/b"];
        let entries = names.iter().map(|name| bolt(name, 1, "")).collect();
        client.batch_put_entries(pb::BatchPutEntriesRequest { entries, ..Default::default() }).await.unwrap();
        let entries = vec![bolt(names[0], 1, ""), bolt(names[1], 2, "")];
        let message = pb::ImportEntriesRequest { entries, author: "importer".to_owned(), validate_only: false };
        let reply = client.import_entries(tokio_stream::iter([message])).await.unwrap().into_inner();
        assert_eq!((reply.replaced_count, reply.unchanged_count, reply.error_count), (2, 0, 0), "{reply:?}");
        let names = names.map(str::to_owned).to_vec();
        let read = client.batch_get_entries(pb::BatchGetEntriesRequest { names, min_revision: 0 }).await.unwrap();
        let numbers: Vec<u64> = read.into_inner().entries.iter().map(number).collect();
        assert_eq!(numbers, [1, 2], "the message of the import is torn");
    });
}

type Unexplained = Option<(usize, Vec<(usize, todc_utils::Action<Call>)>)>;

/// Lets callers call, and checks what they saw.
fn history(store: Store, mix: Mix, seed: u64) -> ((usize, Races), Unexplained) {
    let folder = tempfile::tempdir().unwrap();
    let runtime = runtime();
    let recorder = Arc::new(Recorder::new(KEYS));
    runtime.block_on(async {
        let mut config = Config::in_memory().expect("the defaults are sound");
        config.listen = SocketAddr::from(([127, 0, 0, 1], 0));
        if matches!(store, Store::Journal) {
            (config.engine, config.data_dir) = (EngineKind::Sled, folder.path().join("book"));
        }
        let listener = bind(&config).await.expect("a port is free");
        let address = listener.local_addr().expect("it has an address");
        let connections = incoming(listener, &config).expect("it is a loopback address");
        let service = Service::open(config.clone()).await.expect("an empty book opens");
        let service = match store {
            Store::Bad(fault) => {
                let bad = BadBook::new(Arc::clone(service.catalog().book()), fault);
                Service::over(Arc::new(bad) as Arc<dyn Book>, &config)
            }
            Store::Memory | Store::Journal => service,
        };
        let (stop, stopped) = oneshot::channel::<()>();
        let serving = tokio::spawn(async move {
            let served = service.serve_with_incoming(connections, async { drop(stopped.await) }).await;
            served.and(service.close().await)
        });
        let numbers = Arc::new(AtomicU64::new(1));
        let mut callers = Vec::new();
        for id in 0..CALLERS {
            let caller = Caller {
                id,
                client: client(address).await,
                rng: StdRng::seed_from_u64(seed * 1_000 + id as u64),
                numbers: Arc::clone(&numbers),
                seen: [[None; 2]; KEYS],
                gone: [[None; 2]; KEYS],
                mix,
                strict: !matches!(store, Store::Bad(_)),
            };
            callers.push(tokio::spawn(caller.call_on(Arc::clone(&recorder))));
        }
        for caller in callers {
            caller.await.expect("a caller goes on to its end");
        }
        drop(stop);
        serving.await.expect("the service ends").expect("in good order");
    });
    drop(runtime);
    let recorder = Arc::into_inner(recorder).expect("all callers have ended");
    ((recorder.calls(), recorder.races()), recorder.unexplained())
}

/// One of the callers, and what it has last seen of each entry.
struct Caller {
    id: usize,
    client: SpecBookServiceClient<Channel>,
    rng: StdRng,
    numbers: Arc<AtomicU64>,
    seen: [[Option<Seen>; 2]; KEYS],
    /// The revision at which it has last seen an entry that it then saw no more.
    gone: [[Option<i64>; 2]; KEYS],
    mix: Mix,
    /// Whether an error that is no refusal is a failure of the test.
    strict: bool,
}

impl Caller {
    async fn call_on(mut self, recorder: Arc<Recorder>) {
        for _ in 0..CALLS {
            let key = if self.mix == Mix::All { self.rng.random_range(0..KEYS) } else { 0 };
            let call = self.draw(key);
            recorder.called(self.id, key);
            let answered = self.send(key, call).await;
            match answered {
                Ok(call) => {
                    self.remember(key, &call);
                    recorder.answered(self.id, key, call);
                }
                Err(status) => {
                    assert!(!self.strict, "{status:?}");
                    // A bad store may confuse the service itself; what the call did is then not known, and the history
                    // shows nothing.
                    recorder.spoil();
                    return;
                }
            }
            if self.rng.random_bool(0.1) {
                tokio::time::sleep(std::time::Duration::from_micros(self.rng.random_range(0..2_000))).await;
            }
        }
    }

    fn name(key: usize, side: usize) -> String {
        format!("bolts/k{key}-{side}")
    }

    fn want(&mut self, key: usize, side: usize) -> Want {
        match self.seen[key][side] {
            _ if self.rng.random_bool(0.3) => Want::Any,
            None => Want::Absent,
            Some((_, revision)) => Want::At(revision),
        }
    }

    /// Chooses a call; its answer is still empty.
    fn draw(&mut self, key: usize) -> Call {
        let side = self.rng.random_range(0..2);
        let number = self.numbers.fetch_add(1, Ordering::Relaxed);
        if self.mix == Mix::Removals {
            return match self.rng.random_range(0..100) {
                0..15 => Call::Get { side, found: None },
                15..25 => Call::GetBoth { found: None },
                25..50 => Call::Put { side, number, want: self.want(key, side), done: None },
                50..60 => Call::PutBoth { number, want: [self.want(key, 0), self.want(key, 1)], done: None },
                60..70 => {
                    // An entry that is gone may have come back: it is another one.
                    let want = self.gone[key][side].map_or(Want::Any, Want::At);
                    Call::Remove { side, want, done: None }
                }
                _ => Call::Remove { side, want: self.want(key, side), done: None },
            };
        }
        match self.rng.random_range(0..100) {
            0..30 => Call::Get { side, found: None },
            30..50 => Call::GetBoth { found: None },
            50..70 => Call::Put { side, number, want: self.want(key, side), done: None },
            70..88 => Call::PutBoth { number, want: [self.want(key, 0), self.want(key, 1)], done: None },
            _ => Call::Remove { side, want: self.want(key, side), done: None },
        }
    }

    /// Notes what the next expectation will be based on.
    fn remember(&mut self, key: usize, call: &Call) {
        let before = self.seen[key];
        self.see(key, call);
        for (side, before) in before.into_iter().enumerate() {
            if let (Some((_, revision)), None) = (before, self.seen[key][side]) {
                self.gone[key][side] = Some(revision);
            }
        }
    }

    fn see(&mut self, key: usize, call: &Call) {
        match *call {
            Call::Get { side, found } => self.seen[key][side] = found,
            Call::GetBoth { found: Some(found) } => self.seen[key] = found.map(Some),
            Call::Put { side, number, done: Some((revision, _)), .. } => {
                self.seen[key][side] = Some((number, revision));
            }
            Call::PutBoth { number, done: Some((revision, _)), .. } => {
                self.seen[key] = [Some((number, revision)); 2];
            }
            Call::Remove { side, done: Some(_), .. } => self.seen[key][side] = None,
            _ => {}
        }
    }

    async fn send(&mut self, key: usize, call: Call) -> Result<Call, Status> {
        let author = format!("caller {}", self.id);
        Ok(match call {
            Call::Get { side, .. } => {
                let request = pb::GetEntryRequest { name: Self::name(key, side), min_revision: 0 };
                let answer = refusable(self.client.get_entry(request).await)?;
                Call::Get { side, found: answer.and_then(|answer| answer.entry).map(|entry| seen(&entry)) }
            }
            Call::GetBoth { .. } => {
                let names = vec![Self::name(key, 0), Self::name(key, 1)];
                let request = pb::BatchGetEntriesRequest { names, min_revision: 0 };
                let answer = refusable(self.client.batch_get_entries(request).await)?;
                Call::GetBoth { found: answer.map(|answer| [seen(&answer.entries[0]), seen(&answer.entries[1])]) }
            }
            Call::Put { side, number, want, .. } => {
                let entry = Some(entry(&Self::name(key, side), number, want));
                let request = pb::PutEntryRequest { entry, author, ..Default::default() };
                let answer = refusable(self.client.put_entry(request).await)?;
                let done = answer.map(|answer| (answer.revision, answer.entry.as_ref().map_or(0, crate::number)));
                Call::Put { side, number, want, done }
            }
            Call::PutBoth { number, want, .. } => {
                let entries = (0..2).map(|side| entry(&Self::name(key, side), number, want[side])).collect();
                let request = pb::BatchPutEntriesRequest { entries, author, ..Default::default() };
                let answer = refusable(self.client.batch_put_entries(request).await)?;
                let done: Done =
                    answer.map(|answer| (answer.revision, answer.entries.first().map_or(0, crate::number)));
                Call::PutBoth { number, want, done }
            }
            Call::Remove { side, want, .. } => {
                let etag = if want == Want::Absent { "*".to_owned() } else { etag(want) };
                let want = if want == Want::Absent { Want::Any } else { want };
                let request =
                    pb::RemoveEntryRequest { name: Self::name(key, side), etag, author, ..Default::default() };
                let answer = refusable(self.client.remove_entry(request).await)?;
                Call::Remove { side, want, done: answer.map(|answer| answer.revision) }
            }
        })
    }
}

fn etag(want: Want) -> String {
    match want {
        Want::Any => "*".to_owned(),
        Want::Absent => String::new(),
        Want::At(revision) => format!("r{revision}"),
    }
}

fn entry(name: &str, number: u64, want: Want) -> pb::Entry {
    pb::Entry { etag: etag(want), ..bolt(name, number, "") }
}

fn seen(entry: &pb::Entry) -> Seen {
    assert_eq!(entry.etag, format!("r{}", entry.revision), "the etag is that of the revision");
    (number(entry), entry.revision)
}

/// Tells "not as expected" from what went wrong.
fn refusable<T>(answer: Result<tonic::Response<T>, Status>) -> Result<Option<T>, Status> {
    match answer {
        Ok(answer) => Ok(Some(answer.into_inner())),
        Err(status) if matches!(status.code(), Code::NotFound | Code::Aborted | Code::AlreadyExists) => {
            assert!(status.get_error_details().error_info().is_some(), "{status:?}");
            Ok(None)
        }
        Err(status) => Err(status),
    }
}
