//! `baybook serve`: the service as a daemon.

use std::{env, fs, io, net::SocketAddr, path::PathBuf};

use baybook_server::{AdminAt, Config, EngineKind, LogFormat, Service, bind, bind_admin};
use clap::Args;
use tracing_subscriber::EnvFilter;

use crate::{
    connect::{Where, folder_failure, start_failure},
    context::Context,
    fail::{Exit, Failure, Outcome, Stop},
    out,
};

const EXAMPLES: &str = "\
Examples:
  baybook serve --data baybook-data --listen 127.0.0.1:7460
  baybook serve --book deploy/demo/book --listen 127.0.0.1:0 --log warn";

/// Host the service until it is told to stop
///
/// Settings count in this order: flags, the environment (BAYBOOK_LISTEN, BAYBOOK_ENGINE, BAYBOOK_DATA_DIR,
/// BAYBOOK_BACKUP_DIR, BAYBOOK_KEEP_BACKUPS, BAYBOOK_BOOK_FOLDER, BAYBOOK_ADMIN, BAYBOOK_LOG, BAYBOOK_LOG_FORMAT,
/// BAYBOOK_SCRUB_EVERY, BAYBOOK_HISTORY_COMMITS, BAYBOOK_HISTORY_DAYS, BAYBOOK_TLS, BAYBOOK_ACCESS), the file of --config,
/// the documented defaults. SIGTERM and SIGINT let running calls finish; a second one ends the service at once. The admin port answers
/// /metrics (OpenMetrics text), /live and /ready over HTTP.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ServeArgs {
    /// Listen here; port 0 takes any that is free
    #[arg(long, value_name = "ADDRESS")]
    listen: Option<SocketAddr>,

    /// Read settings from this file (TOML)
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,

    /// Answer on the admin port here: next (127.0.0.1 and the port after --listen's), off, or an address of this machine
    #[arg(long, value_name = "ADDRESS")]
    admin: Option<AdminAt>,

    /// Log this much: error, warn, info, debug, trace, or a filter such as info,baybook_server=debug
    #[arg(long, value_name = "FILTER")]
    log: Option<String>,
}

impl ServeArgs {
    fn config(self, place: &Where) -> Result<Config, Stop> {
        if let Some(url) = &place.server {
            let failure = Failure::usage("serve hosts a service and calls none")
                .at(format!("--server {url}"), "it names a service that runs elsewhere")
                .next("--listen ADDRESS");
            return Err(failure.into());
        }
        let file = match &self.config {
            Some(path) => {
                let text = fs::read_to_string(path).map_err(|error| Failure::file("read", path, &error))?;
                Some((path.display().to_string(), text))
            }
            None => None,
        };
        let file = file.as_ref().map(|(name, text)| (name.as_str(), text.as_str()));
        let mut config =
            Config::layered(file, |name| env::var(name).ok()).map_err(|error| start_failure(&error.into()))?;
        if let Some(listen) = self.listen {
            config.listen = listen;
        }
        if let Some(admin) = self.admin {
            config.admin = admin;
        }
        if let Some(log) = self.log {
            config.log = log;
        }
        if let Some(folder) = &place.folder {
            config.engine = EngineKind::Memory;
            config.book_folder.clone_from(folder);
        }
        if let Some(data) = &place.data {
            config.engine = EngineKind::Sled;
            config.book_folder = PathBuf::new();
            config.data_dir.clone_from(data);
        }
        Ok(config)
    }
}

pub async fn run(args: ServeArgs, context: &Context) -> Outcome {
    let config = args.config(context.place())?;
    let filter = EnvFilter::try_new(&config.log).map_err(|error| {
        Failure::usage("--log cannot be used").at(format!("--log {}", config.log), error.to_string()).next("--log info")
    })?;
    let coloured = !context.no_color() && out::talk_is_coloured();
    let (lines, _written) = out::log_lines();
    let lost = lines.error_counter();
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(lines).log_internal_errors(false);
    match config.log_format {
        LogFormat::Text => log.with_ansi(coloured).init(),
        LogFormat::Json => log.json().flatten_event(true).with_ansi(false).init(),
    }
    // Before anybody is told that the service listens, so that no signal comes too early.
    let signals = Signals::caught()?;
    let listener = bind(&config).await.map_err(|error| start_failure(&error))?;
    let address = listener.local_addr()?;
    let admin = bind_admin(&config, address).await.map_err(|error| start_failure(&error))?;
    let folder = config.book_folder.clone();
    let service = Service::open(config.clone()).await.map_err(|error| folder_failure(&folder, error))?;
    service.show_lost_lines(move || lost.dropped_lines());
    let connections = service.incoming(listener, &config).map_err(|error| start_failure(&error))?;
    out::talk(&format!("listening on {address}"));
    if let Some(admin) = admin {
        out::talk(&format!("admin on {}", admin.local_addr()?));
        tokio::spawn(service.serve_admin(admin));
    }
    let served = service.serve_with_incoming(connections, signals.first()).await;
    let closed = service.close().await;
    served.and(closed).map_err(|error| start_failure(&error))?;
    Ok(Exit::Ok)
}

/// The signals that end the service, caught from the moment this is made.
struct Signals {
    #[cfg(unix)]
    terminate: tokio::signal::unix::Signal,
    #[cfg(unix)]
    interrupt: tokio::signal::unix::Signal,
}

impl Signals {
    #[cfg(unix)]
    fn caught() -> io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Self { terminate: signal(SignalKind::terminate())?, interrupt: signal(SignalKind::interrupt())? })
    }

    #[cfg(not(unix))]
    fn caught() -> io::Result<Self> {
        Ok(Self {})
    }

    /// Waits for the first signal; from then on a second one ends the process at once.
    async fn first(mut self) {
        self.next().await;
        tokio::spawn(async move {
            self.next().await;
            // Whatever was acknowledged is on the disk; nothing has to be tidied up.
            std::process::exit(130);
        });
    }

    #[cfg(unix)]
    async fn next(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }

    #[cfg(not(unix))]
    async fn next(&mut self) {
        drop(tokio::signal::ctrl_c().await);
    }
}
