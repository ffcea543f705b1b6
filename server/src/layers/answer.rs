//! The answer to one call while it is on its way: its first turn, its deadline, its end, and what is measured of it.

use std::convert::Infallible;
use std::future::Future;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use http::{Response, Uri};
use tokio::time::Sleep;
use tonic::Status;
use tonic::body::Body;
use tonic::codegen::BoxFuture;

use super::coming::Coming;
use super::ending::Ending;
use super::{Arrival, Call, Lane, REQUEST_ID, Rooms, panic_text};
use crate::conduct::{ANSWERED, UNREADABLE};
use crate::error::{ApiError, is_fault};
use crate::held::{self, ReplyBytes, Share};
use crate::measure::calls::{CANCELLED, Calls};

/// The answer to one call.
pub enum Answer {
    /// It is made: the call was turned away before anything was done for it.
    Made(Option<Response<Body>>),
    /// It is on its way.
    Making(Box<Making>),
}

impl Future for Answer {
    type Output = Result<Response<Body>, Infallible>;

    fn poll(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Self::Output> {
        match &mut *self {
            Self::Made(response) => Poll::Ready(Ok(response.take().unwrap_or_default())),
            Self::Making(making) => Pin::new(making.as_mut()).poll(cx),
        }
    }
}

/// The answer to one call, on its way.
pub struct Making {
    pub(super) inner: Option<BoxFuture<Response<Body>, Infallible>>,
    /// Set only when the call does not answer at once.
    pub(super) sleep: Option<Pin<Box<Sleep>>>,
    pub(super) uri: Uri,
    pub(super) span: tracing::Span,
    /// How far its request has come.
    pub(super) arrival: Arc<Arrival>,
    /// Whether a handler has it, or had.
    pub(super) routed: bool,
    pub(super) taken_up: bool,
    /// The place it has until it is taken up.
    pub(super) coming: Option<Coming>,
    /// Whether it has been measured.
    pub(super) noted: bool,
    pub(super) lane: Lane,
    pub(super) limit: Option<Duration>,
    pub(super) started: Instant,
    pub(super) refused: Option<ApiError>,
    pub(super) call: Call,
    pub(super) rooms: Arc<Rooms>,
}

impl Drop for Making {
    fn drop(&mut self) {
        self.arrival.over();
        if !self.noted {
            self.note(CANCELLED);
        }
    }
}

impl Future for Making {
    type Output = Result<Response<Body>, Infallible>;

    fn poll(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Self::Output> {
        let this = &mut *self;
        if !this.taken_up {
            this.taken_up = true;
            if this.routed && this.lane != Lane::Health {
                let state = &this.rooms.state;
                state.pressure.taken_up(this.started, Instant::now(), state.calls.load(Ordering::Relaxed));
            }
        }
        let Some(inner) = &mut this.inner else {
            let error = this.refused.take().unwrap_or_else(|| ApiError::Fault { why: "polled again".to_owned() });
            return Poll::Ready(Ok(this.finish(error.status(this.call.id()).into_http())));
        };
        let polled = {
            let _inside = this.span.enter();
            catch_unwind(AssertUnwindSafe(|| inner.as_mut().poll(cx)))
        };
        // It runs now, stands in line, or waits for its request, and counts there or not at all.
        this.coming = None;
        match polled {
            Ok(Poll::Ready(Ok(response))) => {
                this.inner = None;
                let response = this.explained(response);
                let response = this.held(response);
                Poll::Ready(Ok(this.finish(response)))
            }
            Ok(Poll::Ready(Err(never))) => match never {},
            Ok(Poll::Pending) => this.poll_deadline(cx),
            Err(panic) => {
                this.inner = None;
                let error = ApiError::Fault { why: panic_text(panic.as_ref()) };
                Poll::Ready(Ok(this.finish(error.status(this.call.id()).into_http())))
            }
        }
    }
}

impl Making {
    fn poll_deadline(&mut self, cx: &mut Context<'_>) -> Poll<Result<Response<Body>, Infallible>> {
        loop {
            let has_come = self.arrival.has_come();
            let (end, limit, doing) = match (self.limit, self.call.caller_deadline) {
                (Some(limit), Some((end, asked))) if asked <= limit => (Some(end), limit, "the call"),
                (Some(limit), _) => (self.started.checked_add(limit), limit, "the call"),
                (None, _) => (None, Duration::MAX, "the call"),
            };
            let arrival = self.rooms.state.limits.arrival;
            let (end, limit, doing) = match self.started.checked_add(arrival) {
                Some(due) if !has_come && end.is_none_or(|end| due < end) => {
                    (Some(due), arrival, "waiting for the whole request")
                }
                _ => (end, limit, doing),
            };
            let Some(end) = end else { return Poll::Pending };
            let sleep = self.sleep.get_or_insert_with(|| Box::pin(tokio::time::sleep_until(end.into())));
            if sleep.as_mut().poll(cx).is_pending() {
                return Poll::Pending;
            }
            if Instant::now() < end {
                // It was set for the arrival, and the request has come.
                sleep.as_mut().reset(end.into());
                continue;
            }
            self.inner = None;
            let error = ApiError::Deadline { limit, doing };
            return Poll::Ready(Ok(self.finish(error.status(self.call.id()).into_http())));
        }
    }

    /// Gives what the transport refused by itself the same details as any other error.
    fn explained(&self, response: Response<Body>) -> Response<Body> {
        let headers = response.headers();
        let bare = headers.get(Status::GRPC_STATUS).is_some_and(|code| code != "0")
            && !headers.contains_key(Status::GRPC_STATUS_DETAILS)
            && self.lane != Lane::Health;
        if !bare {
            return response;
        }
        let Some(status) = Status::from_header_map(headers) else { return response };
        // No request of the contract: whoever sends many of them asks for nothing.
        self.call.caller.earn(-UNREADABLE);
        ApiError::from_transport(&status, self.uri.path()).status(self.call.id()).into_http()
    }

    /// Holds a long reply until it is taken; one for which there is no room is not sent.
    fn held(&self, response: Response<Body>) -> Response<Body> {
        let Some(ReplyBytes(bytes)) = response.extensions().get().copied() else { return response };
        let mut share = Share::of(&self.call.caller.replies);
        if share.hold(bytes) {
            return response.map(|body| Body::new(held::Outgoing { body, _share: share }));
        }
        self.arrival.no_room().into_http()
    }

    fn finish(&mut self, mut response: Response<Body>) -> Response<Body> {
        self.call.caller.earn(ANSWERED);
        response.headers_mut().insert(REQUEST_ID, self.call.id.clone());
        let head = response.headers().get(Status::GRPC_STATUS).map(|code| Calls::code(Some(code.as_bytes())));
        // A stream has begun only; how it ends stands behind its last message.
        if self.lane == Lane::Stream && head.is_none() {
            self.noted = true;
            let ending = Ending::new(Arc::clone(&self.rooms), self.uri.clone(), self.call.clone(), self.started);
            return response.map(|body| Body::new(ending.watch(body)));
        }
        self.note(head.unwrap_or(0));
        response
    }

    /// Measures the call, once.
    fn note(&mut self, code: usize) {
        self.noted = true;
        self.rooms.note(&self.uri, self.routed, code, self.started, &self.call, self.lane);
    }
}

impl Rooms {
    /// Measures a call that has ended, and logs it: each at the level `debug`, one that was slow or our own fault always.
    pub(super) fn note(&self, uri: &Uri, routed: bool, code: usize, started: Instant, call: &Call, lane: Lane) {
        let (state, took) = (&self.state, started.elapsed());
        state.measures.calls.note(uri.path(), routed, code, took);
        let fault = is_fault(code);
        if fault {
            state.measures.faults.fetch_add(1, Ordering::Relaxed);
        }
        let slow = lane == Lane::Unary && took >= state.limits.slow_call;
        if !(fault || slow || tracing::enabled!(target: CALLS, tracing::Level::DEBUG)) {
            return;
        }
        let revision = state.catalog.revision().to_wire();
        let (request_id, principal, path) = (call.id(), call.principal.who(), uri.path());
        let (code, us) = (Calls::name(code), u64::try_from(took.as_micros()).unwrap_or(u64::MAX));
        if fault {
            tracing::error!(target: CALLS, request_id, principal, path, code, us, revision, "a call failed by our own fault");
        } else if slow {
            tracing::info!(target: CALLS, request_id, principal, path, code, us, revision, "a slow call");
        } else {
            tracing::debug!(target: CALLS, request_id, principal, path, code, us, revision, "a call");
        }
    }
}

/// The target of what is logged of calls.
pub(super) const CALLS: &str = "baybook_server::calls";
