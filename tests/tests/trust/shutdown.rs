//! SIGTERM: health turns, running calls finish within the time to drain, the program ends with 0. A second signal ends it at
//! once, and what was acknowledged is there.

use std::time::{Duration, Instant};

use baybook_proto::v1 as pb;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic_health::pb::{HealthCheckRequest, health_check_response::ServingStatus, health_client::HealthClient};

use crate::{
    bolt,
    daemon::{Daemon, book, connect, everything},
    runtime,
};

/// The time that running calls are given, as `ServerInfo` tells it.
const DRAIN: Duration = Duration::from_secs(20);

/// An import that is under way: its first message is in the book, its end has not come.
async fn half_an_import(
    address: std::net::SocketAddr,
) -> (mpsc::Sender<pb::ImportEntriesRequest>, tokio::task::JoinHandle<Result<pb::ImportEntriesResponse, tonic::Status>>)
{
    let (send, messages) = mpsc::channel(4);
    let mut client = book(address).await;
    let running = tokio::spawn(async move {
        client.import_entries(ReceiverStream::new(messages)).await.map(tonic::Response::into_inner)
    });
    send.send(message("bolts/first")).await.unwrap();
    let mut reader = book(address).await;
    let request = pb::GetEntryRequest { name: "bolts/first".to_owned(), min_revision: 0 };
    while reader.get_entry(request.clone()).await.is_err() {
        tokio::time::sleep(Duration::from_millis(2)).await;
    }
    (send, running)
}

fn message(name: &str) -> pb::ImportEntriesRequest {
    pb::ImportEntriesRequest { entries: vec![bolt(name, 1, "")], author: "M. Oduya".to_owned(), validate_only: false }
}

#[test]
fn a_signal_lets_running_calls_finish_and_turns_health() {
    let folder = tempfile::tempdir().unwrap();
    runtime().block_on(async {
        let (daemon, address) = Daemon::start(folder.path());
        let (send, running) = half_an_import(address).await;
        let request = HealthCheckRequest { service: String::new() };
        let mut watched = HealthClient::new(connect(address).await).watch(request).await.unwrap().into_inner();
        assert_eq!(watched.message().await.unwrap().unwrap().status(), ServingStatus::Serving);
        let idle = connect(address).await;
        drop(book(address).await);
        daemon.signal("-TERM");
        let turned =
            tokio::time::timeout(Duration::from_secs(2), watched.message()).await.expect("health turns at once");
        assert_eq!(turned.unwrap().unwrap().status(), ServingStatus::NotServing);
        // Nobody new is let in, by a connection of old or a new one.
        tokio::time::sleep(Duration::from_millis(50)).await;
        assert!(tokio::net::TcpStream::connect(address).await.is_err(), "a new connection was let in");
        let late = HealthClient::new(idle).check(HealthCheckRequest { service: String::new() }).await;
        assert!(late.is_err() || late.unwrap().into_inner().status() == ServingStatus::NotServing);
        // The import goes on to its end and is acknowledged.
        send.send(message("bolts/second")).await.unwrap();
        drop(send);
        let reply = running.await.unwrap().expect("a running call is finished");
        assert_eq!((reply.created_count, reply.error_count), (2, 0));
        let begun = Instant::now();
        let ended = daemon.ended(DRAIN);
        println!(
            "ended {} ms after its last call, with somebody still watching its health",
            begun.elapsed().as_millis()
        );
        assert_eq!(ended.code(), Some(0));
        assert!(begun.elapsed() < Duration::from_secs(10), "who only watches the health holds nobody up");
        let (_daemon, address) = Daemon::start(folder.path());
        let (_, entries) = everything(&mut book(address).await).await;
        let names: Vec<&str> = entries.iter().map(|entry| entry.name.as_str()).collect();
        assert_eq!(names, ["bolts/first", "bolts/second"]);
    });
}

#[test]
fn a_call_that_does_not_end_holds_the_end_up_no_longer_than_the_time_to_drain() {
    let folder = tempfile::tempdir().unwrap();
    runtime().block_on(async {
        let (daemon, address) = Daemon::start(folder.path());
        let (send, running) = half_an_import(address).await;
        let begun = Instant::now();
        daemon.signal("-TERM");
        let ended = tokio::task::spawn_blocking(move || daemon.ended(DRAIN + Duration::from_secs(5))).await.unwrap();
        let took = begun.elapsed();
        println!("ended {} ms after the signal, with a call that never ends", took.as_millis());
        assert_eq!(ended.code(), Some(0));
        assert!(took > DRAIN - Duration::from_secs(1), "the call was given its time");
        assert!(running.await.unwrap().is_err());
        drop(send);
        let (_daemon, address) = Daemon::start(folder.path());
        assert_eq!(everything(&mut book(address).await).await.1.len(), 1);
    });
}

#[test]
fn a_second_signal_ends_it_at_once_and_loses_nothing() {
    for (first, second) in [("-TERM", "-TERM"), ("-INT", "-TERM"), ("-TERM", "-INT")] {
        let folder = tempfile::tempdir().unwrap();
        runtime().block_on(async {
            let (daemon, address) = Daemon::start(folder.path());
            let (_send, running) = half_an_import(address).await;
            let mut client = book(address).await;
            let mut told = 0_u64;
            let mut writer = tokio::spawn(async move {
                for number in 1.. {
                    let entry = Some(bolt("bolts/told", number, ""));
                    let request = pb::PutEntryRequest { entry, ..Default::default() };
                    if client.put_entry(request).await.is_err() {
                        return told;
                    }
                    told = number;
                }
                told
            });
            tokio::time::sleep(Duration::from_millis(100)).await;
            daemon.signal(first);
            tokio::time::sleep(Duration::from_millis(60)).await;
            let begun = Instant::now();
            daemon.signal(second);
            let ended = daemon.ended(Duration::from_secs(3));
            let took = begun.elapsed();
            assert_eq!(ended.code(), Some(130), "{first} {second}");
            assert!(took < Duration::from_secs(1), "{first} {second}: {took:?}");
            assert!(running.await.unwrap().is_err());
            let told = (&mut writer).await.unwrap();
            let (_daemon, address) = Daemon::start(folder.path());
            let (_, entries) = everything(&mut book(address).await).await;
            let found = entries.iter().find(|entry| entry.name == "bolts/told").map_or(0, crate::number);
            assert!(found >= told && told > 0, "{first} {second}: told of {told}, found {found}");
        });
    }
}
