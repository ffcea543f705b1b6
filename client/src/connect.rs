//! The way to a service: one that runs elsewhere, or one in this process.

use std::{
    env,
    path::{Path, PathBuf},
    time::Duration,
};

use baybook_proto::v1 as pb;
pub use baybook_server::embed::Message;
use baybook_server::{Config, Embedded, EngineKind, Limits, ServeError, Service, book::BookError, embed, secure};
use clap::Args;
use tonic::{
    service::interceptor::InterceptedService,
    transport::{Channel, Endpoint},
};

use crate::{
    credentials::{Bearer, Credentials},
    entry_file,
    fail::{Exit, Failure, Stop},
    retry::Retrying,
};

/// The answers of the service in this process to a stream of plans.
pub type Checked = baybook_server::Answers<pb::CheckUpfitsResponse>;

/// Names the service to call, when no flag does.
const SERVER: &str = "BAYBOOK_SERVER";
/// Names the folder of entry files, when no flag names a service or a book.
const FOLDER: &str = "BAYBOOK_BOOK_FOLDER";
/// Names the data folder, when no flag names a service or a book.
const DATA: &str = "BAYBOOK_DATA_DIR";
/// The data folder, when nothing names one.
pub const DATA_DEFAULT: &str = "baybook-data";

/// The longest wait for a connection, whatever the deadline.
const CONNECT: Duration = Duration::from_secs(5);

/// Which book is meant. With a server it is called; else the service runs inside this process on a book of its own.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Which book")]
pub struct Where {
    /// Call the service at this address: 127.0.0.1:7460 [env: BAYBOOK_SERVER]
    #[arg(long, global = true, value_name = "URL", conflicts_with_all = ["book", "data"])]
    pub server: Option<String>,

    /// Use a folder of entry files (*.json, *.ndjson) as the book; changes last as long as the command
    /// [env: BAYBOOK_BOOK_FOLDER]
    #[arg(long = "book", id = "book", global = true, value_name = "FOLDER", conflicts_with = "data")]
    pub folder: Option<PathBuf>,

    /// Use the book in this data folder [env: BAYBOOK_DATA_DIR] [default: baybook-data, here]
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,

    /// Where a service in this process puts backups, if not where the settings say.
    #[arg(skip)]
    pub backups: Option<PathBuf>,
}

/// Names the folder that backups go into.
const BACKUPS: &str = "BAYBOOK_BACKUP_DIR";

/// Whether the caller means to change the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// A data folder that is not there is an empty book, and is not made.
    Read,
    /// A data folder that is not there is made.
    Write,
}

/// The book that was settled on.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Place {
    Server(String),
    Folder(PathBuf),
    Data(PathBuf),
    /// Nobody named a book, and there is none here.
    Empty,
}

impl Where {
    /// Returns the address of the service that would be called, if one would.
    pub fn elsewhere(&self) -> Option<String> {
        match self.place(Purpose::Write, |name| env::var(name).ok()) {
            Ok(Place::Server(url)) => Some(url),
            _ => None,
        }
    }

    /// Returns the data folder that would be used, if one would.
    pub fn data_folder(&self) -> Option<PathBuf> {
        match self.place(Purpose::Write, |name| env::var(name).ok()) {
            Ok(Place::Data(data)) => Some(data),
            _ => None,
        }
    }

    /// Settles on one book: a flag counts before the environment, a server before a folder before data.
    fn place(&self, purpose: Purpose, variable: impl Fn(&str) -> Option<String>) -> Result<Place, Failure> {
        let variable = |name: &str| variable(name).filter(|value| !value.is_empty());
        if let Some(url) = &self.server {
            return Ok(Place::Server(url.clone()));
        }
        if let Some(folder) = &self.folder {
            return Ok(Place::Folder(folder.clone()));
        }
        let named = match &self.data {
            Some(data) => Some(data.clone()),
            None => {
                if let Some(url) = variable(SERVER) {
                    return Ok(Place::Server(url));
                }
                if let Some(folder) = variable(FOLDER) {
                    return Ok(Place::Folder(folder.into()));
                }
                variable(DATA).map(PathBuf::from)
            }
        };
        let data = named.clone().unwrap_or_else(|| DATA_DEFAULT.into());
        if data.exists() && !data.is_dir() {
            return Err(Failure::usage("the data folder cannot be used")
                .at(format!("--data {}", data.display()), "it is a file; a book is kept in a folder of its own")
                .next(format!("--data {DATA_DEFAULT}, or another folder")));
        }
        match (purpose, data.exists(), named) {
            (Purpose::Write, _, _) | (Purpose::Read, true, _) => Ok(Place::Data(data)),
            (Purpose::Read, false, None) => Ok(Place::Empty),
            (Purpose::Read, false, Some(named)) => Err(Failure::new(Exit::NotFound, "the data folder is not there")
                .at(format!("--data {}", named.display()), "there is no such folder")
                .next(format!("baybook book import FILE --data {} makes it", named.display()))),
        }
    }
}

/// The way every call takes: with the caller's token on it, if there is one, and asked again where that is safe.
pub type Line = InterceptedService<Retrying, Bearer>;

/// A service that can be called.
pub struct Connection {
    channel: Retrying,
    bearer: Bearer,
    embedded: Option<Embedded>,
}

impl Connection {
    /// Reaches the service, or starts one in this process.
    pub async fn open(
        place: &Where,
        credentials: &Credentials,
        purpose: Purpose,
        deadline: Duration,
    ) -> Result<Self, Stop> {
        match place.place(purpose, |name| env::var(name).ok())? {
            Place::Server(url) => {
                let bearer = credentials.bearer()?;
                let channel = Retrying::elsewhere(reach(&url, credentials, deadline).await?, deadline);
                Ok(Self { channel, bearer, embedded: None })
            }
            Place::Folder(folder) => {
                if !folder.is_dir() {
                    let failure = Failure::new(Exit::NotFound, "the folder of entry files is not there")
                        .at(format!("--book {}", folder.display()), "there is no such folder")
                        .next("name the folder of a book, such as --book deploy/demo/book");
                    return Err(failure.into());
                }
                let config = Config { engine: EngineKind::Memory, book_folder: folder.clone(), ..defaults(place)? };
                embedded(config).await.map_err(|error| folder_failure(&folder, error))
            }
            Place::Data(data_dir) => {
                let config = Config { engine: EngineKind::Sled, data_dir, ..defaults(place)? };
                Ok(embedded(config).await.map_err(|error| start_failure(&error))?)
            }
            Place::Empty => {
                let config = Config { engine: EngineKind::Memory, ..defaults(place)? };
                Ok(embedded(config).await.map_err(|error| start_failure(&error))?)
            }
        }
    }

    /// Returns the channel; clones share the connection.
    pub fn channel(&self) -> Line {
        InterceptedService::new(self.channel.clone(), self.bearer.clone())
    }

    /// Returns the service itself when it runs in this process.
    pub fn service(&self) -> Option<&Service> {
        self.embedded.as_ref().map(Embedded::service)
    }

    /// Ends a service of our own in an orderly way; one elsewhere is just left.
    pub async fn close(self) -> Result<(), Stop> {
        drop(self.channel);
        match self.embedded {
            Some(embedded) => embedded.close().await.map_err(|error| start_failure(&error).into()),
            None => Ok(()),
        }
    }
}

fn defaults(place: &Where) -> Result<Config, Stop> {
    let mut config = Config::layered(None, |_| None).map_err(|error| start_failure(&error.into()))?;
    let named = env::var(BACKUPS).ok().filter(|folder| !folder.is_empty()).map(PathBuf::from);
    if let Some(folder) = place.backups.clone().or(named) {
        config.backup_dir = folder;
    }
    Ok(config)
}

async fn embedded(config: Config) -> Result<Connection, ServeError> {
    let embedded = Embedded::open(config).await?;
    let channel = Retrying::here(embedded.channel());
    Ok(Connection { channel, bearer: Bearer::default(), embedded: Some(embedded) })
}

/// Tells why a folder of entry files is no book: by file, line and field when it is a matter of reading.
pub fn folder_failure(folder: &Path, error: ServeError) -> Stop {
    match (&error, entry_file::folder(folder)) {
        (ServeError::Folder(_), Err(nearer)) => nearer,
        _ => start_failure(&error).into(),
    }
}

async fn reach(url: &str, credentials: &Credentials, deadline: Duration) -> Result<Channel, Stop> {
    let full = if url.contains("://") { url.to_owned() } else { format!("http://{url}") };
    let unusable = |why: String| {
        Failure::usage("--server cannot be used").at(format!("--server {url}"), why).next("--server 127.0.0.1:7460")
    };
    let secure = full.starts_with("https://");
    if !secure && !full.starts_with("http://") {
        return Err(unusable("is neither http:// nor https://".to_owned()).into());
    }
    let mut endpoint = Endpoint::from_shared(full).map_err(|error| unusable(error.to_string()))?;
    if secure {
        let tls = credentials.tls(url)?;
        endpoint = endpoint.tls_config(tls).map_err(|error| unusable(deepest(&error)))?;
    } else {
        credentials.check_plain(url, endpoint.uri().host().unwrap_or_default())?;
    }
    let endpoint = embed::tuned(endpoint, &Limits::default()).connect_timeout(CONNECT.min(deadline)).tcp_nodelay(true);
    endpoint.connect().await.map_err(|error| {
        let why = deepest(&error);
        let next = if why.contains("ertificate") {
            "--trust FILE, with the certificate of the service or of who signed it"
        } else {
            "is it running? baybook serve"
        };
        Failure::new(Exit::Unreachable, "the service cannot be reached").at(url, why).next(next).into()
    })
}

/// Returns what the deepest cause says.
fn deepest(error: &dyn std::error::Error) -> String {
    let mut why = error.to_string();
    let mut cause = error.source();
    while let Some(deeper) = cause {
        why = deeper.to_string();
        cause = deeper.source();
    }
    why
}

/// Returns when the certificate ends, in seconds since the Unix epoch, that settings of this machine name; nothing when they
/// name none. What cannot be used is told in words.
pub fn own_certificate(file: Option<(&str, &str)>) -> Result<Option<Result<Option<i64>, String>>, Stop> {
    let config = Config::layered(file, |name| env::var(name).ok()).map_err(|error| start_failure(&error.into()))?;
    if config.tls.as_os_str().is_empty() {
        return Ok(None);
    }
    Ok(Some(secure::certificate_end(&config.tls).map_err(|error| error.to_string())))
}

/// Tells why a service does not start, serve or end.
pub fn start_failure(error: &ServeError) -> Failure {
    let (exit, at, next) = match error {
        ServeError::Config(_) => (Exit::Usage, "settings", "baybook serve --help"),
        ServeError::Folder(_) => (
            Exit::Usage,
            "the folder of entry files",
            "correct the file; baybook book get NAME --format json shows how an entry is written",
        ),
        ServeError::Book(BookError::Damaged { next, .. }) => (Exit::Damaged, "the book", next.as_str()),
        ServeError::Book(_) => (Exit::Fault, "the book", "is another baybook using it? call that one: --server URL"),
        ServeError::Listen { cause, .. } if cause.kind() == std::io::ErrorKind::AddrInUse => {
            (Exit::Conflict, "--listen", "another port, or --listen 127.0.0.1:0 for any that is free")
        }
        ServeError::ListenAdmin { cause, .. } if cause.kind() == std::io::ErrorKind::AddrInUse => {
            (Exit::Conflict, "--admin", "another port, or --admin off")
        }
        ServeError::ListenAdmin { .. } => (Exit::Denied, "--admin", "another address, or --admin off"),
        ServeError::Secure(_) => {
            (Exit::Usage, "tls", "correct the file; server/config.toml says what the folder holds")
        }
        ServeError::Listen { .. } => (Exit::Denied, "--listen", "another address"),
        ServeError::Reflection(_) => (Exit::Fault, "the service", "baybook serve --log debug"),
    };
    Failure::new(exit, "the service does not start").at(at, error.to_string()).next(next)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(flags: &[&str], purpose: Purpose, variables: &[(&str, &str)]) -> Result<Place, Failure> {
        let value = |name: &str| {
            flags.iter().position(|flag| *flag == name).and_then(|i| flags.get(i + 1)).map(ToString::to_string)
        };
        let place = Where {
            server: value("--server"),
            folder: value("--book").map(Into::into),
            data: value("--data").map(Into::into),
            backups: None,
        };
        let variable = |name: &str| variables.iter().find(|(known, _)| *known == name).map(|(_, v)| (*v).to_owned());
        place.place(purpose, variable)
    }

    #[test]
    fn a_flag_counts_before_the_environment() {
        let variables = [(SERVER, "here:1"), (FOLDER, "there"), (DATA, "data")];
        assert_eq!(place(&[], Purpose::Read, &variables), Ok(Place::Server("here:1".to_owned())));
        assert_eq!(place(&[], Purpose::Read, &variables[1..]), Ok(Place::Folder("there".into())));
        assert_eq!(place(&[], Purpose::Write, &variables[2..]), Ok(Place::Data("data".into())));
        assert_eq!(place(&["--book", "mine"], Purpose::Read, &variables), Ok(Place::Folder("mine".into())));
        assert_eq!(place(&["--data", "mine"], Purpose::Write, &variables), Ok(Place::Data("mine".into())));
    }

    #[test]
    fn reading_makes_no_folder_and_a_named_one_must_be_there() {
        assert_eq!(place(&[], Purpose::Read, &[]), Ok(Place::Empty));
        assert_eq!(place(&[], Purpose::Write, &[]), Ok(Place::Data(DATA_DEFAULT.into())));
        let failure = place(&["--data", "nowhere/at-all"], Purpose::Read, &[]).unwrap_err();
        assert_eq!(failure.exit, Exit::NotFound);
        assert_eq!(place(&["--data", "nowhere/at-all"], Purpose::Write, &[]), Ok(Place::Data("nowhere/at-all".into())));
    }
}
