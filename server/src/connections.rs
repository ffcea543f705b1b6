//! How many connections are open at once.

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::task::{Context, Poll};

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tonic::transport::server::Connected;

/// Counts connections and turns away those over the limit.
pub(crate) struct Connections {
    open: Arc<AtomicUsize>,
    most: usize,
}

impl Connections {
    /// Takes none yet.
    pub(crate) fn at_most(most: usize) -> Self {
        Self { open: Arc::new(AtomicUsize::new(0)), most }
    }

    /// Lets a connection in, or drops it.
    pub(crate) fn admit<IO>(&self, io: io::Result<IO>) -> Option<io::Result<Counted<IO>>> {
        let io = match io {
            Ok(io) => io,
            Err(error) => return Some(Err(error)),
        };
        let open = self.open.fetch_add(1, Ordering::Relaxed);
        let counted = Counted { io, open: Arc::clone(&self.open) };
        if open >= self.most {
            tracing::warn!(connections = open, "a connection was turned away: as many are open as are taken");
            return None;
        }
        Some(Ok(counted))
    }
}

/// A connection that is counted for as long as it is open.
pub(crate) struct Counted<IO> {
    io: IO,
    open: Arc<AtomicUsize>,
}

impl<IO> Drop for Counted<IO> {
    fn drop(&mut self) {
        self.open.fetch_sub(1, Ordering::Relaxed);
    }
}

impl<IO: Connected> Connected for Counted<IO> {
    type ConnectInfo = IO::ConnectInfo;

    fn connect_info(&self) -> Self::ConnectInfo {
        self.io.connect_info()
    }
}

impl<IO: AsyncRead + Unpin> AsyncRead for Counted<IO> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_read(cx, buf)
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
