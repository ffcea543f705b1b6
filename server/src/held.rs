//! How many bytes of long messages are held at once: of requests that are not whole yet, and of replies that are not taken.
//!
//! Short messages are free, so that callers who send or take long ones slowly, or never, cannot keep others from the book.
//! A long one is held against one bound for all callers together; over it, its caller is told to come back.

use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::task::{Context, Poll};

use bytes::{Buf as _, Bytes};
use http::HeaderValue;
use http_body::{Frame, SizeHint};
use tonic::Status;
use tonic::body::Body;

use crate::error::ApiError;

/// Bytes of one message that are free.
pub(crate) const FREE_BYTES: usize = 16 << 10;

/// Bytes before each message of gRPC: a mark and a length.
const PREFIX_BYTES: usize = 5;

/// What all long messages hold together.
#[derive(Debug)]
pub(crate) struct Held {
    bytes: AtomicUsize,
    most: usize,
}

/// What one message holds; given back when dropped.
#[derive(Debug)]
pub(crate) struct Share {
    held: Arc<Held>,
    bytes: usize,
}

impl Held {
    pub(crate) fn at_most(most: usize) -> Arc<Self> {
        Arc::new(Self { bytes: AtomicUsize::new(0), most })
    }

    /// Returns how much is held.
    pub(crate) fn bytes(&self) -> usize {
        self.bytes.load(Ordering::Relaxed)
    }

    /// Takes a share of nothing yet.
    pub(crate) fn share(self: &Arc<Self>) -> Share {
        Share { held: Arc::clone(self), bytes: 0 }
    }
}

impl Share {
    /// Holds as much as a message of that length owes; says whether there is room for it.
    pub(crate) fn hold(&mut self, length: usize) -> bool {
        let owed = length.saturating_sub(FREE_BYTES);
        if owed <= self.bytes {
            self.held.bytes.fetch_sub(self.bytes - owed, Ordering::Relaxed);
            self.bytes = owed;
            return true;
        }
        let more = owed - self.bytes;
        let before = self.held.bytes.fetch_add(more, Ordering::Relaxed);
        if before + more > self.held.most {
            self.held.bytes.fetch_sub(more, Ordering::Relaxed);
            return false;
        }
        self.bytes = owed;
        true
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        self.held.bytes.fetch_sub(self.bytes, Ordering::Relaxed);
    }
}

/// The bytes of a message as it comes in.
#[derive(Debug, Default)]
struct Reading {
    prefix: [u8; PREFIX_BYTES],
    /// Bytes of the prefix that have come.
    prefixed: usize,
    /// Bytes of the message that have come, and that are still to come.
    come: usize,
    left: usize,
}

impl Reading {
    /// Takes more bytes, and returns how long the message is that is not whole; 0 when there is none. The whole length counts
    /// from the first byte on, for a buffer of that length is made then.
    fn take(&mut self, mut bytes: &[u8]) -> usize {
        while !bytes.is_empty() {
            if self.prefixed < PREFIX_BYTES {
                let part = bytes.len().min(PREFIX_BYTES - self.prefixed);
                self.prefix[self.prefixed..self.prefixed + part].copy_from_slice(&bytes[..part]);
                self.prefixed += part;
                bytes.advance(part);
                if self.prefixed == PREFIX_BYTES {
                    let [_, length @ ..] = self.prefix;
                    (self.come, self.left) = (0, u32::from_be_bytes(length) as usize);
                }
            } else {
                let part = bytes.len().min(self.left);
                self.come += part;
                self.left -= part;
                bytes.advance(part);
            }
            if self.prefixed == PREFIX_BYTES && self.left == 0 {
                (self.prefixed, self.come, self.left) = (0, 0, 0);
            }
        }
        self.come + self.left
    }
}

/// A request that is held as long as a message of it is not whole.
pub(crate) struct Incoming {
    body: Body,
    reading: Reading,
    share: Share,
    longest: usize,
    refusal: Option<(ApiError, HeaderValue)>,
}

impl Incoming {
    /// Watches a request, whose messages have at most so many bytes: a longer one is refused for its length; `refusal` is what the caller of that call is told when there is no room.
    pub(crate) fn new(body: Body, held: &Arc<Held>, longest: usize, refusal: ApiError, call: HeaderValue) -> Self {
        Self { body, reading: Reading::default(), share: held.share(), longest, refusal: Some((refusal, call)) }
    }
}

impl http_body::Body for Incoming {
    type Data = Bytes;
    type Error = Status;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, Status>>> {
        let this = &mut *self;
        let polled = Pin::new(&mut this.body).poll_frame(cx);
        if let Poll::Ready(Some(Ok(frame))) = &polled
            && let Some(data) = frame.data_ref()
        {
            let length = this.reading.take(data);
            if length <= this.longest
                && !this.share.hold(length)
                && let Some((refusal, call)) = this.refusal.take()
            {
                return Poll::Ready(Some(Err(refusal.status(call.to_str().unwrap_or_default()))));
            }
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

/// A reply that is held until it is taken.
pub(crate) struct Outgoing {
    pub(crate) body: Body,
    pub(crate) _share: Share,
}

impl http_body::Body for Outgoing {
    type Data = Bytes;
    type Error = Status;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, Status>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

/// The length of a long reply, in its extensions.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ReplyBytes(pub(crate) usize);

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_is_held_is_bounded_and_given_back() {
        let held = Held::at_most(1_000);
        let (mut one, mut other) = (held.share(), held.share());
        assert!(one.hold(FREE_BYTES) && one.hold(FREE_BYTES + 600));
        assert!(!other.hold(FREE_BYTES + 500) && other.hold(FREE_BYTES + 400));
        assert_eq!(held.bytes(), 1_000);
        assert!(one.hold(0));
        assert_eq!(held.bytes(), 400);
        drop(other);
        assert_eq!(held.bytes(), 0);
    }

    proptest! {
        #[test]
        fn a_message_is_known_whole_however_it_comes(
            lengths in prop::collection::vec(0_usize..300, 1..8), cuts in prop::collection::vec(1_usize..40, 1..60)
        ) {
            let mut bytes = Vec::new();
            for length in &lengths {
                bytes.push(0);
                bytes.extend((*length as u32).to_be_bytes());
                bytes.extend(std::iter::repeat_n(7, *length));
            }
            let (mut reading, mut at, mut cuts) = (Reading::default(), 0, cuts.into_iter().cycle());
            while at < bytes.len() {
                let end = (at + cuts.next().unwrap()).min(bytes.len());
                let length = reading.take(&bytes[at..end]);
                at = end;
                // The message that is not whole at this place, found by counting.
                let mut start = 0;
                let open = lengths.iter().find_map(|length| {
                    let next = start + PREFIX_BYTES + length;
                    let inside = start + PREFIX_BYTES <= at && at < next;
                    start = next;
                    inside.then_some(*length)
                });
                prop_assert_eq!(length, open.unwrap_or(0));
            }
        }
    }
}
