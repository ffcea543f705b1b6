//! Where connections come from: the service's own port, and the admin port beside it.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use futures_util::{Stream, StreamExt as _};
use tokio::net::TcpListener;

use crate::config::Config;
use crate::connections::Doors;
use crate::secure::{self, Line};
use crate::service::ServeError;

/// Listens on the settings' address.
///
/// # Errors
/// [`ServeError::Config`], [`ServeError::Listen`].
pub async fn bind(config: &Config) -> Result<TcpListener, ServeError> {
    config.check()?;
    let listen = config.listen;
    TcpListener::bind(listen).await.map_err(|cause| ServeError::Listen { listen, cause })
}

/// Listens on the settings' admin address, if there is one, beside a service that listens at another.
///
/// # Errors
/// [`ServeError::Listen`].
pub async fn bind_admin(config: &Config, beside: SocketAddr) -> Result<Option<TcpListener>, ServeError> {
    // A service that takes any port leaves the choice of this one to the system too.
    let beside = if config.listen.port() == 0 { config.listen } else { beside };
    let Some(listen) = config.admin.address(beside) else { return Ok(None) };
    let bound = TcpListener::bind(listen).await;
    bound.map(Some).map_err(|cause| ServeError::ListenAdmin { listen, cause })
}

/// Returns the connections that come in on a listener, behind TLS when the settings say so.
///
/// # Errors
/// [`ServeError::Config`] when others can reach the listener and the settings do not guard it, [`ServeError::Listen`],
/// [`ServeError::Secure`].
pub fn incoming(
    listener: TcpListener,
    config: &Config,
) -> Result<impl Stream<Item = io::Result<Line>> + use<>, ServeError> {
    taken(listener, config, &Arc::new(Doors::new(&config.limits)))
}

pub(crate) fn taken(
    listener: TcpListener,
    config: &Config,
    doors: &Arc<Doors>,
) -> Result<impl Stream<Item = io::Result<Line>> + use<>, ServeError> {
    let unspecified = SocketAddr::from(([0, 0, 0, 0], 0));
    let listen = listener.local_addr().map_err(|cause| ServeError::Listen { listen: unspecified, cause })?;
    config.guarded(listen)?;
    let accepted = futures_util::stream::unfold(listener, |listener| async move {
        let accepted = listener.accept().await.and_then(|(stream, from)| {
            stream.set_nodelay(true)?;
            Ok((stream, from))
        });
        if accepted.is_err() {
            // Too many open files, most likely: asking again at once would spin.
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        Some((accepted, listener))
    });
    let (at, limits) = (Arc::clone(doors), config.limits.clone());
    let placed = accepted.filter_map(move |accepted| {
        let placed = match accepted {
            Ok((stream, from)) => at.accept(from, &limits).map(|place| Ok((stream, place))),
            Err(error) => Some(Err(error)),
        };
        std::future::ready(placed)
    });
    Ok(secure::lines(placed, &config.tls, &config.limits, doors)?)
}
