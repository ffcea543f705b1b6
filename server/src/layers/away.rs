//! Turning a call away at little cost.
//!
//! Under a flood most calls are turned away, and what that costs is taken from those that are let in. The refusal is therefore
//! prepared: it says what any other error says, and only the id of the call is put into it each time. How many calls are
//! running is told as it was a moment ago.

use std::sync::Arc;
use std::time::{Duration, Instant};

use http::{Request, Response};
use parking_lot::Mutex;
use prost::Message as _;
use tonic::body::Body;
use tonic::{Code, Status};
use tonic_types::pb;

use super::{REQUEST_ID, Rooms};
use crate::callers::Caller;
use crate::conduct::ANSWERED;
use crate::error::ApiError;
use crate::measure::calls::EXHAUSTED;

/// How long a prepared refusal is used.
const FRESH: Duration = Duration::from_millis(20);

/// The refusal as it was prepared last.
#[derive(Debug, Default)]
pub(crate) struct Away(Mutex<Option<Prepared>>);

#[derive(Debug, Clone)]
struct Prepared {
    at: Instant,
    code: Code,
    message: Arc<str>,
    /// All of its details but the id of the call, as they are sent.
    details: Arc<[u8]>,
}

impl Prepared {
    fn new(in_flight: usize, retry_after: Duration) -> Self {
        let status = ApiError::Overloaded { in_flight, retry_after }.status("");
        let mut details = pb::Status::decode(status.details()).unwrap_or_default();
        details.details.retain(|any| any.type_url != REQUEST_INFO);
        Self {
            at: Instant::now(),
            code: status.code(),
            message: status.message().into(),
            details: details.encode_to_vec().into(),
        }
    }

    /// Returns the refusal of the call of that id.
    fn status(&self, id: &str) -> Status {
        let mut details = Vec::with_capacity(self.details.len() + REQUEST_INFO.len() + id.len() + 16);
        details.extend_from_slice(&self.details);
        let info = pb::RequestInfo { request_id: id.to_owned(), serving_data: String::new() };
        let any = pbjson_types::Any { type_url: REQUEST_INFO.to_owned(), value: info.encode_to_vec().into() };
        // A message of protobuf goes on with what is put behind it. A buffer in memory takes all of it.
        let _ = More { details: vec![any] }.encode(&mut details);
        Status::with_details(self.code, &*self.message, details.into())
    }
}

/// The name by which details say that they are the id of a call.
const REQUEST_INFO: &str = "type.googleapis.com/google.rpc.RequestInfo";

/// More details for `google.rpc.Status`.
#[derive(Clone, PartialEq, prost::Message)]
struct More {
    #[prost(message, repeated, tag = "3")]
    details: Vec<pbjson_types::Any>,
}

impl Away {
    /// Returns the refusal of the call of that id, while about so many are running.
    fn status(&self, id: &str, in_flight: usize, retry_after: Duration) -> Status {
        let mut prepared = self.0.lock();
        let fresh = prepared.take().filter(|prepared| prepared.at.elapsed() < FRESH);
        let fresh = fresh.unwrap_or_else(|| Prepared::new(in_flight, retry_after));
        *prepared = Some(fresh.clone());
        drop(prepared);
        fresh.status(id)
    }
}

impl Rooms {
    /// Turns a call away: it is answered before a task is made for it. It is told whether its path is known to be one of the
    /// contract.
    pub(super) fn turn_away<B>(
        &self,
        request: &Request<B>,
        (caller, known): (&Caller, bool),
        running: usize,
    ) -> Response<Body> {
        let (state, started) = (&self.state, Instant::now());
        let id = self.id(request.headers());
        let status = state.away.status(id.to_str().unwrap_or_default(), running, state.limits.retry_after);
        let path = request.uri().path();
        tracing::debug!(target: super::answer::CALLS, path, running, "a call is turned away");
        let mut response = status.into_http();
        response.headers_mut().insert(REQUEST_ID, id);
        caller.earn(ANSWERED);
        state.measures.calls.note(path, known, EXHAUSTED, started.elapsed());
        response
    }
}

#[cfg(test)]
mod tests {
    use tonic_types::StatusExt as _;

    use super::*;

    #[test]
    fn a_prepared_refusal_says_what_any_other_one_says() {
        let (away, retry_after) = (Away::default(), Duration::from_millis(200));
        for (id, in_flight) in [("9f2c", 256), ("another", 256), ("", 256)] {
            let plain = ApiError::Overloaded { in_flight, retry_after }.status(id);
            let prepared = away.status(id, in_flight, retry_after);
            assert_eq!((prepared.code(), prepared.message()), (plain.code(), plain.message()));
            let (prepared, plain) = (prepared.get_error_details(), plain.get_error_details());
            let delay = |details: &tonic_types::ErrorDetails| details.retry_info().and_then(|info| info.retry_delay);
            assert_eq!((delay(&prepared), delay(&plain)), (Some(retry_after), Some(retry_after)));
            let info = |details: &tonic_types::ErrorDetails| format!("{:?}", details.error_info());
            assert_eq!(info(&prepared), info(&plain));
            assert_eq!(prepared.request_info().unwrap().request_id, id);
        }
    }

    #[test]
    fn it_tells_the_load_of_a_moment_ago() {
        let (away, retry_after) = (Away::default(), Duration::from_millis(200));
        let told = |in_flight| {
            let status = away.status("", in_flight, retry_after);
            status.get_details_error_info().unwrap().metadata["in_flight"].clone()
        };
        assert_eq!(told(7), "7");
        std::thread::sleep(FRESH);
        assert_eq!(told(9), "9");
    }
}
