//! The program is killed after a write took effect and before its caller heard of it; the caller asks again with the same
//! request id. Between caller and service stands a wire that lets everything through to the service and, once it is cut,
//! nothing back.

use std::{
    collections::BTreeMap,
    net::SocketAddr,
    path::Path,
    time::{Duration, Instant},
};

use baybook_proto::v1::{self as pb, spec_book_service_client::SpecBookServiceClient};
use rand::{Rng as _, SeedableRng as _, rngs::StdRng};
use tokio::{
    io::{AsyncReadExt as _, AsyncWriteExt as _},
    net::{TcpListener, TcpStream},
    sync::watch,
};
use tonic::{Code, Status, transport::Channel};
use tonic_types::StatusExt as _;

use crate::{
    asked, bolt,
    daemon::{Daemon, book, past},
    number, runtime, seeds,
};

/// Kills of one book, and of the short run.
const KILLS_A_BOOK: u64 = 25;
const KILLS: u64 = 10;
/// Writes under way at each kill.
const WRITES: u64 = 4;

type Client = SpecBookServiceClient<Channel>;

/// A wire on which the way back can be cut.
struct Wire {
    address: SocketAddr,
    cut: watch::Sender<bool>,
}

impl Wire {
    async fn to(service: SocketAddr) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let (cut, is_cut) = watch::channel(false);
        tokio::spawn(async move {
            while let Ok((caller, _)) = listener.accept().await {
                let (mut from, mut back) = caller.into_split();
                // A caller that tries again after the kill finds nobody.
                let Ok(service) = TcpStream::connect(service).await else { return };
                let (mut answers, mut to) = service.into_split();
                tokio::spawn(async move { drop(tokio::io::copy(&mut from, &mut to).await) });
                let is_cut = is_cut.clone();
                tokio::spawn(async move {
                    let mut bytes = vec![0; 16 << 10];
                    // Cut or not, it is read: the service must not notice.
                    while let Ok(read @ 1..) = answers.read(&mut bytes).await {
                        if !*is_cut.borrow() && back.write_all(&bytes[..read]).await.is_err() {
                            return;
                        }
                    }
                });
            }
        });
        Self { address, cut }
    }
}

/// A write with a request id.
#[derive(Clone, Debug)]
enum Write {
    Put(Box<pb::PutEntryRequest>),
    Batch(pb::BatchPutEntriesRequest),
    Remove(pb::RemoveEntryRequest),
}

impl Write {
    /// Sends it and returns the revision and the entries of the answer.
    async fn send(&self, client: &mut Client) -> Result<(i64, Vec<pb::Entry>), Status> {
        Ok(match self.clone() {
            Self::Put(request) => {
                let answer = client.put_entry(*request).await?.into_inner();
                (answer.revision, answer.entry.into_iter().collect())
            }
            Self::Batch(request) => {
                let answer = client.batch_put_entries(request).await?.into_inner();
                (answer.revision, answer.entries)
            }
            Self::Remove(request) => (client.remove_entry(request).await?.into_inner().revision, Vec::new()),
        })
    }

    fn name(&self) -> &str {
        match self {
            Self::Put(request) => request.entry.as_ref().map_or("", |entry| &entry.name),
            Self::Batch(request) => &request.entries[0].name,
            Self::Remove(request) => &request.name,
        }
    }

    /// The same id, and other content.
    fn altered(&self) -> Self {
        let mut other = self.clone();
        match &mut other {
            Self::Put(request) => request.entry.as_mut().unwrap().note.push('!'),
            Self::Batch(request) => drop(request.entries.pop()),
            Self::Remove(request) => request.etag = "*".to_owned(),
        }
        other
    }

    /// Whether a change is this write's effect.
    fn made(&self, change: &pb::EntryChange) -> bool {
        match self {
            Self::Remove(_) => change.entry.is_none(),
            _ => change.entry.as_ref().is_some_and(|entry| number(entry) == 2),
        }
    }
}

/// What came of it.
#[derive(Debug, Default)]
struct Figures {
    kills: u64,
    /// Writes whose effect was seen before the kill, and those that nobody had seen yet.
    seen: u64,
    unseen: u64,
    /// Of the latter, those that turned out to have had their effect.
    had: u64,
}

#[test]
fn killed_before_the_reply_a_write_sent_again_has_one_effect() {
    let kills = asked("BAYBOOK_RETRIES").unwrap_or(KILLS);
    let mut all = Figures::default();
    seeds("killed_before_the_reply", kills.div_ceil(KILLS_A_BOOK), |seed| {
        let folder = tempfile::tempdir().unwrap();
        let end = (all.kills + KILLS_A_BOOK).min(kills);
        runtime().block_on(one_book(seed, folder.path(), end, &mut all));
    });
    println!(
        "{} kills between effect and reply, {} writes sent again: exactly one effect each ({} seen before the kill, {} more \
         found to have had it)",
        all.kills,
        all.seen + all.unseen,
        all.seen,
        all.had
    );
    assert!(all.seen > all.unseen, "most kills came after the effect: {all:?}");
}

async fn one_book(seed: u64, folder: &Path, end: u64, all: &mut Figures) {
    let mut rng = StdRng::seed_from_u64(seed);
    let data = folder.join("book");
    let mut asked_before: BTreeMap<String, (Write, i64)> = BTreeMap::new();
    while all.kills < end || all.kills == 0 {
        let round = all.kills;
        let (daemon, address) = Daemon::start(&data);
        let mut direct = book(address).await;
        let writes = prepare(&mut direct, &mut rng, round).await;
        let wire = Wire::to(address).await;
        let behind = book(wire.address).await;
        // One call goes all the way, so that the connection stands.
        behind.clone().list_entries(pb::ListEntriesRequest::default()).await.unwrap();
        wire.cut.send_replace(true);
        let mut sent = Vec::new();
        for write in writes.clone() {
            let mut client = behind.clone();
            sent.push(tokio::spawn(async move { write.send(&mut client).await }));
        }
        // Mostly the effect is waited for; else the kill falls where it falls.
        let waits = rng.random_bool(0.8);
        if waits {
            wait_for_effects(&mut direct, &writes).await;
        } else {
            tokio::time::sleep(Duration::from_micros(rng.random_range(0..3_000))).await;
        }
        daemon.kill();
        all.kills += 1;
        for sent in sent {
            let heard = sent.await.unwrap();
            assert!(heard.is_err(), "a cut wire carried an answer: {heard:?}");
        }
        let (_daemon, address) = Daemon::start(&data);
        let mut client = book(address).await;
        let meddles = rng.random_bool(0.5);
        for write in writes {
            let effect = effect(&mut client, &write).await;
            assert!(!waits || effect.is_some(), "a visible effect is lost: {write:?}");
            match (waits, effect) {
                (true, _) => all.seen += 1,
                (false, had) => (all.unseen, all.had) = (all.unseen + 1, all.had + u64::from(had.is_some())),
            }
            if meddles && effect.is_some() {
                // What somebody else has done meanwhile is not undone by asking again.
                let entry = bolt(write.name(), 3, "somebody else");
                client.put_entry(pb::PutEntryRequest { entry: Some(entry), ..Default::default() }).await.unwrap();
            }
            let first = write.send(&mut client).await.unwrap_or_else(|refused| panic!("{write:?}: {refused:?}"));
            assert!(effect.is_none_or(|effect| effect == first.0), "{write:?} had a second effect at {}", first.0);
            assert_eq!(write.send(&mut client).await.unwrap(), first, "the first answer is given again");
            one_effect(&mut client, &write, first.0, meddles && effect.is_some()).await;
            refused_with_other_content(&mut client, &write).await;
            asked_before.insert(write.name().to_owned(), (write, first.0));
        }
    }
    // Long after, and after many starts, the first answers still stand.
    let (_daemon, address) = Daemon::start(&data);
    let mut client = book(address).await;
    for (write, revision) in asked_before.values() {
        assert_eq!(write.send(&mut client).await.unwrap().0, *revision, "{write:?}");
    }
}

/// Puts what is going to be replaced and removed, and says what is going to be asked.
async fn prepare(client: &mut Client, rng: &mut StdRng, round: u64) -> Vec<Write> {
    let mut writes = Vec::new();
    for index in 0..WRITES {
        let name = format!("bolts/r{round}-{index}");
        let request_id = format!("ask-{round}-{index}");
        let note = "n".repeat(rng.random_range(0..500));
        let mut etag = String::new();
        if index != 0 {
            let entry = Some(bolt(&name, 1, ""));
            let put = client.put_entry(pb::PutEntryRequest { entry, ..Default::default() }).await.unwrap();
            etag = put.into_inner().entry.unwrap().etag;
        }
        let entry = pb::Entry { etag: etag.clone(), ..bolt(&name, 2, &note) };
        let author = "R. Vance".to_owned();
        writes.push(match index {
            0 | 1 => Write::Put(Box::new(pb::PutEntryRequest {
                entry: Some(entry),
                request_id,
                author,
                validate_only: false,
            })),
            2 => {
                let entries = vec![entry, bolt(&format!("{name}-too"), 2, &note)];
                Write::Batch(pb::BatchPutEntriesRequest { entries, request_id, author, validate_only: false })
            }
            _ => Write::Remove(pb::RemoveEntryRequest { name, etag, request_id, author }),
        });
    }
    writes
}

async fn wait_for_effects(client: &mut Client, writes: &[Write]) {
    let begun = Instant::now();
    for write in writes {
        while effect(client, write).await.is_none() {
            assert!(begun.elapsed() < Duration::from_secs(30), "no effect: {write:?}");
            tokio::time::sleep(Duration::from_micros(200)).await;
        }
    }
}

/// The revision at which a write had its effect.
async fn effect(client: &mut Client, write: &Write) -> Option<i64> {
    let request = pb::EntryHistoryRequest { name: write.name().to_owned(), page_size: 10, ..Default::default() };
    match client.entry_history(request).await {
        Ok(answer) => answer.into_inner().changes.iter().find(|change| write.made(change)).map(|it| it.revision),
        Err(status) if status.code() == Code::NotFound => None,
        Err(status) => panic!("{status:?}"),
    }
}

async fn one_effect(client: &mut Client, write: &Write, revision: i64, meddled: bool) {
    let changes = past(client, write.name()).await;
    let made: Vec<i64> = changes.iter().filter(|change| write.made(change)).map(|change| change.revision).collect();
    assert_eq!(made, [revision], "{write:?}: {changes:?}");
    if meddled {
        assert_eq!(changes[0].entry.as_ref().map(number), Some(3), "{write:?} undid what came after it");
    }
    if let Write::Batch(request) = write {
        let other = past(client, &request.entries[1].name).await;
        let revisions: Vec<i64> = other.iter().map(|change| change.revision).collect();
        assert_eq!(revisions, [revision], "a torn batch");
    }
}

async fn refused_with_other_content(client: &mut Client, write: &Write) {
    let refused = write.altered().send(client).await.expect_err("the id stands for other content");
    assert_eq!(refused.code(), Code::InvalidArgument, "{refused:?}");
    let details = refused.get_error_details();
    assert_eq!(details.error_info().map(|info| info.reason.as_str()), Some("REQUEST_ID_REUSED"), "{refused:?}");
}
