//! More than the service takes: the rest is turned away in words, and health answers.

use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_server::Limits;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Code, Request};
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_client::HealthClient;

use crate::rig::{Rig, wrong};

/// Opens an import that is never finished: a call that stays.
async fn linger(rig: &Rig) -> (mpsc::Sender<pb::ImportEntriesRequest>, tokio::task::JoinHandle<()>) {
    let (sender, receiver) = mpsc::channel(1);
    let mut book = rig.book();
    let task = tokio::spawn(async move {
        drop(book.import_entries(ReceiverStream::new(receiver)).await);
    });
    sender.send(pb::ImportEntriesRequest::default()).await.unwrap();
    tokio::time::sleep(Duration::from_millis(50)).await;
    (sender, task)
}

#[tokio::test]
async fn calls_over_the_limit_are_told_when_to_come_back() {
    let rig = Rig::limited(Limits { calls: 2, ..Default::default() }).await;
    let (first, one) = linger(&rig).await;
    let (second, two) = linger(&rig).await;
    let error = wrong(rig.steward().server_info(pb::ServerInfoRequest {}).await);
    assert_eq!(
        (error.code, error.reason.as_str(), error.meta("in_flight")),
        (Code::ResourceExhausted, "OVERLOADED", "2")
    );
    let retry = error.details.retry_info().unwrap().retry_delay.unwrap();
    assert_eq!(retry, Duration::from_millis(200));
    let mut health = HealthClient::new(rig.embedded.channel());
    assert_eq!(health.check(HealthCheckRequest::default()).await.unwrap().into_inner().status, 1);
    drop((first, second));
    one.await.unwrap();
    two.await.unwrap();
    assert!(rig.steward().server_info(pb::ServerInfoRequest {}).await.is_ok());
}

#[tokio::test]
async fn a_caller_s_deadline_is_kept() {
    let rig = Rig::memory().await;
    let (_sender, receiver) = mpsc::channel(1);
    let mut request = Request::new(ReceiverStream::<pb::ImportEntriesRequest>::new(receiver));
    request.metadata_mut().insert("grpc-timeout", "80m".parse().unwrap());
    let error = wrong(rig.book().import_entries(request).await);
    assert_eq!((error.code, error.reason.as_str(), error.meta("limit_ms")), (Code::DeadlineExceeded, "DEADLINE", "80"));
}
