//! TLS in front of the service: the certificate and key of a folder, taken up again when they change.

use std::fs;
use std::io;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::task::{Context, Poll};

use futures_util::{Stream, StreamExt as _};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::server::WebPkiClientVerifier;
use tokio_rustls::rustls::{RootCertStore, ServerConfig, crypto};
use tokio_rustls::server::TlsStream;
use tonic::transport::server::{Connected, TcpConnectInfo};

use crate::connections::{Doors, Place};
use crate::limits::Limits;

/// The chain of certificates, the service's own first.
const CERTIFICATE: &str = "certificate.pem";
/// Its private key.
const KEY: &str = "key.pem";
/// Who signs the certificates of callers; optional.
const CLIENTS: &str = "clients.pem";

/// Why the files of a certificate cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("tls: {}: {why}; the folder holds {CERTIFICATE}, {KEY} and, if callers need a certificate, {CLIENTS}", path.display())]
pub struct SecureError {
    /// The file.
    pub path: PathBuf,
    /// What is wrong with it.
    pub why: String,
}

impl SecureError {
    fn at(path: &Path, why: impl ToString) -> Self {
        Self { path: path.to_owned(), why: why.to_string() }
    }
}

/// The bytes of the files, to see whether they have changed.
#[derive(PartialEq, Eq)]
struct Files {
    certificate: Vec<u8>,
    key: Vec<u8>,
    clients: Option<Vec<u8>>,
}

impl Files {
    fn read(folder: &Path) -> Result<Self, SecureError> {
        let read = |name: &str| {
            let path = folder.join(name);
            fs::read(&path).map_err(|error| SecureError::at(&path, error))
        };
        let clients = if folder.join(CLIENTS).exists() { Some(read(CLIENTS)?) } else { None };
        Ok(Self { certificate: read(CERTIFICATE)?, key: read(KEY)?, clients })
    }

    fn config(&self, folder: &Path) -> Result<Arc<ServerConfig>, SecureError> {
        let at = |name: &str| folder.join(name);
        let chain = certificates(&self.certificate, &at(CERTIFICATE))?;
        let key = PrivateKeyDer::from_pem_slice(&self.key).map_err(|error| SecureError::at(&at(KEY), error))?;
        let provider = Arc::new(crypto::ring::default_provider());
        let builder = ServerConfig::builder_with_provider(Arc::clone(&provider))
            .with_safe_default_protocol_versions()
            .map_err(|error| SecureError::at(folder, error))?;
        let builder = match &self.clients {
            None => builder.with_no_client_auth(),
            Some(clients) => {
                let mut roots = RootCertStore::empty();
                for certificate in certificates(clients, &at(CLIENTS))? {
                    roots.add(certificate).map_err(|error| SecureError::at(&at(CLIENTS), error))?;
                }
                let verifier = WebPkiClientVerifier::builder_with_provider(Arc::new(roots), provider).build();
                builder.with_client_cert_verifier(verifier.map_err(|error| SecureError::at(&at(CLIENTS), error))?)
            }
        };
        let mut config =
            builder.with_single_cert(chain, key).map_err(|error| SecureError::at(&at(CERTIFICATE), error))?;
        config.alpn_protocols = vec![b"h2".to_vec()];
        Ok(Arc::new(config))
    }

    /// Tells when the service's own certificate ends.
    fn tell(&self, doors: &Doors) {
        if let Some(end) = end_of(&self.certificate) {
            doors.certificate(end);
        }
    }
}

/// Reads a folder of TLS files as the service would, and returns when its certificate ends, in seconds since the Unix
/// epoch; nothing when the certificate does not say so readably.
///
/// # Errors
/// [`SecureError`] with the file that cannot be used.
pub fn certificate_end(folder: &Path) -> Result<Option<i64>, SecureError> {
    let files = Files::read(folder)?;
    files.config(folder)?;
    Ok(end_of(&files.certificate))
}

/// When the first certificate of a chain ends, in seconds since the Unix epoch.
fn end_of(pem: &[u8]) -> Option<i64> {
    let der = CertificateDer::pem_slice_iter(pem).next()?.ok()?;
    let (_, certificate) = x509_parser::parse_x509_certificate(&der).ok()?;
    Some(certificate.validity().not_after.timestamp())
}

fn certificates(pem: &[u8], path: &Path) -> Result<Vec<CertificateDer<'static>>, SecureError> {
    let read: Result<Vec<_>, _> = CertificateDer::pem_slice_iter(pem).collect();
    let read = read.map_err(|error| SecureError::at(path, error))?;
    if read.is_empty() { Err(SecureError::at(path, "holds no certificate")) } else { Ok(read) }
}

/// A connection: plain, for this machine only, or behind TLS.
#[derive(Debug)]
pub enum Line {
    /// Plain.
    Plain(TcpStream, Place),
    /// Behind TLS.
    Secure(Box<TlsStream<TcpStream>>, Place),
}

/// Puts every connection behind TLS when there is a folder, and else passes it on as it is.
///
/// A caller that does not agree on TLS in time, or at all, is dropped; all callers agree at the same time, so that a slow
/// one keeps nobody waiting.
pub(crate) fn lines<S>(
    accepted: S,
    folder: &Path,
    limits: &Limits,
    doors: &Arc<Doors>,
) -> Result<Pin<Box<dyn Stream<Item = io::Result<Line>> + Send>>, SecureError>
where
    S: Stream<Item = io::Result<(TcpStream, Place)>> + Send + 'static,
{
    if folder.as_os_str().is_empty() {
        return Ok(Box::pin(accepted.map(|taken| taken.map(|(stream, place)| Line::Plain(stream, place)))));
    }
    let files = Files::read(folder)?;
    let (newest, config) = watch::channel(files.config(folder)?);
    files.tell(doors);
    tokio::spawn(follow(folder.to_owned(), files, newest, limits.certificate_every, Arc::clone(doors)));
    let (patience, doors) = (limits.handshake, Arc::clone(doors));
    let agreed = accepted
        .map(move |taken| {
            let acceptor = TlsAcceptor::from(Arc::clone(&config.borrow()));
            let doors = Arc::clone(&doors);
            async move {
                let (stream, place) = match taken {
                    Ok(taken) => taken,
                    Err(error) => return Some(Err(error)),
                };
                match tokio::time::timeout(patience, acceptor.accept(stream)).await {
                    Ok(Ok(secure)) => Some(Ok(Line::Secure(Box::new(secure), place))),
                    Ok(Err(error)) => {
                        tracing::debug!(%error, "a caller did not agree on TLS");
                        None
                    }
                    Err(_) => {
                        doors.late.fetch_add(1, Ordering::Relaxed);
                        tracing::debug!("a caller took too long to agree on TLS");
                        None
                    }
                }
            }
        })
        .buffer_unordered(limits.handshakes)
        .filter_map(std::future::ready);
    Ok(Box::pin(agreed))
}

/// Takes up changed files until nobody listens any more. Files that cannot be used leave the old ones in force.
async fn follow(
    folder: PathBuf,
    mut files: Files,
    newest: watch::Sender<Arc<ServerConfig>>,
    every: std::time::Duration,
    doors: Arc<Doors>,
) {
    loop {
        tokio::select! {
            () = newest.closed() => return,
            () = tokio::time::sleep(every) => {}
        }
        let now = match Files::read(&folder) {
            Ok(now) if now == files => continue,
            Ok(now) => now,
            Err(error) => {
                tracing::warn!(%error, "the certificate's files cannot be read; the ones read before stay in force");
                continue;
            }
        };
        match now.config(&folder) {
            Ok(config) => {
                newest.send_replace(config);
                now.tell(&doors);
                tracing::info!(folder = %folder.display(), "a new certificate is in force");
            }
            Err(error) => {
                tracing::warn!(%error, "the changed certificate cannot be used; the one before stays in force");
            }
        }
        files = now;
    }
}

impl Connected for Line {
    type ConnectInfo = TcpConnectInfo;

    fn connect_info(&self) -> TcpConnectInfo {
        match self {
            Self::Plain(stream, _) => stream.connect_info(),
            Self::Secure(stream, _) => stream.get_ref().0.connect_info(),
        }
    }
}

impl Line {
    /// Returns the address of the caller.
    #[must_use]
    pub fn peer(&self) -> Option<SocketAddr> {
        self.connect_info().remote_addr()
    }
}

impl AsyncRead for Line {
    fn poll_read(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream, _) => Pin::new(stream).poll_read(cx, buf),
            Self::Secure(stream, _) => Pin::new(stream).poll_read(cx, buf),
        }
    }
}

impl AsyncWrite for Line {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        match self.get_mut() {
            Self::Plain(stream, _) => Pin::new(stream).poll_write(cx, buf),
            Self::Secure(stream, _) => Pin::new(stream).poll_write(cx, buf),
        }
    }

    fn poll_flush(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream, _) => Pin::new(stream).poll_flush(cx),
            Self::Secure(stream, _) => Pin::new(stream).poll_flush(cx),
        }
    }

    fn poll_shutdown(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream, _) => Pin::new(stream).poll_shutdown(cx),
            Self::Secure(stream, _) => Pin::new(stream).poll_shutdown(cx),
        }
    }

    fn poll_write_vectored(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        match self.get_mut() {
            Self::Plain(stream, _) => Pin::new(stream).poll_write_vectored(cx, bufs),
            Self::Secure(stream, _) => Pin::new(stream).poll_write_vectored(cx, bufs),
        }
    }

    fn is_write_vectored(&self) -> bool {
        match self {
            Self::Plain(stream, _) => stream.is_write_vectored(),
            Self::Secure(stream, _) => stream.is_write_vectored(),
        }
    }
}
