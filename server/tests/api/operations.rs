//! What the service tells of itself on the admin port, and who is let in to it.

use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_proto::v1::spec_book_service_client::SpecBookServiceClient;
use baybook_server::{AdminAt, Config, EngineKind, Limits, Service, bind, bind_admin};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tonic::transport::Endpoint;

use crate::rig::{demo_folder, vehicle};

/// A service on a port of its own, with its admin port.
struct House {
    address: String,
    admin: String,
    stop: Option<oneshot::Sender<()>>,
    task: tokio::task::JoinHandle<()>,
}

impl House {
    async fn open(config: Config) -> Self {
        let listener = bind(&config).await.unwrap();
        let address = listener.local_addr().unwrap();
        let admin = bind_admin(&config, address).await.unwrap().unwrap();
        let admin_address = admin.local_addr().unwrap().to_string();
        assert!(admin_address.starts_with("127.0.0.1:"), "{admin_address}");
        let service = Service::open(config.clone()).await.unwrap();
        let incoming = service.incoming(listener, &config).unwrap();
        tokio::spawn(service.serve_admin(admin));
        let (stop, stopped) = oneshot::channel();
        let task = tokio::spawn(async move {
            service.serve_with_incoming(incoming, async { drop(stopped.await) }).await.unwrap();
        });
        Self { address: format!("http://{address}"), admin: admin_address, stop: Some(stop), task }
    }

    async fn book(&self) -> SpecBookServiceClient<tonic::transport::Channel> {
        let channel = Endpoint::from_shared(self.address.clone()).unwrap().connect().await.unwrap();
        SpecBookServiceClient::new(channel)
    }

    /// Asks the admin port, and returns the head and the body of its answer.
    async fn ask(&self, line: &str) -> (String, String) {
        let mut stream = TcpStream::connect(&self.admin).await.unwrap();
        stream.write_all(format!("{line} HTTP/1.1\r\nHost: here\r\n\r\n").as_bytes()).await.unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).await.unwrap();
        let (head, body) = answer.split_once("\r\n\r\n").unwrap();
        (head.to_owned(), body.to_owned())
    }

    async fn metrics(&self) -> String {
        let (head, body) = self.ask("GET /metrics").await;
        assert!(
            head.starts_with("HTTP/1.1 200 ") && head.contains("application/openmetrics-text; version=1.0.0"),
            "{head}"
        );
        assert!(body.ends_with("# EOF\n"), "{body}");
        body
    }
}

fn config() -> Config {
    Config { listen: "127.0.0.1:0".parse().unwrap(), ..Config::in_memory().unwrap() }
}

/// Reads the value of one line.
fn value(text: &str, name: &str) -> f64 {
    let line = text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(' '));
    line.unwrap_or_else(|| panic!("no {name} in\n{text}")).parse().unwrap()
}

#[tokio::test]
async fn calls_commits_and_syncs_are_counted_and_timed() {
    let directory = tempfile::tempdir().unwrap();
    let house =
        House::open(Config { engine: EngineKind::Sled, data_dir: directory.path().to_owned(), ..config() }).await;
    let mut book = house.book().await;
    for number in 0..3 {
        let entry = Some(vehicle(&format!("van-{number}"), "a van"));
        book.put_entry(pb::PutEntryRequest { entry, author: "sam".to_owned(), ..Default::default() }).await.unwrap();
    }
    let get = |name: &str| pb::GetEntryRequest { name: name.to_owned(), min_revision: 0 };
    book.get_entry(get("vehicles/van-1")).await.unwrap();
    book.get_entry(get("vehicles/nobody")).await.unwrap_err();
    let mut export = book.export_entries(pb::ExportEntriesRequest::default()).await.unwrap().into_inner();
    while export.message().await.unwrap().is_some() {}
    let text = house.metrics().await;
    let calls = |method: &str, code: &str| {
        let labels = format!("{{service=\"baybook.v1.SpecBookService\",method=\"{method}\",code=\"{code}\"}}");
        value(&text, &format!("baybook_call_duration_seconds_count{labels}"))
    };
    assert_eq!([calls("PutEntry", "OK"), calls("GetEntry", "OK"), calls("GetEntry", "NOT_FOUND")], [3.0, 1.0, 1.0]);
    assert_eq!(calls("ExportEntries", "OK"), 1.0, "a stream is measured when it ends");
    // The export is noted in the book, so that there is one commit more than there are puts.
    for what in ["commit", "fsync"] {
        let count = value(&text, &format!("baybook_{what}_duration_seconds_count"));
        assert!(3.0 <= count, "{what}: {count}");
        let sum = value(&text, &format!("baybook_{what}_duration_seconds_sum"));
        assert!(0.0 < sum && sum < 60.0, "{what}: {sum} s");
        assert_eq!(value(&text, &format!("baybook_{what}_duration_seconds_bucket{{le=\"+Inf\"}}")), count);
    }
    assert_eq!(value(&text, "baybook_entries{folder=\"vehicles\"}"), 3.0);
    assert!(3.0 <= value(&text, "baybook_revision"));
    assert_eq!(value(&text, "baybook_writable"), 1.0);
    assert!(0.0 < value(&text, "baybook_disk_size_bytes"));
    assert!(value(&text, "baybook_disk_free_bytes") <= value(&text, "baybook_disk_size_bytes"));
    assert_eq!(value(&text, "baybook_connections_open"), 1.0);
    assert_eq!(value(&text, "baybook_faults_total"), 0.0);
    for what in ["calls", "waiting", "streams", "connections", "silent"] {
        assert_eq!(value(&text, &format!("baybook_shed_total{{what=\"{what}\"}}")), 0.0);
    }
}

#[tokio::test]
async fn what_is_turned_away_is_counted() {
    let limits = Limits { streams: 0, connections: 1, ..Limits::default() };
    let house = House::open(Config { limits, book_folder: demo_folder(), ..config() }).await;
    let mut book = house.book().await;
    book.export_entries(pb::ExportEntriesRequest::default()).await.unwrap_err();
    // A second connection gets no place, and is closed.
    let mut second = TcpStream::connect(house.address.trim_start_matches("http://")).await.unwrap();
    let read = tokio::time::timeout(Duration::from_secs(10), second.read(&mut [0; 8])).await.unwrap();
    assert!(matches!(read, Ok(0) | Err(_)), "{read:?}");
    let text = house.metrics().await;
    assert_eq!(value(&text, "baybook_shed_total{what=\"streams\"}"), 1.0);
    assert_eq!(value(&text, "baybook_shed_total{what=\"connections\"}"), 1.0);
    let refused = "{service=\"baybook.v1.SpecBookService\",method=\"ExportEntries\",code=\"RESOURCE_EXHAUSTED\"}";
    assert_eq!(value(&text, &format!("baybook_call_duration_seconds_count{refused}")), 1.0);
    drop(book);
}

#[tokio::test]
async fn whoever_says_nothing_is_dropped() {
    let limits = Limits { handshake: Duration::from_millis(200), ..Limits::default() };
    let house = House::open(Config { limits, ..config() }).await;
    let address = house.address.trim_start_matches("http://");
    for first_words in [&b""[..], b"PRI * HTTP/2.0"] {
        let mut silent = TcpStream::connect(address).await.unwrap();
        silent.write_all(first_words).await.unwrap();
        let mut said = Vec::new();
        // What the service says first, and then the end.
        let end = tokio::time::timeout(Duration::from_secs(10), silent.read_to_end(&mut said)).await;
        assert!(end.is_ok(), "a silent caller keeps its place");
    }
    assert_eq!(value(&house.metrics().await, "baybook_shed_total{what=\"silent\"}"), 2.0);
    // One that greeted keeps its connection though it says nothing more.
    let mut book = house.book().await;
    tokio::time::sleep(Duration::from_millis(500)).await;
    book.list_entries(pb::ListEntriesRequest::default()).await.unwrap();
}

#[tokio::test]
async fn it_is_alive_to_the_end_and_ready_while_it_takes_calls() {
    let limits = Limits { drain: Duration::from_millis(600), ..Limits::default() };
    let mut house = House::open(Config { limits, ..config() }).await;
    let (head, body) = house.ask("GET /ready").await;
    assert!(head.starts_with("HTTP/1.1 200 ") && body.starts_with("ready at book revision "), "{head}\n{body}");
    for (line, status) in
        [("GET /live", "200"), ("HEAD /live", "200"), ("GET /entries", "404"), ("POST /metrics", "405")]
    {
        let (head, _) = house.ask(line).await;
        assert!(head.starts_with(&format!("HTTP/1.1 {status} ")), "{line}: {head}");
    }
    // A stream that is not ended keeps the service draining for as long as it may.
    let (_held, messages) = tokio::sync::mpsc::channel::<pb::ImportEntriesRequest>(1);
    let mut book = house.book().await;
    let import = tokio::spawn(async move {
        book.import_entries(tokio_stream::wrappers::ReceiverStream::new(messages)).await.map(drop)
    });
    tokio::time::sleep(Duration::from_millis(200)).await;
    house.stop.take().unwrap().send(()).unwrap();
    tokio::time::sleep(Duration::from_millis(200)).await;
    let (ready, _) = house.ask("GET /ready").await;
    assert!(ready.starts_with("HTTP/1.1 503 "), "{ready}");
    assert!(house.ask("GET /live").await.0.starts_with("HTTP/1.1 200 "));
    house.task.await.unwrap();
    import.await.unwrap().unwrap_err();
}

#[tokio::test]
async fn there_is_no_admin_port_when_it_is_off_and_a_taken_one_is_named() {
    let off = Config { admin: AdminAt::Off, ..config() };
    assert!(bind_admin(&off, "127.0.0.1:1".parse().unwrap()).await.unwrap().is_none());
    let taken = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let at = Config { admin: AdminAt::At(taken.local_addr().unwrap()), ..config() };
    let error = bind_admin(&at, "127.0.0.1:1".parse().unwrap()).await.unwrap_err().to_string();
    assert!(error.contains("set admin to a free port, or to off"), "{error}");
}
