//! How many connections are open at once, and that each of them says something.

use std::future::Future as _;
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, AtomicUsize, Ordering};
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::Sleep;
use tonic::transport::server::Connected;

/// What a caller sends before anything else: the length of the preface of HTTP/2, RFC 9113 section 3.4.
const GREETING_BYTES: usize = 24;

/// What is known of all connections.
#[derive(Debug, Default)]
pub(crate) struct Doors {
    /// Connections that were accepted and are not closed, those that still agree on TLS among them.
    accepted: Arc<AtomicUsize>,
    /// Connections that are served.
    pub(crate) open: Arc<AtomicUsize>,
    /// Connections over the limit.
    pub(crate) turned_away: AtomicU64,
    /// Connections whose caller did not agree on TLS, or said nothing, in time.
    pub(crate) late: Arc<AtomicU64>,
    /// When the certificate ends, in seconds since the Unix epoch; 0 when there is none.
    certificate_end: AtomicI64,
}

/// A place among the connections.
#[derive(Debug)]
pub struct Place(Arc<AtomicUsize>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

impl Doors {
    /// Gives a place to a connection that was just accepted, before anything is said on it; none over the limit.
    pub(crate) fn accept(&self, most: usize) -> Option<Place> {
        self.place(&self.accepted, most)
    }

    fn place(&self, counter: &Arc<AtomicUsize>, most: usize) -> Option<Place> {
        let taken = counter.fetch_add(1, Ordering::Relaxed);
        let place = Place(Arc::clone(counter));
        if taken >= most {
            let before = self.turned_away.fetch_add(1, Ordering::Relaxed);
            // The first, and then every thousandth: whoever floods the service must not flood the log.
            if before.is_multiple_of(1_000) {
                tracing::warn!(connections = taken, turned_away = before + 1, "connections are turned away");
            }
            return None;
        }
        Some(place)
    }

    /// Lets a connection in, or drops it.
    pub(crate) fn admit<IO>(
        &self,
        io: io::Result<IO>,
        most: usize,
        patience: Duration,
    ) -> Option<io::Result<Counted<IO>>> {
        let io = match io {
            Ok(io) => io,
            Err(error) => return Some(Err(error)),
        };
        let place = self.place(&self.open, most)?;
        let greeting = Greeting { due: Box::pin(tokio::time::sleep(patience)), read: 0, late: Arc::clone(&self.late) };
        Some(Ok(Counted { io, _place: place, greeting: Some(greeting) }))
    }

    /// Takes note of a certificate.
    pub(crate) fn certificate(&self, end_s: i64) {
        self.certificate_end.store(end_s, Ordering::Relaxed);
    }

    /// Returns when the certificate ends, in seconds since the Unix epoch.
    pub(crate) fn certificate_end(&self) -> Option<i64> {
        Some(self.certificate_end.load(Ordering::Relaxed)).filter(|end| *end != 0)
    }
}

/// What a caller owes at first.
struct Greeting {
    due: Pin<Box<Sleep>>,
    read: usize,
    late: Arc<AtomicU64>,
}

/// A connection that is counted for as long as it is open, and dropped when its caller does not even greet.
pub(crate) struct Counted<IO> {
    io: IO,
    _place: Place,
    greeting: Option<Greeting>,
}

impl<IO: Connected> Connected for Counted<IO> {
    type ConnectInfo = IO::ConnectInfo;

    fn connect_info(&self) -> Self::ConnectInfo {
        self.io.connect_info()
    }
}

impl<IO: AsyncRead + Unpin> AsyncRead for Counted<IO> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let this = &mut *self;
        let Some(greeting) = &mut this.greeting else { return Pin::new(&mut this.io).poll_read(cx, buf) };
        let before = buf.filled().len();
        let polled = Pin::new(&mut this.io).poll_read(cx, buf);
        greeting.read += buf.filled().len() - before;
        if GREETING_BYTES <= greeting.read {
            this.greeting = None;
        } else if polled.is_pending() && greeting.due.as_mut().poll(cx).is_ready() {
            greeting.late.fetch_add(1, Ordering::Relaxed);
            return Poll::Ready(Err(io::Error::from(io::ErrorKind::TimedOut)));
        }
        polled
    }
}

impl<IO: AsyncWrite + Unpin> AsyncWrite for Counted<IO> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.io).poll_write(cx, buf)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.io).poll_write_vectored(cx, bufs)
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }
}
