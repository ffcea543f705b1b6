//! The built program is killed while it writes, while it lets go of old commits, and while it starts after that. What callers
//! were told is kept here, outside of it.

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicU64, Ordering},
    },
    time::Duration,
};

use baybook_proto::v1::{
    self as pb, spec_book_service_client::SpecBookServiceClient, steward_service_client::StewardServiceClient,
};
use rand::{Rng as _, SeedableRng as _, rngs::StdRng};
use tonic::transport::Channel;

use crate::{
    asked, bolt,
    daemon::{Daemon, book, connect, everything, past},
    number, runtime, seeds,
};

const WRITERS: usize = 6;
/// Kills of the short run, all of one book, and of one book of the long run.
const KILLS: u64 = 5;
/// Entries that nobody changes again, so that condensing takes its time.
const STILL: usize = 12_000;
const BATCH: usize = 500;
/// More commits than one file of the journal holds then.
const FILE: u64 = 2_300;
/// As little of the past as the service keeps: its files hold 2,048 commits then.
const LITTLE: [(&str, &str); 2] = [("HISTORY_COMMITS", "500"), ("HISTORY_DAYS", "0")];

/// One caller with a pair of entries of its own.
#[derive(Debug)]
struct Writer {
    id: usize,
    sent: u64,
    told: Vec<(u64, i64)>,
}

impl Writer {
    /// Writes until the service is killed. It gives no request id: a remembered request would hold its commit.
    async fn write(
        mut self,
        mut client: SpecBookServiceClient<Channel>,
        killed: &AtomicBool,
        paused: &AtomicBool,
        written: &AtomicU64,
    ) -> Self {
        loop {
            while paused.load(Ordering::Relaxed) && !killed.load(Ordering::SeqCst) {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
            self.sent += 1;
            let entries = ["l", "r"].map(|which| bolt(&format!("bolts/g{}-{which}", self.id), self.sent, "")).to_vec();
            let request = pb::BatchPutEntriesRequest { entries, ..Default::default() };
            match client.batch_put_entries(request).await {
                Ok(reply) => {
                    self.told.push((self.sent, reply.into_inner().revision));
                    written.fetch_add(1, Ordering::Relaxed);
                }
                Err(status) => {
                    assert!(killed.load(Ordering::SeqCst), "writer {}: {status:?}", self.id);
                    return self;
                }
            }
        }
    }
}

#[test]
fn killed_while_old_commits_go_it_keeps_what_was_acknowledged() {
    let kills = asked("BAYBOOK_LETTINGS").unwrap_or(KILLS);
    let (mut told, mut moved, mut begun) = (0, 0, 0);
    seeds("killed_while_old_commits_go", kills.div_ceil(KILLS), |seed| {
        let folder = tempfile::tempdir().unwrap();
        let (writes, horizons, broken_off) = runtime().block_on(one_book(seed, &folder.path().join("book")));
        told += writes;
        moved += horizons;
        begun += broken_off;
    });
    println!(
        "{} kills, {told} acknowledged writes, 0 lost, 0 torn; old commits had gone before {moved} of them, and {begun} came \
         while a base was being put in place",
        kills.div_ceil(KILLS) * KILLS
    );
    assert!(moved > 0, "no commits went");
}

async fn one_book(seed: u64, data: &Path) -> (usize, u64, u64) {
    let mut rng = StdRng::seed_from_u64(seed);
    let mut writers: Vec<Writer> = (0..WRITERS).map(|id| Writer { id, sent: 0, told: Vec::new() }).collect();
    let (mut horizon, mut moved, mut broken_off) = (0, 0, 0);
    for round in 0..=KILLS {
        let (daemon, address) = Daemon::start_with(data, &LITTLE);
        let mut client = book(address).await;
        if round == 0 {
            for first in (0..STILL).step_by(BATCH) {
                let entries =
                    (first..first + BATCH).map(|n| bolt(&format!("bolts/still-{n}"), n as u64, "kept")).collect();
                let request = pb::BatchPutEntriesRequest { entries, ..Default::default() };
                client.batch_put_entries(request).await.unwrap();
            }
        }
        let now = settle(&mut writers, &mut client).await;
        assert!(now >= horizon, "commits through {horizon} were gone, and are back to {now}");
        moved += u64::from(now > horizon);
        horizon = now;
        if round == KILLS {
            let mut steward = StewardServiceClient::new(connect(address).await);
            let verified = steward.verify_book(pb::VerifyBookRequest::default()).await.unwrap().into_inner();
            assert!(verified.damages.is_empty() && verified.writable, "{verified:?}");
            daemon.signal("-TERM");
            assert_eq!(daemon.ended(Duration::from_secs(60)).code(), Some(0));
            break;
        }
        let (killed, paused) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicBool::new(false)));
        let written = Arc::new(AtomicU64::new(0));
        let mut writing = Vec::new();
        for writer in writers.drain(..) {
            let client = book(address).await;
            let (killed, paused, written) = (Arc::clone(&killed), Arc::clone(&paused), Arc::clone(&written));
            writing.push(tokio::spawn(async move { writer.write(client, &killed, &paused, &written).await }));
        }
        tokio::time::sleep(Duration::from_millis(rng.random_range(300..2_000))).await;
        let end = tokio::time::Instant::now() + Duration::from_secs(30);
        while round % 2 == 0 && written.load(Ordering::Relaxed) < FILE && tokio::time::Instant::now() < end {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        // The second copy is written a second after the last write, and then old commits go.
        paused.store(true, Ordering::Relaxed);
        tokio::time::sleep(Duration::from_millis(rng.random_range(500..4_000))).await;
        if rng.random_bool(0.5) {
            // In the middle of it, when that comes in time.
            let end = tokio::time::Instant::now() + Duration::from_secs(4);
            while !is_condensing(data) && tokio::time::Instant::now() < end {
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
            tokio::time::sleep(Duration::from_micros(rng.random_range(0..80_000))).await;
        }
        killed.store(true, Ordering::SeqCst);
        daemon.kill();
        broken_off += u64::from(is_condensing(data));
        for writer in writing {
            writers.push(writer.await.expect("what a writer was told holds"));
        }
    }
    (writers.iter().map(|writer| writer.told.len()).sum(), moved, broken_off)
}

/// Whether a base is being written.
fn is_condensing(data: &Path) -> bool {
    ["base-a.new", "base-b.new"].iter().any(|name| data.join("journal").join(name).exists())
}

/// Holds the whole book, and the past that is kept, against what callers were told; returns where that past begins.
async fn settle(writers: &mut [Writer], client: &mut SpecBookServiceClient<Channel>) -> i64 {
    let (_, entries) = everything(client).await;
    let entries: std::collections::HashMap<_, _> =
        entries.into_iter().map(|entry| (entry.name.clone(), entry)).collect();
    let still = entries.values().filter(|entry| entry.note == "kept").count();
    assert_eq!(still, STILL);
    let request = pb::EntryHistoryRequest { name: "bolts/still-0".to_owned(), ..Default::default() };
    let horizon = client.entry_history(request).await.unwrap().into_inner().horizon_revision;
    for writer in writers {
        let [left, right] = ["l", "r"].map(|which| entries.get(&format!("bolts/g{}-{which}", writer.id)).map(number));
        assert_eq!(left, right, "a batch of writer {} was torn", writer.id);
        let newest = writer.told.last().map_or(0, |(number, _)| *number);
        let found = left.unwrap_or(0);
        assert!(found >= newest && found <= writer.sent, "writer {} was told of {newest}, found {found}", writer.id);
        if found == 0 {
            continue;
        }
        let kept = past(client, &format!("bolts/g{}-l", writer.id)).await;
        let kept: Vec<_> = kept.iter().map(|change| (change.entry.as_ref().map(number), change.revision)).collect();
        for (number, revision) in writer.told.iter().filter(|(_, revision)| *revision > horizon) {
            assert!(kept.contains(&(Some(*number), *revision)), "writer {}: {number} is not in its past", writer.id);
        }
    }
    horizon
}
