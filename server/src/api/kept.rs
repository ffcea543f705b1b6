//! Streams whose place is kept until they are gone: for callers that stay, and may stop reading.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use futures_util::Stream;
use tonic::{Request, Response, Status};

use super::{Answering, Answers, answers, bounded};
use crate::callers::Caller;
use crate::error::ApiError;
use crate::layers::Call;
use crate::service::{Phase, Place, State};

/// How long a watcher is given to read the end of its stream when the service stops.
const HEARS: Duration = Duration::from_millis(1_000);

/// A stream of answers that holds its place among the watchers.
///
/// A stream that its caller does not read cannot be taken back from the transport, and what waits in it takes memory: the
/// place is therefore free only when the stream is dropped, and memory is bounded by the number of places.
pub struct Kept<A> {
    answers: Answers<A>,
    _place: Place,
}

impl<A> Stream for Kept<A> {
    type Item = Result<A, Status>;

    fn poll_next(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        Pin::new(&mut self.answers).poll_next(cx)
    }
}

/// Answers a watcher's call: as [`super::each`], with one answer waiting at a time, and an end as soon as the service
/// stops taking calls.
pub(super) fn kept<Q, A, F>(
    state: &Arc<State>,
    request: Request<Q>,
    work: impl FnOnce(Q, Answering<A>) -> F,
) -> Result<Response<Kept<A>>, Status>
where
    A: Send + 'static,
    F: Future<Output = Result<(), ApiError>> + Send + 'static,
{
    let call = Call::of(&request, state);
    let place = state.watcher(&call.caller).map_err(|error| error.status(call.id()))?;
    let (answering, answers) = answers(1, None, state.limits.watch_unread);
    let work = bounded(Arc::clone(state), call.clone(), work(request.into_inner(), answering.clone()));
    let state = Arc::clone(state);
    tokio::spawn(async move {
        let mut phase = state.phase.subscribe();
        let stopping = async {
            // A sender that is gone means the same as one that has spoken.
            drop(phase.wait_for(|phase| *phase > Phase::Serving).await);
        };
        let (done, stopped) = tokio::select! {
            done = work => (done, false),
            () = stopping => (Err(ApiError::Stopping { drain: state.limits.drain }), true),
            () = answering.closed() => return,
        };
        // A watch that is over as it was asked ends here, by nobody being left who could send.
        let Err(error) = done else { return };
        let told = answering.end(error.status(call.id()));
        if !stopped {
            told.await;
            return;
        }
        let heard = async {
            told.await;
            answering.closed().await;
        };
        tokio::select! {
            () = heard => {}
            () = let_go(&call.caller) => {}
        }
    });
    Ok(Response::new(Kept { answers, _place: place }))
}

/// Closes the connection of a watcher that does not read even the end of its stream, so that it does not hold up the end of
/// the service. Calls of the same connection that are still running are finished first.
async fn let_go(caller: &Caller) {
    loop {
        tokio::time::sleep(HEARS).await;
        if caller.calls.taken() <= caller.watchers.taken() {
            caller.dismiss();
            return;
        }
    }
}
