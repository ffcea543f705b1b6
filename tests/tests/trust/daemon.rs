//! The built program as a service in a process of its own.

use std::{
    io::{BufRead as _, BufReader},
    net::SocketAddr,
    path::Path,
    process::{Child, Command, ExitStatus, Stdio},
    sync::{Arc, Mutex, mpsc},
    time::{Duration, Instant},
};

use baybook_proto::v1::{self as pb, spec_book_service_client::SpecBookServiceClient};
use tonic::transport::{Channel, Endpoint};
use tonic_health::pb::{HealthCheckRequest, health_check_response::ServingStatus, health_client::HealthClient};

use crate::program::program;

/// How long a start may take.
const PATIENCE: Duration = Duration::from_secs(60);

/// A service that was started and may not listen yet; killed when dropped.
pub struct Daemon {
    child: Child,
    told: Arc<Mutex<Vec<String>>>,
    listens: mpsc::Receiver<SocketAddr>,
}

impl Daemon {
    /// Starts the service on a data directory with settings of its own, by the names they have in the environment after
    /// `BAYBOOK_`, and does not wait for it.
    pub fn begin_with(data: &Path, settings: &[(&str, &str)]) -> Self {
        let mut command = Command::new(program());
        let own = ["SERVER", "BOOK_FOLDER", "DATA_DIR", "LISTEN", "ENGINE", "LOG", "TLS", "ACCESS", "BACKUP_DIR"];
        for variable in own.into_iter().chain(["HISTORY_COMMITS", "HISTORY_DAYS", "KEEP_BACKUPS"]) {
            command.env_remove(format!("BAYBOOK_{variable}"));
        }
        command.envs(settings.iter().map(|(name, value)| (format!("BAYBOOK_{name}"), *value)));
        command.args(["serve", "--listen", "127.0.0.1:0", "--log", "warn", "--data"]).arg(data).env("NO_COLOR", "1");
        command.env("BAYBOOK_BACKUP_DIR", data.with_file_name("backups"));
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let lines = BufReader::new(child.stderr.take().expect("it talks into a pipe")).lines();
        let told = Arc::new(Mutex::new(Vec::new()));
        let (tell, listens) = mpsc::channel();
        let own = Arc::clone(&told);
        std::thread::spawn(move || {
            for line in lines.map_while(Result::ok) {
                if let Some(address) = line.strip_prefix("listening on ") {
                    // Who does not wait for it has gone on.
                    let _ = tell.send(address.parse().expect("an address"));
                }
                own.lock().expect("no reader fails").push(line);
            }
        });
        Self { child, told, listens }
    }

    /// Starts the service on a data directory and waits until it listens.
    pub fn start(data: &Path) -> (Self, SocketAddr) {
        Self::start_with(data, &[])
    }

    /// The same with settings of its own, by the names they have in the environment after `BAYBOOK_`.
    pub fn start_with(data: &Path, settings: &[(&str, &str)]) -> (Self, SocketAddr) {
        let mut daemon = Self::begin_with(data, settings);
        match daemon.listens.recv_timeout(PATIENCE) {
            Ok(address) => (daemon, address),
            Err(_) => {
                let ended = daemon.child.try_wait().expect("it can be waited for");
                panic!("the service does not start: {ended:?}\n{}", daemon.told());
            }
        }
    }

    /// What it has said so far.
    pub fn told(&self) -> String {
        self.told.lock().expect("no reader fails").join("\n")
    }

    /// Ends it as a loss of power would end the process: it is not asked.
    pub fn kill(mut self) {
        self.child.kill().expect("it can be killed");
        self.child.wait().expect("it ends");
    }

    /// Sends it a signal.
    pub fn signal(&self, signal: &str) {
        let sent = Command::new("kill").args([signal, &self.child.id().to_string()]).status().expect("kill runs");
        assert!(sent.success(), "kill {signal}");
    }

    /// Waits for its end.
    pub fn ended(mut self, within: Duration) -> ExitStatus {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("it can be waited for") {
                return status;
            }
            assert!(begun.elapsed() < within, "the service runs on after {within:?}\n{}", self.told());
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Whether it still runs.
    pub fn runs(&mut self) -> bool {
        self.child.try_wait().expect("it can be waited for").is_none()
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        // It may have ended.
        drop(self.child.kill());
        drop(self.child.wait());
        if std::thread::panicking() {
            println!("the service said:\n{}", self.told());
        }
    }
}

/// Opens a connection of its own.
pub async fn connect(address: SocketAddr) -> Channel {
    let endpoint = Endpoint::from_shared(format!("http://{address}")).expect("an address is part of a URL");
    endpoint.tcp_nodelay(true).connect().await.expect("the service listens")
}

pub async fn book(address: SocketAddr) -> SpecBookServiceClient<Channel> {
    SpecBookServiceClient::new(connect(address).await).max_decoding_message_size(16 << 20)
}

/// Asks how the service is.
pub async fn health(channel: Channel) -> ServingStatus {
    let request = HealthCheckRequest { service: String::new() };
    HealthClient::new(channel).check(request).await.expect("health answers").into_inner().status()
}

/// Reads every entry, all at one revision.
pub async fn everything(client: &mut SpecBookServiceClient<Channel>) -> (i64, Vec<pb::Entry>) {
    let mut answers = client.export_entries(pb::ExportEntriesRequest::default()).await.unwrap().into_inner();
    let (mut revision, mut entries) = (0, Vec::new());
    while let Some(answer) = answers.message().await.unwrap() {
        revision = answer.revision;
        entries.extend(answer.entries);
    }
    (revision, entries)
}

/// Reads the whole past of an entry, newest first.
pub async fn past(client: &mut SpecBookServiceClient<Channel>, name: &str) -> Vec<pb::EntryChange> {
    let (mut changes, mut page_token) = (Vec::new(), String::new());
    loop {
        let request = pb::EntryHistoryRequest { name: name.to_owned(), page_size: 1_000, page_token };
        let page = client.entry_history(request).await.unwrap().into_inner();
        changes.extend(page.changes);
        page_token = page.next_page_token;
        if page_token.is_empty() {
            return changes;
        }
    }
}
