//! How a stream ends: seen in what comes behind its last message, or in its being dropped before.

use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Instant;

use bytes::Bytes;
use http::Uri;
use http_body::{Frame, SizeHint};
use tonic::Status;
use tonic::body::Body;

use super::{Call, Lane, Rooms};
use crate::measure::calls::{CANCELLED, Calls};

/// Measures a stream when it ends.
pub(super) struct Ending {
    rooms: Arc<Rooms>,
    uri: Uri,
    call: Call,
    started: Instant,
    noted: bool,
}

impl Ending {
    pub(super) fn new(rooms: Arc<Rooms>, uri: Uri, call: Call, started: Instant) -> Self {
        Self { rooms, uri, call, started, noted: false }
    }

    /// Watches what is sent.
    pub(super) fn watch(self, body: Body) -> Watched {
        Watched { body, ending: self }
    }

    fn note(&mut self, code: usize) {
        if !self.noted {
            self.noted = true;
            self.rooms.note(&self.uri, true, code, self.started, &self.call, Lane::Stream);
        }
    }
}

impl Drop for Ending {
    /// One that is dropped before its end was taken back by its caller.
    fn drop(&mut self) {
        self.note(CANCELLED);
    }
}

/// The messages of a stream that is watched for its end.
pub(super) struct Watched {
    body: Body,
    ending: Ending,
}

impl http_body::Body for Watched {
    type Data = Bytes;
    type Error = Status;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, Status>>> {
        let this = &mut *self;
        let polled = Pin::new(&mut this.body).poll_frame(cx);
        match &polled {
            Poll::Ready(Some(Ok(frame))) => {
                if let Some(trailers) = frame.trailers_ref() {
                    let code = trailers.get(Status::GRPC_STATUS).map(http::HeaderValue::as_bytes);
                    this.ending.note(Calls::code(code));
                }
            }
            Poll::Ready(Some(Err(_)) | None) | Poll::Pending => {}
        }
        polled
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}
