//! Answering on connections: HTTP/2 with every limit set that is open by default, each connection worked on in short turns,
//! each call of it counted until its reply is taken.

use std::convert::Infallible;
use std::error::Error as _;
use std::future::{Future, poll_fn};
use std::io;
use std::ops::ControlFlow;
use std::pin::pin;
use std::sync::Arc;
use std::task::{Context, Waker};

use futures_util::{Stream, StreamExt as _};
use http::{Request, Response};
use hyper::body::Incoming;
use hyper::rt::Executor;
use hyper::server::conn::http2;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::sync::watch;
use tokio::time::{Instant, sleep};
use tonic::body::Body;
use tonic::transport::server::Connected;

use crate::callers::Caller;
use crate::connections::{Counted, Doors};
use crate::layers::{Answer, Gate};
use crate::limits::Limits;

/// Answers on every connection that comes in until told to stop, then until each of them has finished.
pub(crate) async fn serve<I, IO>(
    gate: &Gate,
    doors: &Doors,
    limits: &Limits,
    incoming: I,
    stop: impl Future<Output = ()>,
) where
    I: Stream<Item = io::Result<IO>>,
    IO: AsyncRead + AsyncWrite + Connected + Unpin + Send + 'static,
{
    let (closing, told) = watch::channel(false);
    {
        // In a scope of its own: nobody listens any more while the running calls are finished.
        let (mut incoming, mut stop) = (pin!(incoming), pin!(stop));
        loop {
            let io = tokio::select! {
                biased;
                () = &mut stop => break,
                io = incoming.next() => io,
            };
            match io {
                Some(Ok(io)) => {
                    if let Some(io) = doors.admit(io, limits) {
                        tokio::spawn(connection(io, gate.clone(), limits.clone(), told.clone()));
                    }
                }
                Some(Err(error)) => tracing::debug!(%error, "a connection could not be taken"),
                None => break,
            }
        }
    }
    closing.send_replace(true);
    drop(told);
    closing.closed().await;
}

/// Answers on one connection until it is closed by either side.
async fn connection<IO>(io: Counted<IO>, gate: Gate, limits: Limits, mut told: watch::Receiver<bool>)
where
    IO: AsyncRead + AsyncWrite + Connected + Unpin + Send + 'static,
{
    let caller = Arc::clone(io.caller());
    let front = Front { gate, caller: Arc::clone(&caller), info: io.connect_info() };
    let (calls, ill) = (Calls(Arc::clone(&caller)), io.ill());
    let mut connection = pin!(transport(&limits, calls).serve_connection(TokioIo::new(io), front));
    let mut age = pin!(sleep(limits.connection_age));
    let (mut old, mut stopping) = (false, false);
    let error = loop {
        let turn = poll_fn(|cx| {
            caller.begin();
            let polled = connection.as_mut().poll(cx);
            if caller.goes_out() {
                // What was refused in this turn goes out at the begin of the next one, in one piece.
                cx.waker().wake_by_ref();
            }
            polled
        });
        tokio::select! {
            biased;
            () = caller.dismissed() => return,
            ended = turn => match ended {
                Ok(()) => return,
                Err(error) => break error,
            },
            () = &mut age => {
                if old {
                    return;
                }
                old = true;
                connection.as_mut().graceful_shutdown();
                age.as_mut().reset(Instant::now() + limits.connection_grace);
            }
            // A sender that is gone means the same as one that has spoken.
            _ = told.wait_for(|told| *told), if !stopping => {
                stopping = true;
                connection.as_mut().graceful_shutdown();
            }
        }
    };
    tracing::debug!(%error, "a connection went wrong");
    if caller.peer().is_some() && breaks_rules(&error) {
        ill.note(&caller);
        // It is closed later, and not read any more: whoever is closed comes again, and coming costs more than waiting.
        tokio::select! {
            () = sleep(limits.ill_hold) => {}
            () = caller.dismissed() => {}
            _ = told.wait_for(|told| *told) => {}
        }
    }
}

/// Whether a connection ended because its caller broke the rules of the protocol, and not because it went away.
fn breaks_rules(error: &hyper::Error) -> bool {
    let mut cause = error.source();
    while let Some(error) = cause {
        if error.is::<io::Error>() {
            return false;
        }
        cause = error.source();
    }
    !error.is_timeout()
}

/// The transport with every limit set that it leaves open by default.
fn transport<E: Clone>(limits: &Limits, executor: E) -> http2::Builder<E> {
    let mut builder = http2::Builder::new(executor);
    builder
        .timer(TokioTimer::new())
        .max_concurrent_streams(limits.connection_calls)
        .initial_stream_window_size(limits.stream_window_bytes)
        .initial_connection_window_size(limits.connection_window_bytes)
        .adaptive_window(false)
        .max_frame_size(limits.frame_bytes)
        .max_header_list_size(limits.header_bytes)
        .max_send_buf_size(limits.send_buffer_bytes)
        .keep_alive_interval(Some(limits.keepalive))
        .keep_alive_timeout(limits.keepalive_timeout)
        .max_pending_accept_reset_streams(Some(limits.pending_resets))
        .max_local_error_reset_streams(Some(limits.local_resets));
    builder
}

/// What calls of one connection go through first.
struct Front<C> {
    gate: Gate,
    caller: Arc<Caller>,
    info: C,
}

impl<C: Clone + Send + Sync + 'static> hyper::service::Service<Request<Incoming>> for Front<C> {
    type Response = Response<Body>;
    type Error = Infallible;
    type Future = Answer;

    fn call(&self, mut request: Request<Incoming>) -> Answer {
        match self.gate.admit(&request, &self.caller) {
            ControlFlow::Continue(coming) => {
                request.extensions_mut().insert(self.info.clone());
                self.gate.answer(request.map(Body::new), Arc::clone(&self.caller), coming)
            }
            ControlFlow::Break(away) => {
                self.caller.is_refused();
                Answer::Made(Some(away))
            }
        }
    }
}

/// Works on the calls of one connection, and counts them until their replies are taken.
#[derive(Clone)]
struct Calls(Arc<Caller>);

impl<F> Executor<F> for Calls
where
    F: Future + Send + 'static,
    F::Output: Send,
{
    fn execute(&self, call: F) {
        if self.0.was_refused() {
            // Its answer is made, and holds nothing: it is handed over here and now, and no task is made for it.
            let done = pin!(call).poll(&mut Context::from_waker(Waker::noop()));
            debug_assert!(done.is_ready(), "a refusal waits for nothing");
            return;
        }
        self.0.calls.add(1);
        let place = Place(Arc::clone(&self.0));
        tokio::spawn(async move {
            let _place = place;
            call.await;
        });
    }
}

struct Place(Arc<Caller>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.calls.give(1);
    }
}
