//! One file per gRPC service, and the funnels that calls go through: [`unary`], [`each`], [`gathered`] and [`kept`].
//!
//! A handler decodes, answers, and leaves the rest: what is wrong becomes a status here and nowhere else.

mod answers;
mod calculator;
mod differences;
mod kept;
mod page;
mod spec_book;
mod steward;
mod upfits;

use std::future::Future;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::time::Duration;

use futures_util::FutureExt as _;
use tokio::sync::mpsc;
use tonic::{Request, Response, Status, Streaming};

pub use answers::Answers;
use answers::{Answering, answers};
pub use calculator::Calculator;
pub(crate) use page::hex;
pub use spec_book::SpecBook;
pub use steward::Steward;
pub use upfits::Upfits;

use crate::access::Principal;
use crate::book::Revision;
use crate::embed::Message;
use crate::error::ApiError;
use crate::held::{FREE_BYTES, ReplyBytes, buffer_bytes};
use crate::layers::{Call, panic_text};
use crate::service::{Phase, State};

/// Returns who makes a call.
fn who<Q>(request: &Request<Q>) -> Principal {
    request.extensions().get::<Call>().map_or(Principal::Local, |call| call.principal.clone())
}

/// Answers a call that is answered once: decode, answer, map.
async fn unary<Q, A, F>(request: Request<Q>, answer: impl FnOnce(Q) -> F) -> Result<Response<A>, Status>
where
    A: prost::Message,
    F: Future<Output = Result<A, ApiError>>,
{
    let call = request.extensions().get::<Call>().cloned();
    let answered = answer(request.into_inner()).await;
    let answered = answered.map(Response::new).map_err(|error| error.status(call.as_ref().map_or("none", Call::id)));
    answered.map(|mut response| {
        let bytes = response.get_ref().encoded_len();
        if FREE_BYTES < bytes {
            response.extensions_mut().insert(ReplyBytes(buffer_bytes(bytes)));
        }
        response
    })
}

/// Answers a call with a stream: `work` sends as many answers as it likes, and its error, if any, ends the stream.
///
/// So many answers wait at most for the caller to read them. The work stops when the caller goes away, when the caller's
/// deadline passes, or when the service has stopped.
fn each<Q, A, F>(
    state: &Arc<State>,
    request: Request<Q>,
    waiting: usize,
    work: impl FnOnce(Q, Answering<A>) -> F,
) -> Result<Response<Answers<A>>, Status>
where
    A: Send + 'static,
    F: Future<Output = Result<(), ApiError>> + Send + 'static,
{
    let call = Call::of(&request, state);
    let place = state.stream(&call.caller).map_err(|error| error.status(call.id()))?;
    let replies = (!call.is_here()).then(|| Arc::clone(&call.caller.replies));
    let (answering, answers) = answers(waiting, replies, state.limits.stream_idle);
    let work = bounded(Arc::clone(state), call.clone(), work(request.into_inner(), answering.clone()));
    tokio::spawn(async move {
        let done = tokio::select! {
            done = work => done,
            () = answering.closed() => return,
        };
        // The work is over; a caller who does not read its end must not keep others out.
        drop(place);
        if let Err(error) = done {
            answering.end(error.status(call.id())).await;
        }
    });
    Ok(Response::new(answers))
}

/// Answers a stream with one reply.
async fn gathered<Q, A, F>(
    state: &Arc<State>,
    request: Request<Streaming<Q>>,
    work: impl FnOnce(Asking<Q>) -> F,
) -> Result<Response<A>, Status>
where
    F: Future<Output = Result<A, ApiError>> + Send,
{
    let call = Call::of(&request, state);
    let _place = state.stream(&call.caller).map_err(|error| error.status(call.id()))?;
    let asking = Asking::new(state, request.into_inner());
    let answered = bounded(Arc::clone(state), call.clone(), work(asking)).await;
    answered.map(Response::new).map_err(|error| error.status(call.id()))
}

/// Runs the work of a stream until it is done, fails, or its time is over.
async fn bounded<T>(
    state: Arc<State>,
    call: Call,
    work: impl Future<Output = Result<T, ApiError>>,
) -> Result<T, ApiError> {
    let mut phase = state.phase.subscribe();
    let ended = async {
        // A sender that is gone means the same as one that has spoken.
        drop(phase.wait_for(|phase| *phase == Phase::Ended).await);
    };
    let late = async {
        match call.caller_deadline {
            Some((end, _)) => tokio::time::sleep_until(end.into()).await,
            None => std::future::pending().await,
        }
    };
    tokio::select! {
        done = AssertUnwindSafe(work).catch_unwind() => {
            done.unwrap_or_else(|panic| Err(ApiError::Fault { why: panic_text(panic.as_ref()) }))
        }
        () = ended => Err(ApiError::Stopping { drain: state.limits.drain }),
        () = late => {
            let limit = call.caller_deadline.map_or(Duration::ZERO, |(_, limit)| limit);
            Err(ApiError::Deadline { limit, doing: "the stream" })
        }
    }
}

/// The messages of a stream, one after the other.
struct Asking<Q> {
    messages: Messages<Q>,
    idle: Duration,
}

/// Where the messages of a stream come from.
pub(crate) enum Messages<Q> {
    /// A caller on the wire.
    Wire(Box<Streaming<Q>>),
    /// A caller in this process.
    Here(mpsc::Receiver<Message<Q>>),
}

impl<Q> From<Streaming<Q>> for Messages<Q> {
    fn from(messages: Streaming<Q>) -> Self {
        Self::Wire(Box::new(messages))
    }
}

impl<Q> From<mpsc::Receiver<Message<Q>>> for Messages<Q> {
    fn from(messages: mpsc::Receiver<Message<Q>>) -> Self {
        Self::Here(messages)
    }
}

impl<Q> Asking<Q> {
    fn new(state: &State, messages: impl Into<Messages<Q>>) -> Self {
        Self { messages: messages.into(), idle: state.limits.stream_idle }
    }

    /// Returns the next message, or nothing after the last.
    async fn next(&mut self) -> Result<Option<Q>, ApiError> {
        Ok(self.next_to_make().await?.map(Message::made))
    }

    /// Returns the next message, which may be still to be made, or nothing after the last.
    async fn next_to_make(&mut self) -> Result<Option<Message<Q>>, ApiError> {
        let message = async {
            match &mut self.messages {
                Messages::Wire(messages) => messages.message().await.map(|message| message.map(Message::Ready)),
                Messages::Here(messages) => Ok(messages.recv().await),
            }
        };
        match tokio::time::timeout(self.idle, message).await {
            Ok(message) => message.map_err(|status| ApiError::from_transport(&status, "this stream")),
            Err(_) => Err(ApiError::Deadline { limit: self.idle, doing: "waiting for the caller to send" }),
        }
    }
}

/// Reads the least revision a caller wants to see, and holds it against the newest.
fn at_least(min_revision: i64, newest: Revision) -> Result<(), ApiError> {
    if min_revision <= newest.to_wire() && min_revision >= 0 {
        return Ok(());
    }
    if min_revision < 0 {
        return Err(ApiError::field("min_revision", format!("must be 0 or more, is {min_revision}")));
    }
    Err(ApiError::RevisionAhead { min_revision, revision: newest.to_wire() })
}
