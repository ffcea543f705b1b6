//! What goes for every call: ids, limits, health, reflection, the end.

use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_server::{Config, ServeError, bind, incoming, serve};
use tonic::transport::Endpoint;
use tonic::{Code, Request};
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_client::HealthClient;
use tonic_reflection::pb::v1::ServerReflectionRequest;
use tonic_reflection::pb::v1::server_reflection_client::ServerReflectionClient;
use tonic_reflection::pb::v1::server_reflection_request::MessageRequest;
use tonic_reflection::pb::v1::server_reflection_response::MessageResponse;

use crate::rig::{Rig, demo_folder, vehicle, wrong};

#[tokio::test]
async fn a_call_keeps_its_id_or_is_given_one() {
    let rig = Rig::memory().await;
    let ask = |id: Option<&'static str>| {
        let mut request = Request::new(pb::ServerInfoRequest {});
        if let Some(id) = id {
            request.metadata_mut().insert("baybook-request-id", id.parse().unwrap());
        }
        request
    };
    let mut steward = rig.steward();
    let id = |metadata: &tonic::metadata::MetadataMap| {
        metadata.get("baybook-request-id").unwrap().to_str().unwrap().to_owned()
    };
    assert_eq!(id(steward.server_info(ask(Some("bay-3.0017"))).await.unwrap().metadata()), "bay-3.0017");
    let first = id(steward.server_info(ask(None)).await.unwrap().metadata());
    let second = id(steward.server_info(ask(None)).await.unwrap().metadata());
    assert!(first.len() == 17 && first != second);
    // One that cannot be logged safely is not taken over.
    assert_eq!(id(steward.server_info(ask(Some("two words"))).await.unwrap().metadata()).len(), 17);

    let mut request = Request::new(pb::GetEntryRequest { name: "x".to_owned(), ..Default::default() });
    request.metadata_mut().insert("baybook-request-id", "mine".parse().unwrap());
    let status = rig.book().get_entry(request).await.unwrap_err();
    assert_eq!(id(status.metadata()), "mine");
    assert_eq!(wrong::<()>(Err(status)).details.request_info().unwrap().request_id, "mine");
}

#[tokio::test]
async fn the_service_tells_what_it_is_and_every_limit() {
    let rig = Rig::demo().await;
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    assert_eq!((info.engine.as_str(), info.revision, info.writable), ("memory", 1, true));
    assert_eq!(info.rule_count as usize, baybook_core::rules::RULES.len());
    let vehicles = info.folders.iter().find(|row| row.folder == "vehicles").unwrap();
    assert!(vehicles.entry_count >= 12 && info.folders.len() == 16);
    for name in ["receive_bytes", "entry_bytes", "message_plans", "calls", "stream_idle", "drain"] {
        assert!(info.limits.iter().any(|limit| limit.name == name && limit.max_count > 0), "{name}");
    }
}

#[tokio::test]
async fn a_message_over_its_limit_is_refused_in_words() {
    let rig = Rig::memory().await;
    let mut large = vehicle("van-7", "x");
    large.note = "x".repeat(5 << 20);
    let request = pb::PutEntryRequest { entry: Some(large), ..Default::default() };
    let error = wrong(rig.book().put_entry(request).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "OVER_LIMIT"));
    assert_eq!((error.meta("limit"), error.meta("max")), ("receive_bytes", "4194304"));
    assert!(error.meta("is").parse::<u64>().unwrap() > 5 << 20);

    let entries = (0..1_001).map(|n| vehicle(&format!("v-{n}"), "x")).collect();
    let error = wrong(rig.book().batch_put_entries(pb::BatchPutEntriesRequest { entries, ..Default::default() }).await);
    assert_eq!((error.meta("limit"), error.meta("max"), error.meta("is")), ("batch_entries", "1000", "1001"));
    let names = vec!["vehicles/x".to_owned(); 1_001];
    let error = wrong(rig.book().batch_get_entries(pb::BatchGetEntriesRequest { names, ..Default::default() }).await);
    assert_eq!(error.meta("limit"), "batch_entries");
    let error = wrong(rig.book().list_entries(pb::ListEntriesRequest { page_size: 1_001, ..Default::default() }).await);
    assert_eq!(error.fields(), ["page_size"]);
}

#[tokio::test]
async fn what_does_not_exist_and_what_cannot_be_read_are_said_with_details() {
    let rig = Rig::memory().await;
    let mut raw = tonic::client::Grpc::new(rig.embedded.channel());
    let codec = || tonic_prost::ProstCodec::<pb::EntrySource, pb::GetEntryResponse>::default();
    for path in ["/baybook.v1.SpecBookService/GetEntrie", "/baybook.v1.NoService/Get", "/other/Get"] {
        raw.ready().await.unwrap();
        let sent = raw.unary(Request::new(pb::EntrySource::default()), path.parse().unwrap(), codec()).await;
        let error = wrong(sent);
        assert_eq!((error.code, error.reason.as_str()), (Code::Unimplemented, "NO_SUCH_METHOD"));
        assert_eq!(error.meta("method"), path);
    }
    // Field 2 is a number in the request and a text in what is sent.
    raw.ready().await.unwrap();
    let other = pb::EntrySource { page: "12".to_owned(), ..Default::default() };
    let path = "/baybook.v1.SpecBookService/GetEntry".parse().unwrap();
    let error = wrong(raw.unary(Request::new(other), path, codec()).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "BAD_FIELDS"));
}

#[tokio::test]
async fn health_and_reflection_are_served() {
    let rig = Rig::memory().await;
    let mut health = HealthClient::new(rig.embedded.channel());
    let reply = health.check(HealthCheckRequest::default()).await.unwrap().into_inner();
    assert_eq!(reply.status, 1);
    let ask = ServerReflectionRequest {
        host: String::new(),
        message_request: Some(MessageRequest::ListServices(String::new())),
    };
    let mut reflection = ServerReflectionClient::new(rig.embedded.channel());
    let mut stream = reflection.server_reflection_info(tokio_stream::once(ask)).await.unwrap().into_inner();
    let reply = stream.message().await.unwrap().unwrap().message_response.unwrap();
    let MessageResponse::ListServicesResponse(list) = reply else { panic!("{reply:?}") };
    let mut names: Vec<_> = list.service.into_iter().map(|service| service.name).collect();
    names.sort();
    let expected = [
        "baybook.v1.CalculatorService",
        "baybook.v1.SpecBookService",
        "baybook.v1.StewardService",
        "baybook.v1.UpfitsService",
        "grpc.health.v1.Health",
        "grpc.reflection.v1.ServerReflection",
    ];
    assert_eq!(names, expected);
}

#[tokio::test]
async fn others_are_let_in_only_when_they_are_known_and_private() {
    let config = Config { listen: "0.0.0.0:0".parse().unwrap(), ..Config::in_memory().unwrap() };
    let error = bind(&config).await.unwrap_err().to_string();
    assert!(error.contains("tls = \"FOLDER") && error.contains("access = \"tokens\""), "{error}");
    let open = tokio::net::TcpListener::bind("0.0.0.0:0").await.unwrap();
    assert!(matches!(incoming(open, &Config::in_memory().unwrap()), Err(ServeError::Config(_))));
    let none = tokio_stream::empty::<std::io::Result<tokio::net::TcpStream>>();
    assert!(matches!(serve(config, none, std::future::pending()).await, Err(ServeError::Config(_))));
}

#[tokio::test]
async fn the_service_is_served_over_tcp_and_stops_in_good_order() {
    let listen = "127.0.0.1:0".parse().unwrap();
    let config = Config { listen, book_folder: demo_folder(), ..Config::in_memory().unwrap() };
    let listener = bind(&config).await.unwrap();
    let address = listener.local_addr().unwrap();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let connections = incoming(listener, &config).unwrap();
    let served = tokio::spawn(serve(config, connections, async move {
        stopped.await.unwrap();
    }));
    let channel = Endpoint::from_shared(format!("http://{address}")).unwrap().connect().await.unwrap();
    let mut upfits = pb::upfits_service_client::UpfitsServiceClient::new(channel.clone());
    let (sender, receiver) = tokio::sync::mpsc::channel(1);
    let stream = tokio_stream::wrappers::ReceiverStream::new(receiver);
    let mut stream = upfits.check_upfits(stream).await.unwrap().into_inner();
    let mut watch = HealthClient::new(channel.clone()).watch(HealthCheckRequest::default()).await.unwrap().into_inner();
    assert_eq!(watch.message().await.unwrap().unwrap().status, 1);
    stop.send(()).unwrap();
    // Health turns first; what is running goes on to its end.
    assert_eq!(watch.message().await.unwrap().unwrap().status, 2);
    drop(watch);
    sender.send(pb::CheckUpfitsRequest::default()).await.unwrap();
    drop(sender);
    assert!(stream.message().await.unwrap().unwrap().summary.is_some());
    drop((stream, upfits, channel));
    tokio::time::timeout(Duration::from_secs(10), served).await.unwrap().unwrap().unwrap();
    assert!(tokio::net::TcpStream::connect(address).await.is_err());
}
