//! What must not happen in a handler, callers that are too slow or too many, and an end that will not wait for ever.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant};

use baybook_proto::v1 as pb;
use baybook_proto::v1::steward_service_client::StewardServiceClient;
use baybook_server::book::{
    Book, BookError, Bounds, Commit, Committed, Follower, Known, LocalBook, Name, Page, Past, PastCommit, Pending,
    Record, Revision, Snapshot, Standing, StoredAnswer, Tally, Verified,
};
use baybook_server::{Config, Embedded, Limits, Service};
use tokio::net::TcpListener;
use tokio::sync::{mpsc, oneshot, watch};
use tokio_stream::wrappers::ReceiverStream;
use tonic::Code;
use tonic::transport::Endpoint;

use crate::rig::{Rig, plan, vehicle, wrong};

/// A book with a fault of our own in it: it panics when it is asked how it stands, and when it is to change.
#[derive(Debug)]
struct Falling(LocalBook);

impl Book for Falling {
    fn standing(&self) -> Standing {
        panic!("the book fell over");
    }

    fn commit(&self, _: Commit) -> Pending<'_, Committed> {
        panic!("the book fell over");
    }

    fn revision(&self) -> Revision {
        self.0.revision()
    }

    fn get(&self, name: &str) -> Option<Arc<Record>> {
        self.0.get(name)
    }

    fn snapshot(&self) -> Snapshot {
        self.0.snapshot()
    }

    fn snapshot_at(&self, revision: Revision) -> Result<Snapshot, BookError> {
        self.0.snapshot_at(revision)
    }

    fn scan(&self, prefix: &str, after: Option<&str>, limit: usize, at: Option<Revision>) -> Result<Page, BookError> {
        self.0.scan(prefix, after, limit, at)
    }

    fn changes_since(&self, after: Revision, limit: usize) -> Pending<'_, Vec<Arc<PastCommit>>> {
        self.0.changes_since(after, limit)
    }

    fn history(&self, name: Name, before: Option<Revision>, limit: usize) -> Pending<'_, Vec<Past>> {
        self.0.history(name, before, limit)
    }

    fn request(&self, id: Arc<str>) -> Pending<'_, Option<StoredAnswer>> {
        self.0.request(id)
    }

    fn subscribe(&self) -> watch::Receiver<Revision> {
        self.0.subscribe()
    }

    fn follow(&self, follower: Arc<dyn Follower>) -> Snapshot {
        self.0.follow(follower)
    }

    fn tally(&self) -> Tally {
        self.0.tally()
    }

    fn verify(&self, known: Option<Known>) -> Pending<'_, Verified> {
        self.0.verify(known)
    }

    fn close(&self) -> Pending<'_, ()> {
        self.0.close()
    }
}

#[tokio::test]
async fn a_handler_that_panics_answers_with_a_fault_and_the_next_call_goes_on() {
    let config = Config::in_memory().unwrap();
    let book = Falling(LocalBook::in_memory(Bounds::default()).unwrap());
    let embedded = Embedded::start(Service::over(Arc::new(book), &config), &config.limits);
    let mut steward = StewardServiceClient::new(embedded.channel());
    let mut entries = pb::spec_book_service_client::SpecBookServiceClient::new(embedded.channel());
    let fault = |error: crate::rig::Wrong| {
        assert_eq!((error.code, error.reason.as_str()), (Code::Internal, "FAULT"));
        assert!(!error.message.contains("fell over"), "what a panic says is for the log: {}", error.message);
    };
    for _ in 0..2 {
        // A call answered once, and a stream.
        fault(wrong(steward.server_info(pb::ServerInfoRequest {}).await));
        let import = pb::ImportEntriesRequest {
            entries: vec![vehicle("van-7", "a van")],
            author: "sam".to_owned(),
            ..Default::default()
        };
        fault(wrong(entries.import_entries(tokio_stream::iter([import])).await));
    }
    // The same connection still answers what does not fail.
    let rest = entries.list_entries(pb::ListEntriesRequest::default()).await.unwrap().into_inner();
    assert!(rest.entries.is_empty());
}

/// A message of plans with every finding, to make answers that fill windows.
fn message(from: i64) -> pb::CheckUpfitsRequest {
    let plans = (from..from + 100)
        .map(|seq| pb::NumberedPlan { seq, plan: Some(Box::new(plan("vehicles/van-l35"))) })
        .collect();
    pb::CheckUpfitsRequest { plans, ..Default::default() }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_caller_who_does_not_read_holds_little_and_is_let_go() {
    let limits = Limits {
        streams: 1,
        stream_idle: Duration::from_millis(300),
        stream_window_bytes: 65_535,
        connection_window_bytes: 65_535,
        ..Default::default()
    };
    let rig =
        Rig::with(Config { limits, book_folder: crate::rig::demo_folder(), ..Config::in_memory().unwrap() }).await;
    let (send, messages) = mpsc::channel(1);
    let taken = Arc::new(AtomicI64::new(0));
    let feeding = tokio::spawn({
        let taken = Arc::clone(&taken);
        async move {
            while send.send(message(taken.load(Ordering::Relaxed) * 100)).await.is_ok() {
                taken.fetch_add(1, Ordering::Relaxed);
            }
        }
    });
    let mut answers = rig.upfits().check_upfits(ReceiverStream::new(messages)).await.unwrap().into_inner();
    // Its place is free once its time is over, though it still reads nothing.
    let others = async {
        let one = || tokio_stream::iter([message(0)]);
        while rig.upfits().check_upfits(one()).await.is_err() {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::time::timeout(Duration::from_secs(20), others).await.expect("others are let in");
    let before = taken.load(Ordering::Relaxed);
    assert!(before < 200, "{before} messages were taken from a caller who read none");
    let error = loop {
        match answers.message().await {
            Ok(Some(_)) => {}
            Ok(None) => panic!("the stream ended as if it were whole"),
            Err(status) => break wrong::<()>(Err(status)),
        }
    };
    assert_eq!(
        (error.code, error.reason.as_str(), error.meta("limit_ms")),
        (Code::DeadlineExceeded, "DEADLINE", "300")
    );
    assert!(error.message.contains("waiting for the caller to read"), "{}", error.message);
    feeding.abort();
}

/// A service on a port of its own.
pub async fn listening(limits: Limits) -> (String, oneshot::Sender<()>, tokio::task::JoinHandle<Duration>) {
    let config = Config { limits, ..Config::in_memory().unwrap() };
    let service = Service::open(config.clone()).await.unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let (stop, stopped) = oneshot::channel();
    let task = tokio::spawn(async move {
        let told = async {
            stopped.await.unwrap();
            Instant::now()
        };
        let (send, at) = oneshot::channel();
        let connections = service.incoming(listener, &config).unwrap();
        let served = service.serve_with_incoming(connections, async move {
            send.send(told.await).unwrap();
        });
        served.await.unwrap();
        at.await.unwrap().elapsed()
    });
    (address, stop, task)
}

#[tokio::test]
async fn a_connection_over_the_limit_is_turned_away_and_one_that_closes_makes_room() {
    let (address, stop, task) = listening(Limits { connections: 2, ..Default::default() }).await;
    let call = async |address: &str| {
        let channel = Endpoint::from_shared(address.to_owned()).unwrap().connect().await?;
        let mut steward = StewardServiceClient::new(channel);
        let answer = steward.server_info(pb::ServerInfoRequest {}).await;
        Ok::<_, tonic::transport::Error>(answer.map(|_| steward))
    };
    let first = call(&address).await.unwrap().unwrap();
    let second = call(&address).await.unwrap().unwrap();
    // Turned away while it connects, or at its first call: either way without an answer.
    let third = call(&address).await;
    assert!(!matches!(third, Ok(Ok(_))), "a third connection was served");
    assert!(first.clone().server_info(pb::ServerInfoRequest {}).await.is_ok(), "those that are open go on");
    drop(first);
    let room = async {
        while !matches!(call(&address).await, Ok(Ok(_))) {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::time::timeout(Duration::from_secs(10), room).await.expect("a closed connection makes room");
    drop(second);
    stop.send(()).unwrap();
    task.await.unwrap();
}

#[tokio::test]
async fn the_end_waits_for_running_calls_but_not_for_ever() {
    let drain = Duration::from_millis(400);
    let (address, stop, task) = listening(Limits { drain, ..Default::default() }).await;
    let channel = Endpoint::from_shared(address).unwrap().connect().await.unwrap();
    let mut upfits = pb::upfits_service_client::UpfitsServiceClient::new(channel);
    // A stream that its caller neither feeds nor ends.
    let (_held, messages) = mpsc::channel(1);
    let mut answers = upfits.check_upfits(ReceiverStream::new(messages)).await.unwrap().into_inner();
    stop.send(()).unwrap();
    let took = tokio::time::timeout(Duration::from_secs(10), task).await.expect("it ends").unwrap();
    assert!(drain <= took, "running calls are given their time: {took:?}");
    let end = tokio::time::timeout(Duration::from_secs(10), answers.message()).await.expect("the caller is told");
    assert!(end.is_err(), "a stream cut short does not end as if it were whole: {end:?}");
}
