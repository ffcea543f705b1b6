//! One entry refers to another one while many put, remove and read both: nobody ever sees the one without the other, and no
//! commit of the past has it.

use std::{
    collections::BTreeMap,
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
};

use baybook_proto::v1::{self as pb, spec_book_service_client::SpecBookServiceClient};
use baybook_server::{Config, Embedded, EngineKind, Service};
use rand::{Rng as _, SeedableRng as _, rngs::StdRng};
use tonic::{Code, transport::Channel};

use crate::{asked, runtime, seeds};

const CALLERS: usize = 8;
/// Calls of one caller in one race.
const CALLS: usize = 60;
/// Races of a short run.
const RACES: u64 = 8;
const VEHICLE: &str = "vehicles/raced";
const RECEIVER: &str = "receivers/raced";

/// How the calls came out.
#[derive(Debug, Default)]
struct Figures {
    put: AtomicU64,
    dangling: AtomicU64,
    removed: AtomicU64,
    held: AtomicU64,
    both: AtomicU64,
    neither: AtomicU64,
}

#[test]
fn an_entry_is_never_seen_without_the_one_it_refers_to() {
    let figures = Arc::new(Figures::default());
    let races = asked("BAYBOOK_HISTORIES").unwrap_or(RACES);
    let (mut run, mut commits) = (0, 0);
    seeds("an_entry_is_never_seen", races, |seed| {
        commits += runtime().block_on(race(seed, &figures));
        run += 1;
    });
    println!("{run} races for a reference, {commits} commits: {figures:?}");
    let all = [&figures.put, &figures.dangling, &figures.removed, &figures.held, &figures.both, &figures.neither];
    let least = all.iter().map(|count| count.load(Ordering::Relaxed)).min().unwrap_or(0);
    assert!(least >= run, "too few of them met in {run} races: {figures:?}");
}

async fn race(seed: u64, figures: &Arc<Figures>) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let config = Config {
        engine: EngineKind::Sled,
        data_dir: folder.path().join("book"),
        ..Config::in_memory().expect("the defaults are sound")
    };
    let service = Service::open(config.clone()).await.expect("an empty book opens");
    let embedded = Embedded::start(service, &config.limits);
    let mut callers = Vec::new();
    for id in 0..CALLERS {
        let client = SpecBookServiceClient::new(embedded.channel());
        let rng = StdRng::seed_from_u64(seed * 1_000 + id as u64);
        callers.push(tokio::spawn(call_on(client, rng, Arc::clone(figures))));
    }
    for caller in callers {
        caller.await.expect("a caller goes on to its end");
    }
    let commits = past(&mut SpecBookServiceClient::new(embedded.channel())).await;
    embedded.close().await.expect("in good order");
    commits
}

async fn call_on(mut client: SpecBookServiceClient<Channel>, mut rng: StdRng, figures: Arc<Figures>) {
    let count = |count: &AtomicU64| count.fetch_add(1, Ordering::Relaxed);
    for _ in 0..CALLS {
        match rng.random_range(0..10) {
            0..2 => match client.put_entry(put(vehicle())).await {
                Ok(_) => count(&figures.put),
                Err(status) => panic!("{status:?}"),
            },
            2..5 => match client.put_entry(put(receiver())).await {
                Ok(_) => count(&figures.put),
                Err(status) if status.code() == Code::InvalidArgument => count(&figures.dangling),
                Err(status) => panic!("{status:?}"),
            },
            5..8 => {
                let name = if rng.random_bool(0.6) { VEHICLE } else { RECEIVER };
                let request =
                    pb::RemoveEntryRequest { name: name.to_owned(), etag: "*".to_owned(), ..Default::default() };
                match client.remove_entry(request).await {
                    Ok(_) => count(&figures.removed),
                    Err(status) if status.code() == Code::NotFound => continue,
                    Err(status) if status.code() == Code::FailedPrecondition && name == VEHICLE => count(&figures.held),
                    Err(status) => panic!("{status:?}"),
                }
            }
            _ => {
                let request = pb::ListEntriesRequest { page_size: 100, ..Default::default() };
                let seen = client.list_entries(request).await.expect("a list is answered").into_inner().entries;
                let has = |name: &str| seen.iter().any(|entry| entry.name == name);
                assert!(!has(RECEIVER) || has(VEHICLE), "a reader saw {RECEIVER} without {VEHICLE}");
                count(if has(RECEIVER) { &figures.both } else { &figures.neither })
            }
        };
    }
}

/// Goes through all that ever happened to both, commit by commit.
async fn past(client: &mut SpecBookServiceClient<Channel>) -> usize {
    let mut changes = BTreeMap::new();
    for name in [VEHICLE, RECEIVER] {
        let mut page_token = String::new();
        loop {
            let request = pb::EntryHistoryRequest { name: name.to_owned(), page_size: 1_000, page_token };
            let page = match client.entry_history(request).await {
                Ok(page) => page.into_inner(),
                Err(status) if status.code() == Code::NotFound => break,
                Err(status) => panic!("{status:?}"),
            };
            for change in page.changes {
                changes.insert(change.revision, (name, change.entry.is_some()));
            }
            page_token = page.next_page_token;
            if page_token.is_empty() {
                break;
            }
        }
    }
    let (mut vehicle, mut receiver) = (false, false);
    for (revision, (name, there)) in &changes {
        if *name == VEHICLE {
            vehicle = *there
        } else {
            receiver = *there
        }
        assert!(!receiver || vehicle, "at revision {revision} {RECEIVER} refers to nothing");
    }
    changes.len()
}

fn put(entry: pb::Entry) -> pb::PutEntryRequest {
    pb::PutEntryRequest { entry: Some(entry), ..Default::default() }
}

fn entry(name: &str, spec: pb::entry::Spec) -> pb::Entry {
    pb::Entry { name: name.to_owned(), etag: "*".to_owned(), spec: Some(spec), ..Default::default() }
}

fn vehicle() -> pb::Entry {
    entry(
        VEHICLE,
        pb::entry::Spec::Vehicle(pb::Vehicle {
            label: "raced".to_owned(),
            wheelbase_mm: Some(3_000.0),
            ..Default::default()
        }),
    )
}

fn receiver() -> pb::Entry {
    let fit = pb::ReceiverFit { vehicle: VEHICLE.to_owned(), ..Default::default() };
    let receiver = pb::Receiver { label: "raced".to_owned(), fits: vec![fit], ..Default::default() };
    entry(RECEIVER, pb::entry::Spec::Receiver(receiver))
}
