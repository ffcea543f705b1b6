//! The service inside its caller's own process: the same path as over a network, through memory.

use std::future::Future;
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};

use hyper_util::rt::TokioIo;
use tokio::io::DuplexStream;
use tokio::sync::{mpsc, oneshot};
use tokio::task::JoinHandle;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::{Channel, Endpoint, Uri};

use crate::config::Config;
use crate::limits::Limits;
use crate::service::{ServeError, Service};

/// Bytes that may be under way in each direction of one connection.
const PIPE_BYTES: usize = 256 << 10;

/// Bytes that may be in flight on one call, and on the connection. Memory has no latency that a wide window would have to
/// hide, and what waits in a window falls out of the processor's cache.
const WINDOW_BYTES: (u32, u32) = (512 << 10, 1 << 20);

/// A message of a caller in this process.
pub enum Message<Q> {
    /// As it is.
    Ready(Q),
    /// Made by whoever works on it: making it is then shared among the cores like the work itself.
    Later(Box<dyn FnOnce() -> Q + Send>),
}

impl<Q> Message<Q> {
    /// Returns the message.
    pub fn made(self) -> Q {
        match self {
            Self::Ready(message) => message,
            Self::Later(make) => make(),
        }
    }
}

/// A service in this process and the way to call it.
#[derive(Debug)]
pub struct Embedded {
    channel: Channel,
    stop: Option<oneshot::Sender<()>>,
    task: JoinHandle<Result<(), ServeError>>,
    service: Service,
}

impl Embedded {
    /// Opens the book that the settings name and serves it in this process.
    ///
    /// # Errors
    /// [`ServeError`] when the book does not open.
    pub async fn open(mut config: Config) -> Result<Self, ServeError> {
        (config.limits.stream_window_bytes, config.limits.connection_window_bytes) = WINDOW_BYTES;
        let limits = config.limits.clone();
        Ok(Self::start(Service::open(config).await?, &limits))
    }

    /// Serves an open service in this process. Must be called inside a runtime.
    #[must_use]
    pub fn start(service: Service, limits: &Limits) -> Self {
        let (connects, accepts) = mpsc::channel::<io::Result<DuplexStream>>(1);
        let (stop, stopped) = oneshot::channel::<()>();
        let task = tokio::spawn({
            let service = service.clone();
            // A sender that is gone means the same as one that has spoken.
            async move { service.serve_with_incoming(ReceiverStream::new(accepts), async { drop(stopped.await) }).await }
        });
        let channel = with_windows(
            Endpoint::from_static("http://embedded"),
            limits,
            (limits.stream_window_bytes, limits.connection_window_bytes),
        )
        .connect_with_connector_lazy(Pipe(connects));
        Self { channel, stop: Some(stop), task, service }
    }

    /// Returns the way to call it; clones share one connection.
    #[must_use]
    pub fn channel(&self) -> Channel {
        self.channel.clone()
    }

    /// Returns the service.
    #[must_use]
    pub fn service(&self) -> &Service {
        &self.service
    }

    /// Finishes the running calls and closes the book.
    ///
    /// # Errors
    /// [`ServeError`] when the service ended other than by this, or the book does not close cleanly.
    pub async fn close(mut self) -> Result<(), ServeError> {
        if let Some(stop) = self.stop.take() {
            // The service may have ended already; its own result says why.
            let _ = stop.send(());
        }
        drop(self.channel);
        let served = match self.task.await {
            Ok(served) => served,
            Err(_) => Ok(()),
        };
        let closed = self.service.close().await;
        served.and(closed)
    }
}

/// Bytes that a service elsewhere may have under way to one caller, on one call and on the connection: wide enough that
/// reports in bulk never wait for them.
const FAR_WINDOW_BYTES: (u32, u32) = (8 << 20, 16 << 20);

/// Opens windows wide enough that reports in bulk never wait for them. Good for every channel to a service elsewhere.
#[must_use]
pub fn tuned(endpoint: Endpoint, limits: &Limits) -> Endpoint {
    with_windows(endpoint, limits, FAR_WINDOW_BYTES)
}

fn with_windows(endpoint: Endpoint, limits: &Limits, (stream, connection): (u32, u32)) -> Endpoint {
    endpoint
        .initial_stream_window_size(stream)
        .initial_connection_window_size(connection)
        .max_frame_size(limits.frame_bytes)
        .http2_max_header_list_size(limits.header_bytes)
        .http2_adaptive_window(false)
}

/// Makes a pair of ends for each connection and hands one to the service.
#[derive(Debug, Clone)]
struct Pipe(mpsc::Sender<io::Result<DuplexStream>>);

impl tower::Service<Uri> for Pipe {
    type Response = TokioIo<DuplexStream>;
    type Error = io::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self::Response, io::Error>> + Send>>;

    fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), io::Error>> {
        Poll::Ready(Ok(()))
    }

    fn call(&mut self, _: Uri) -> Self::Future {
        let connects = self.0.clone();
        Box::pin(async move {
            let (ours, theirs) = tokio::io::duplex(PIPE_BYTES);
            let gone = |_| io::Error::new(io::ErrorKind::ConnectionRefused, "the embedded service has ended");
            connects.send(Ok(theirs)).await.map_err(gone)?;
            Ok(TokioIo::new(ours))
        })
    }
}
