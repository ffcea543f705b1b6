//! How far a request has come. Only one that has come whole counts as a running call: a caller that sends its requests
//! slowly, or never to their end, takes the place of nobody.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use http::HeaderValue;
use tonic::Status;

use super::{Lane, crowded};
use crate::callers::Caller;
use crate::error::ApiError;
use crate::service::State;

/// How far the request of one call has come.
pub(crate) struct Arrival {
    state: Arc<State>,
    caller: Arc<Caller>,
    id: HeaderValue,
    lane: Lane,
    /// Whether its first message has come whole.
    come: AtomicBool,
    /// Whether it counts among those that are running.
    running: AtomicBool,
}

impl Arrival {
    pub(super) fn new(state: Arc<State>, caller: Arc<Caller>, id: HeaderValue, lane: Lane) -> Arc<Self> {
        Arc::new(Self { state, caller, id, lane, come: AtomicBool::new(false), running: AtomicBool::new(false) })
    }

    /// Returns whether the first message has come whole.
    pub(super) fn has_come(&self) -> bool {
        self.come.load(Ordering::Relaxed)
    }

    /// Lets the call in, once, now that its first message is whole.
    ///
    /// # Errors
    /// The refusal, when more calls are running than are let in at present.
    pub(crate) fn whole(&self) -> Result<(), Status> {
        if self.come.swap(true, Ordering::Relaxed) || self.lane == Lane::Health {
            return Ok(());
        }
        self.running.store(true, Ordering::Relaxed);
        let running = self.state.calls.fetch_add(1, Ordering::Relaxed);
        // Its own call counts among the caller's by now.
        if self.lane == Lane::Unary && crowded(&self.state, running, self.caller.calls.taken().saturating_sub(1)) {
            self.state.measures.shed.waiting.fetch_add(1, Ordering::Relaxed);
            return Err(self.overloaded(running));
        }
        Ok(())
    }

    /// Returns the refusal of a long message for which there is no room.
    pub(crate) fn no_room(&self) -> Status {
        self.state.measures.shed.messages.fetch_add(1, Ordering::Relaxed);
        self.overloaded(self.state.calls.load(Ordering::Relaxed))
    }

    /// Returns the refusal of a message that nobody can unpack.
    pub(crate) fn torn(&self) -> Status {
        let why = "is not a readable request: a part of it is longer than the whole, or of no kind; compare it with the .proto \
                   files";
        self.refusal(ApiError::field("request", why))
    }

    /// Returns the refusal of a message that would take too much once it is unpacked.
    pub(crate) fn unpacks_too_far(&self, is: usize, max: usize) -> Status {
        let (max, is) = (max as u64, is as u64);
        self.refusal(ApiError::OverLimit { limit: "unpacked_bytes", max, is, unit: "bytes in one message, unpacked" })
    }

    fn overloaded(&self, in_flight: usize) -> Status {
        self.refusal(ApiError::Overloaded { in_flight, retry_after: self.state.limits.retry_after })
    }

    /// Writes a refusal so that whoever reads a stream finds in it what it is.
    fn refusal(&self, error: ApiError) -> Status {
        let mut status = error.status(self.id.to_str().unwrap_or_default());
        status.set_source(Arc::new(error));
        status
    }

    /// The call is over.
    pub(super) fn over(&self) {
        if self.running.swap(false, Ordering::Relaxed) {
            self.state.calls.fetch_sub(1, Ordering::Relaxed);
        }
    }
}
