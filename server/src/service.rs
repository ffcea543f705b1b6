//! Opening, serving, stopping.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use baybook_proto::v1 as pb;
use futures_util::Stream;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio::sync::{mpsc, watch};
use tonic::transport::server::Connected;
use tonic::{Request, Response, Status};
use tonic_health::ServingStatus;

use crate::access::{Access, audit};
use crate::admin;
use crate::api::{Answers, Upfits};
use crate::book::catalog::Catalog;
use crate::book::{Book, BookError, LocalBook, Moment};
use crate::callers::Caller;
use crate::commons::Account;
use crate::config::{Config, ConfigError, EngineKind};
use crate::connections::Doors;
use crate::desks::{Desks, Undone};
use crate::embed::Message;
use crate::error::ApiError;
use crate::folder;
use crate::layers::{Away, Call, Gate, OnTheWay};
use crate::limits::Limits;
use crate::listen;
use crate::measure::{LostLines, Measures};
use crate::pressure::Pressure;
use crate::secure::{Line, SecureError};
use crate::transport;
use crate::upkeep::{Upkeep, scrub};

/// How long those who watch the health are given to hear that it has turned, before their streams end.
const WATCHERS_HEAR: Duration = Duration::from_millis(500);

/// Why the service does not start, or ended other than by being told to.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The settings cannot be used.
    #[error(transparent)]
    Config(#[from] ConfigError),
    /// The book does not open, or does not close.
    #[error("the book: {0}")]
    Book(#[from] BookError),
    /// The folder of entry files cannot be read into the book.
    #[error("{0}")]
    Folder(#[from] folder::FolderError),
    /// The certificate or its key cannot be used.
    #[error(transparent)]
    Secure(#[from] SecureError),
    /// The address cannot be listened on.
    #[error("cannot listen on {listen}: {cause}; set listen to a free port, or to port 0 for any")]
    Listen {
        /// The address.
        listen: SocketAddr,
        /// What the system said.
        cause: io::Error,
    },
    /// The admin address cannot be listened on.
    #[error("the admin port cannot listen on {listen}: {cause}; set admin to a free port, or to off")]
    ListenAdmin {
        /// The address.
        listen: SocketAddr,
        /// What the system said.
        cause: io::Error,
    },
    /// The descriptor set of the contract cannot be served.
    #[error("reflection: {0}")]
    Reflection(#[from] tonic_reflection::server::Error),
}

/// How far the service is in its life.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Phase {
    /// Takes calls.
    Serving,
    /// Takes no new calls and finishes those that run.
    Draining,
    /// The time to finish is over.
    Ended,
}

/// What every handler shares.
#[derive(Debug)]
pub(crate) struct State {
    pub(crate) catalog: Arc<Catalog>,
    pub(crate) access: Arc<Access>,
    pub(crate) upkeep: Upkeep,
    pub(crate) limits: Limits,
    pub(crate) engine: EngineKind,
    pub(crate) started: Moment,
    /// The directory of the book on disk; empty for a book in memory.
    pub(crate) data_dir: PathBuf,
    pub(crate) measures: Measures,
    pub(crate) pressure: Pressure,
    pub(crate) desks: Desks,
    pub(crate) doors: Arc<Doors>,
    /// Whether connections are answered.
    pub(crate) answering: AtomicBool,
    /// Calls that are running: their requests have come whole, their answers are not made.
    pub(crate) calls: AtomicUsize,
    /// Calls that were let in and have not been taken up.
    pub(crate) on_the_way: OnTheWay,
    /// What those are told that are not let in.
    pub(crate) away: Away,
    /// Lets a few watchers at a time read old commits.
    pub(crate) watch_reads: tokio::sync::Semaphore,
    /// Held shared by what puts entries and alone by what removes them, so that no entry is removed while another one
    /// that refers to it is on its way into the book.
    pub(crate) references: tokio::sync::RwLock<()>,
    pub(crate) phase: watch::Sender<Phase>,
}

impl State {
    pub(crate) fn book(&self) -> &Arc<dyn Book> {
        self.catalog.book()
    }

    /// Returns whether connections are answered.
    pub(crate) fn serving(&self) -> bool {
        self.answering.load(Ordering::Relaxed)
    }

    /// Does long work at a desk.
    pub(crate) async fn at_desk<T, W>(&self, work: W) -> Result<T, ApiError>
    where
        T: Send + 'static,
        W: FnOnce() -> T + Send + 'static,
    {
        self.desks.work(work).await.map_err(|undone| match undone {
            Undone::Waiting(in_flight) => {
                self.measures.shed.waiting.fetch_add(1, Ordering::Relaxed);
                ApiError::Overloaded { in_flight, retry_after: self.limits.retry_after }
            }
            Undone::Fell(why) => ApiError::Fault { why },
        })
    }

    /// Takes a place among the running streams.
    pub(crate) fn stream(&self, caller: &Caller) -> Result<Place, ApiError> {
        self.place(&caller.streams)
    }

    /// Takes a place among the watchers.
    pub(crate) fn watcher(&self, caller: &Caller) -> Result<Place, ApiError> {
        self.place(&caller.watchers)
    }

    fn place(&self, account: &Arc<Account>) -> Result<Place, ApiError> {
        if account.take(1) {
            return Ok(Place(Arc::clone(account)));
        }
        self.measures.shed.streams.fetch_add(1, Ordering::Relaxed);
        Err(ApiError::Overloaded { in_flight: account.taken(), retry_after: self.limits.retry_after })
    }
}

/// A place among the running streams, or among the watchers.
pub(crate) struct Place(Arc<Account>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.give(1);
    }
}

/// An open service, ready to answer on any number of connections.
#[derive(Debug, Clone)]
pub struct Service {
    state: Arc<State>,
}

impl Service {
    /// Opens the book that the settings name.
    ///
    /// # Errors
    /// [`ServeError::Config`], [`ServeError::Book`], [`ServeError::Folder`].
    pub async fn open(config: Config) -> Result<Self, ServeError> {
        config.check()?;
        let bounds = config.bounds();
        let book: Arc<dyn Book> = match config.engine {
            EngineKind::Memory => Arc::new(LocalBook::in_memory(bounds)?),
            EngineKind::Sled => open_sled(config.data_dir.clone(), bounds).await?,
        };
        let service = Self::over(book, &config);
        if !config.book_folder.as_os_str().is_empty() {
            folder::read_into(&service.state, &config.book_folder).await?;
        }
        Ok(service)
    }

    /// Wraps a book that is open already.
    #[must_use]
    pub fn over(book: Arc<dyn Book>, config: &Config) -> Self {
        let state = State {
            access: Access::open(config.access, &book),
            upkeep: Upkeep::open(config, book.as_ref()),
            catalog: Catalog::open(book),
            limits: config.limits.clone(),
            engine: config.engine,
            data_dir: match config.engine {
                EngineKind::Sled => config.data_dir.clone(),
                EngineKind::Memory => PathBuf::new(),
            },
            measures: Measures::default(),
            pressure: Pressure::new(&config.limits),
            desks: Desks::new(&config.limits),
            doors: Arc::new(Doors::new(&config.limits)),
            answering: AtomicBool::new(false),
            started: Moment::now(),
            calls: AtomicUsize::new(0),
            on_the_way: OnTheWay::default(),
            away: Away::default(),
            watch_reads: tokio::sync::Semaphore::new(config.limits.watch_reads),
            references: tokio::sync::RwLock::new(()),
            phase: watch::Sender::new(Phase::Serving),
        };
        Self { state: Arc::new(state) }
    }

    /// Returns what is remembered of backups.
    #[must_use]
    pub fn upkeep(&self) -> &Upkeep {
        &self.state.upkeep
    }

    /// Shows among what is measured how many lines of the log are lost; `lost` tells it. Only the first call counts.
    pub fn show_lost_lines(&self, lost: impl Fn() -> usize + Send + Sync + 'static) {
        self.state.measures.lost_lines.get_or_init(|| LostLines(Box::new(lost)));
    }

    /// Returns the decoded entries.
    #[must_use]
    pub fn catalog(&self) -> &Arc<Catalog> {
        &self.state.catalog
    }

    /// Checks a stream of upfit plans for somebody in this process: `UpfitsService.CheckUpfits` without a wire between,
    /// with the same book, limits and errors. Must be called inside a runtime.
    ///
    /// # Errors
    /// The status that a caller on the wire would get: as many streams are running as are taken, or the service stops.
    pub fn check_upfits(
        &self,
        messages: mpsc::Receiver<Message<pb::CheckUpfitsRequest>>,
    ) -> Result<Answers<pb::CheckUpfitsResponse>, Status> {
        let call = Call::here(self.state.doors.somebody());
        if *self.state.phase.borrow() > Phase::Serving {
            return Err(ApiError::Stopping { drain: self.state.limits.drain }.status(call.id()));
        }
        let mut request = Request::new(messages);
        request.extensions_mut().insert(call);
        Upfits::new(Arc::clone(&self.state)).check_all(request).map(Response::into_inner)
    }

    /// Returns everything that answers a call, with the limits of one call around it.
    ///
    /// # Errors
    /// [`ServeError::Reflection`] when the contract's descriptor set cannot be read.
    pub fn router(&self) -> Result<Gate, ServeError> {
        Ok(Gate::new(Arc::clone(&self.state))?)
    }

    /// Returns the connections that come in on a listener, behind TLS when the settings say so. They are counted from the
    /// moment they are accepted.
    ///
    /// # Errors
    /// [`ServeError::Config`] when others can reach the listener and the settings do not guard it, [`ServeError::Listen`],
    /// [`ServeError::Secure`].
    pub fn incoming(
        &self,
        listener: TcpListener,
        config: &Config,
    ) -> Result<impl Stream<Item = io::Result<Line>> + use<>, ServeError> {
        self.state.desks.give_way();
        listen::taken(listener, config, &self.state.doors)
    }

    /// Answers on the admin port until the service has ended: what is measured, and whether it lives and takes calls.
    pub fn serve_admin(&self, listener: TcpListener) -> impl Future<Output = ()> + Send + use<> {
        admin::serve(Arc::clone(&self.state), listener)
    }

    /// Answers on every connection that comes in until told to stop, then finishes the running calls.
    ///
    /// # Errors
    /// [`ServeError::Reflection`].
    pub async fn serve_with_incoming<I, IO>(
        &self,
        incoming: I,
        stop: impl Future<Output = ()>,
    ) -> Result<(), ServeError>
    where
        I: Stream<Item = io::Result<IO>>,
        IO: AsyncRead + AsyncWrite + Connected + Unpin + Send + 'static,
    {
        let limits = &self.state.limits;
        let gate = self.router()?;
        gate.tell_health(ServingStatus::Serving).await;
        let (stopped, wait) = watch::channel(false);
        let served = transport::serve(&gate, &self.state.doors, limits, incoming, told(wait));
        let mut served = std::pin::pin!(served);
        let mut stop = std::pin::pin!(stop);
        let mut writing = std::pin::pin!(self.write_denials());
        let mut scrubbing = std::pin::pin!(scrub::run(&self.state));
        self.state.answering.store(true, Ordering::Relaxed);
        tokio::select! {
            () = &mut served => {}
            () = &mut writing => {}
            () = &mut scrubbing => {}
            () = &mut stop => {
                tracing::info!(drain_ms = limits.drain.as_millis(), "stopping");
                self.state.phase.send_replace(Phase::Draining);
                gate.tell_health(ServingStatus::NotServing).await;
                stopped.send_replace(true);
                let watchers = async {
                    tokio::time::sleep(WATCHERS_HEAR).await;
                    gate.end_watches().await;
                    std::future::pending().await
                };
                let finished = async {
                    tokio::select! {
                        () = &mut served => {}
                        () = watchers => {}
                    }
                };
                if tokio::time::timeout(limits.drain, finished).await.is_err() {
                    tracing::warn!("calls were still running when the time to finish them was over");
                }
            }
        }
        self.state.phase.send_replace(Phase::Ended);
        audit::write_denials(&self.state).await;
        Ok(())
    }

    /// Writes what was denied, for as long as it is polled.
    async fn write_denials(&self) {
        loop {
            tokio::time::sleep(self.state.limits.denials_every).await;
            audit::write_denials(&self.state).await;
        }
    }

    /// Closes the book. What was acknowledged is safe whether or not this is called.
    ///
    /// # Errors
    /// [`ServeError::Book`] when the store does not close cleanly.
    pub async fn close(&self) -> Result<(), ServeError> {
        self.state.phase.send_replace(Phase::Ended);
        Ok(self.state.book().close().await?)
    }
}

/// Opens the book that the settings name, answers on every connection until `stop`, finishes the running calls, closes
/// the book.
///
/// # Errors
/// [`ServeError`] when it does not start, or ends other than by `stop`.
pub async fn serve<I, IO>(config: Config, incoming: I, stop: impl Future<Output = ()>) -> Result<(), ServeError>
where
    I: Stream<Item = io::Result<IO>>,
    IO: AsyncRead + AsyncWrite + Connected + Unpin + Send + 'static,
{
    let service = Service::open(config).await?;
    let served = service.serve_with_incoming(incoming, stop).await;
    let closed = service.close().await;
    served.and(closed)
}

async fn open_sled(directory: PathBuf, bounds: crate::book::Bounds) -> Result<Arc<dyn Book>, BookError> {
    let opened = tokio::task::spawn_blocking(move || LocalBook::open(&directory, bounds)).await;
    let failed = |_| BookError::Damaged {
        what: "the store failed while it was opened".to_owned(),
        names: Vec::new(),
        next: "restore the last backup into an empty directory".to_owned(),
    };
    Ok(Arc::new(opened.map_err(failed)??))
}

async fn told(mut wait: watch::Receiver<bool>) {
    // A sender that is gone means the same as one that has spoken.
    drop(wait.wait_for(|stopped| *stopped).await);
}
