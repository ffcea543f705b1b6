//! More callers than there is room for, and callers who do not play by the rules: who gets a place, and who gives one up.

use std::time::{Duration, Instant};

use baybook_proto::v1 as pb;
use baybook_proto::v1::spec_book_service_client::SpecBookServiceClient;
use baybook_proto::v1::steward_service_client::StewardServiceClient;
use baybook_server::{Limits, Service};
use bytes::Bytes;
use http_body::Frame;
use prost::Message as _;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Status};
use tower::{Service as _, ServiceExt as _};

use crate::rig::{Rig, demo_folder, plan, wrong};
use crate::strain::listening;

/// The preface of HTTP/2 and an empty SETTINGS frame, RFC 9113 sections 3.4 and 6.5.
const GREETING: &[u8] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\x00\x00\x00\x04\x00\x00\x00\x00\x00";

const PATIENCE: Duration = Duration::from_secs(20);

async fn connect(address: &str) -> Result<Channel, tonic::transport::Error> {
    Endpoint::from_shared(address.to_owned()).unwrap().connect().await
}

/// Whether somebody who comes now is answered.
async fn is_served(address: &str) -> bool {
    let Ok(channel) = connect(address).await else { return false };
    StewardServiceClient::new(channel).server_info(pb::ServerInfoRequest {}).await.is_ok()
}

async fn greet(address: &str) -> TcpStream {
    let mut stream = TcpStream::connect(address.trim_start_matches("http://")).await.unwrap();
    stream.write_all(GREETING).await.unwrap();
    stream
}

/// Waits until the service has closed its side.
async fn is_closed(stream: &mut TcpStream) -> bool {
    let mut rest = Vec::new();
    tokio::time::timeout(PATIENCE, stream.read_to_end(&mut rest)).await.is_ok()
}

#[tokio::test]
async fn the_connection_that_was_quiet_for_longest_makes_room() {
    let limits = Limits { connections: 2, connection_quiet: Duration::from_millis(500), ..Limits::default() };
    let (address, stop, task) = listening(limits).await;
    let mut quiet = greet(&address).await;
    let mut busy = StewardServiceClient::new(connect(&address).await.unwrap());
    busy.server_info(pb::ServerInfoRequest {}).await.unwrap();
    assert!(!is_served(&address).await, "nobody has been quiet for long");
    tokio::time::sleep(Duration::from_millis(700)).await;
    busy.server_info(pb::ServerInfoRequest {}).await.unwrap();
    assert!(is_served(&address).await, "the quiet one makes room");
    assert!(is_closed(&mut quiet).await);
    assert!(busy.server_info(pb::ServerInfoRequest {}).await.is_ok(), "the one that calls stays");
    drop(busy);
    stop.send(()).unwrap();
    task.await.unwrap();
}

#[tokio::test]
async fn one_that_waits_for_an_answer_is_never_closed_to_make_room() {
    let limits = Limits { connections: 1, connection_quiet: Duration::from_millis(100), ..Limits::default() };
    let (address, stop, task) = listening(limits).await;
    let mut watching = SpecBookServiceClient::new(connect(&address).await.unwrap());
    let mut stream = watching.watch_book(pb::WatchBookRequest::default()).await.unwrap().into_inner();
    assert!(stream.message().await.unwrap().is_some());
    tokio::time::sleep(Duration::from_millis(400)).await;
    assert!(!is_served(&address).await);
    assert!(watching.list_entries(pb::ListEntriesRequest::default()).await.is_ok(), "it is still connected");
    drop((stream, watching));
    stop.send(()).unwrap();
    task.await.unwrap();
}

#[tokio::test]
async fn who_breaks_the_rules_is_not_heard_any_more_and_the_first_to_make_room() {
    let limits = Limits { connections: 1, ill_hold: PATIENCE * 10, ..Limits::default() };
    let (address, stop, task) = listening(limits).await;
    let mut ill = greet(&address).await;
    // SETTINGS of 5 bytes, which are no whole settings: a connection error of the kind FRAME_SIZE_ERROR, section 6.5.
    ill.write_all(b"\x00\x00\x05\x04\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00").await.unwrap();
    let mut told = Vec::new();
    tokio::time::timeout(PATIENCE, ill.read_to_end(&mut told)).await.unwrap().unwrap();
    let goaway = told.windows(5).any(|head| head[3] == 7 && head[..2] == [0, 0]);
    assert!(goaway, "it is told why: {told:?}");
    // It still has the only place, long before it would be quiet enough to give it up, and gives it up at once.
    let served = async {
        while !is_served(&address).await {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::time::timeout(PATIENCE, served).await.expect("it makes room");
    stop.send(()).unwrap();
    task.await.unwrap();
}

/// A call whose request comes in pieces, or not at all.
async fn call(channel: &Channel, path: &str, pieces: mpsc::Receiver<Result<Frame<Bytes>, Status>>) -> Status {
    let body = tonic::body::Body::new(http_body_util::StreamBody::new(ReceiverStream::new(pieces)));
    let request = http::Request::post(format!("http://here{path}"));
    let request = request.header("content-type", "application/grpc").header("te", "trailers").body(body).unwrap();
    let response = channel.clone().ready().await.unwrap().call(request).await.unwrap();
    Status::from_header_map(response.headers()).unwrap()
}

#[tokio::test]
async fn a_request_has_to_come_whole_in_time() {
    let arrival = Duration::from_millis(400);
    let rig = Rig::limited(Limits { arrival, ..Limits::default() }).await;
    let channel = rig.embedded.channel();
    let message = pb::GetEntryRequest { name: "bolts/none".to_owned(), min_revision: 0 }.encode_to_vec();
    let whole = [&[0, 0, 0, 0, u8::try_from(message.len()).unwrap()][..], &message].concat();
    // Nothing of it, the begin of it, and byte after byte: none of them has longer than another.
    for pace in [None, Some(Duration::from_secs(60)), Some(Duration::from_millis(50))] {
        let (send, pieces) = mpsc::channel(1);
        let bytes = whole.clone();
        let writing = tokio::spawn(async move {
            if let Some(pace) = pace {
                for byte in bytes {
                    let _ = send.send(Ok(Frame::data(Bytes::from(vec![byte])))).await;
                    tokio::time::sleep(pace).await;
                }
            }
            std::future::pending::<()>().await;
        });
        let begun = Instant::now();
        let late = call(&channel, "/baybook.v1.SpecBookService/GetEntry", pieces);
        let error = wrong::<()>(Err(tokio::time::timeout(PATIENCE, late).await.expect("it is not waited for")));
        let took = begun.elapsed();
        assert_eq!((error.code, error.reason.as_str()), (Code::DeadlineExceeded, "DEADLINE"));
        assert!(error.message.contains("waiting for the whole request"), "{}", error.message);
        assert!(arrival <= took && took < arrival * 10, "{took:?}");
        writing.abort();
        // Others on the same connection were not in its way, and are not now.
        assert!(rig.book().list_entries(pb::ListEntriesRequest::default()).await.is_ok());
    }
    // One that comes in pieces, but in time, is answered.
    let (send, pieces) = mpsc::channel(1);
    let writing = tokio::spawn(async move {
        for piece in whole.chunks(4) {
            send.send(Ok(Frame::data(Bytes::copy_from_slice(piece)))).await.unwrap();
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
    });
    let status = call(&channel, "/baybook.v1.SpecBookService/GetEntry", pieces).await;
    assert_eq!(status.code(), Code::NotFound);
    writing.await.unwrap();
}

#[tokio::test]
async fn one_connection_has_half_of_the_watchers_that_others_leave() {
    let (address, stop, task) = listening(Limits { watchers: 8, ..Limits::default() }).await;
    let mut streams = Vec::new();
    let mut watchers = Vec::new();
    for due in [4, 2, 1, 1] {
        let mut book = SpecBookServiceClient::new(connect(&address).await.unwrap());
        let mut had = 0;
        let refusal = loop {
            match book.watch_book(pb::WatchBookRequest::default()).await {
                Ok(stream) => streams.push(stream),
                Err(status) => break wrong::<()>(Err(status)),
            }
            had += 1;
        };
        assert_eq!((refusal.code, refusal.reason.as_str()), (Code::ResourceExhausted, "OVERLOADED"));
        assert_eq!(had, due);
        watchers.push(book);
    }
    drop((streams, watchers));
    stop.send(()).unwrap();
    task.await.unwrap();
}

/// Empty plans: two bytes each on the wire, and more than a kilobyte in memory.
fn crowded(plans: i64) -> pb::CheckUpfitsRequest {
    let plans = (1..=plans).map(|_| pb::NumberedPlan { seq: 0, plan: Some(Box::default()) });
    pb::CheckUpfitsRequest { plans: plans.collect(), ..Default::default() }
}

#[tokio::test]
async fn what_would_take_too_much_once_it_is_unpacked_is_refused_before_that() {
    let rig = Rig::demo().await;
    // The first message of a call, and one in the middle of a stream.
    for before in [vec![], vec![messages().swap_remove(0)]] {
        let asked = before.into_iter().chain([crowded(20_000)]);
        let mut status = None;
        match rig.upfits().check_upfits(tokio_stream::iter(asked)).await {
            Err(refused) => status = Some(refused),
            Ok(stream) => {
                let mut stream = stream.into_inner();
                while status.is_none() {
                    status = match stream.message().await {
                        Ok(answer) => answer.is_none().then(|| Status::ok("it ended")),
                        Err(refused) => Some(refused),
                    };
                }
            }
        }
        let wrong = wrong(Err::<(), _>(status.unwrap()));
        assert_eq!((wrong.code, wrong.reason.as_str()), (Code::InvalidArgument, "OVER_LIMIT"));
        assert_eq!(wrong.meta("limit"), "unpacked_bytes");
    }
    let entries = vec![pb::Entry::default(); 1_000_000];
    let asked = pb::BatchPutEntriesRequest { entries, ..Default::default() };
    let wrong = wrong(rig.book().batch_put_entries(asked).await);
    assert_eq!((wrong.reason.as_str(), wrong.meta("limit")), ("OVER_LIMIT", "unpacked_bytes"));
}

/// Three messages of plans, some of which cannot be read and some of which are one vehicle.
fn messages() -> Vec<pb::CheckUpfitsRequest> {
    let numbered = |seq: i64| {
        let mut plan = plan(if seq % 7 == 0 { "vehicles/nobody" } else { "vehicles/van-l35" });
        plan.unit = format!("unit {seq}");
        pb::NumberedPlan { seq, plan: Some(Box::new(plan)) }
    };
    let message =
        |from: i64, to: i64| pb::CheckUpfitsRequest { plans: (from..to).map(numbered).collect(), ..Default::default() };
    let mut all = vec![message(1, 400), message(400, 401), message(401, 401), message(401, 1_000)];
    all[0].settings = Some(pb::CheckSettings { view: pb::ReportView::Full.into(), ..Default::default() });
    all
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn long_answers_to_a_stream_of_plans_come_in_pieces_and_say_the_same() {
    let limits = Limits { stream_answer_bytes: 16 << 10, ..Limits::default() };
    let config = baybook_server::Config {
        limits: limits.clone(),
        book_folder: demo_folder(),
        ..baybook_server::Config::in_memory().unwrap()
    };
    let rig = Rig::with(config).await;
    let mut stream = rig.upfits().check_upfits(tokio_stream::iter(messages())).await.unwrap().into_inner();
    let (mut pieces, mut summary) = (Vec::new(), None);
    while let Some(answer) = stream.message().await.unwrap() {
        // Sixteen plans are judged at a time.
        let last: usize = answer.results.iter().rev().take(16).map(|result| result.encoded_len() + 64).sum();
        assert!(answer.encoded_len() < limits.stream_answer_bytes + last + 1_024, "{}", answer.encoded_len());
        pieces.push(answer.results);
        summary = answer.summary.or(summary);
    }
    assert!(messages().len() * 4 < pieces.len(), "{} answers", pieces.len());
    let service: &Service = rig.embedded.service();
    let (send, taken) = mpsc::channel(8);
    for message in messages() {
        send.send(baybook_server::embed::Message::Ready(message)).await.unwrap();
    }
    drop(send);
    let mut whole = service.check_upfits(taken).unwrap();
    let (mut results, mut whole_summary) = (Vec::new(), None);
    while let Some(answer) = tokio_stream::StreamExt::next(&mut whole).await {
        let answer = answer.unwrap();
        results.extend(answer.results);
        whole_summary = answer.summary.or(whole_summary);
    }
    assert_eq!(results.len(), 999);
    assert_eq!(pieces.concat(), results);
    assert_eq!(summary, whole_summary);
    assert!(summary.is_some());
}
