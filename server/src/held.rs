//! How many bytes of messages are held: of requests that are not whole yet, and of replies that are not taken.
//!
//! Short messages are free, so that callers who send or take long ones slowly, or never, cannot keep others from the book;
//! how many of them there may be follows from the calls that a connection may have open. A long one is held against what
//! its connection may hold of what all share; over it, its caller is told to come back.

use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};

use bytes::{Buf as _, Bytes};
use http_body::{Frame, SizeHint};
use tonic::Status;
use tonic::body::Body;

use crate::callers::Caller;
use crate::commons::Account;
use crate::conduct::{CRUMB, CRUMB_BYTES, TOO_LONG, UNREADABLE};
use crate::layers::Arrival;
use crate::unpacked::{Torn, Unpacked};

/// Bytes of one message that are free.
pub(crate) const FREE_BYTES: usize = 4 << 10;

/// The bytes that a message of that length takes while it waits to be sent: its buffer grows by doubling.
pub(crate) const fn buffer_bytes(length: usize) -> usize {
    length.next_power_of_two()
}

/// Bytes before each message of gRPC: a mark and a length.
const PREFIX_BYTES: usize = 5;

/// What one message holds of its connection's account; given back when dropped.
#[derive(Debug)]
pub(crate) struct Share {
    account: Arc<Account>,
    bytes: usize,
}

impl Share {
    /// Takes a share of nothing yet.
    pub(crate) fn of(account: &Arc<Account>) -> Self {
        Self { account: Arc::clone(account), bytes: 0 }
    }

    /// Holds as much as a message of that length owes; says whether there is room for it.
    pub(crate) fn hold(&mut self, length: usize) -> bool {
        let owed = length.saturating_sub(FREE_BYTES);
        if owed <= self.bytes {
            self.account.give(self.bytes - owed);
        } else if !self.account.take(owed - self.bytes) {
            return false;
        }
        self.bytes = owed;
        true
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        self.account.give(self.bytes);
    }
}

/// The bytes of a message as it comes in.
#[derive(Debug)]
struct Reading {
    prefix: [u8; PREFIX_BYTES],
    /// Bytes of the prefix that have come.
    prefixed: usize,
    /// Bytes of the message that have come, and that are still to come.
    come: usize,
    left: usize,
    /// Messages that have come whole.
    whole: usize,
    /// What the message takes once it is unpacked, as far as it has come.
    unpacked: Unpacked,
    /// The most that one of the messages taken last takes, unless it cannot be unpacked.
    most: Result<usize, Torn>,
}

impl Default for Reading {
    fn default() -> Self {
        Self {
            prefix: [0; PREFIX_BYTES],
            prefixed: 0,
            come: 0,
            left: 0,
            whole: 0,
            unpacked: Unpacked::default(),
            most: Ok(0),
        }
    }
}

impl Reading {
    fn of(path: &str) -> Self {
        Self { unpacked: Unpacked::of(path), ..Self::default() }
    }

    /// Takes more bytes, and returns how long the message is that is not whole; 0 when there is none. The whole length counts
    /// from the first byte on, for a buffer of that length is made then.
    fn take(&mut self, mut bytes: &[u8]) -> usize {
        self.most = self.most.map(|_| 0);
        while !bytes.is_empty() {
            if self.prefixed < PREFIX_BYTES {
                let part = bytes.len().min(PREFIX_BYTES - self.prefixed);
                self.prefix[self.prefixed..self.prefixed + part].copy_from_slice(&bytes[..part]);
                self.prefixed += part;
                bytes.advance(part);
                if self.prefixed == PREFIX_BYTES {
                    let [_, length @ ..] = self.prefix;
                    (self.come, self.left) = (0, u32::from_be_bytes(length) as usize);
                    // One that is packed is refused for that elsewhere.
                    if self.prefix.first() == Some(&0) {
                        self.unpacked.begin(self.left);
                    }
                }
            } else {
                let part = bytes.len().min(self.left);
                let unpacked = self.unpacked.take(&bytes[..part]);
                self.most = self.most.and_then(|most| unpacked.map(|unpacked| most.max(unpacked)));
                self.come += part;
                self.left -= part;
                bytes.advance(part);
            }
            if self.prefixed == PREFIX_BYTES && self.left == 0 {
                (self.prefixed, self.come, self.left) = (0, 0, 0);
                self.whole += 1;
            }
        }
        self.come + self.left
    }

    /// Whether the bytes that were just taken are a few in the middle of a message, when so many were whole before. What comes
    /// before a message may come by itself.
    const fn is_crumb(&self, bytes: usize, whole: usize) -> bool {
        bytes < CRUMB_BYTES && self.whole == whole && self.come > 0
    }
}

/// A request on its way in: held as long as a message of it is not whole, and let in once the first one is.
pub(crate) struct Incoming {
    body: Body,
    reading: Reading,
    share: Share,
    bounds: Bounds,
    arrival: Arc<Arrival>,
    caller: Arc<Caller>,
    /// Whether a message was longer than it may be.
    too_long: bool,
}

/// How long a message may be, and how many bytes it may take once it is unpacked.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    pub(crate) longest: usize,
    pub(crate) unpacked: usize,
}

impl Incoming {
    /// Watches the request of a call of that path, whose messages have at most so many bytes: one that is longer on the wire
    /// is refused for its length elsewhere, one that is longer unpacked here, before it is unpacked.
    pub(crate) fn new(body: Body, path: &str, caller: Arc<Caller>, bounds: Bounds, arrival: Arc<Arrival>) -> Self {
        let (reading, share) = (Reading::of(path), Share::of(&caller.requests));
        Self { body, reading, share, bounds, arrival, caller, too_long: false }
    }

    /// Takes more bytes, and says why they are refused.
    fn take(&mut self, data: &[u8]) -> Result<(), Status> {
        let whole = self.reading.whole;
        let length = self.reading.take(data);
        if self.reading.is_crumb(data.len(), whole) {
            self.caller.earn(-CRUMB);
        }
        match self.reading.most {
            Ok(most) if most <= self.bounds.unpacked => {}
            Ok(most) => {
                self.caller.earn(-TOO_LONG);
                return Err(self.arrival.unpacks_too_far(most, self.bounds.unpacked));
            }
            Err(Torn) => {
                self.caller.earn(-UNREADABLE);
                return Err(self.arrival.torn());
            }
        }
        if length > self.bounds.longest {
            // Some of it has been read already, for nothing.
            if !std::mem::replace(&mut self.too_long, true) {
                self.caller.earn(-TOO_LONG);
            }
        } else if !self.share.hold(length) {
            return Err(self.arrival.no_room());
        }
        if self.reading.whole > 0 { self.arrival.whole() } else { Ok(()) }
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
            && let Err(refusal) = this.take(data)
        {
            return Poll::Ready(Some(Err(refusal)));
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
    use crate::commons::Common;

    #[test]
    fn what_is_held_is_bounded_and_given_back() {
        let common = Common::new(1_000, 1, 0);
        let account = common.account();
        let (mut one, mut other) = (Share::of(&account), Share::of(&account));
        assert!(one.hold(FREE_BYTES) && one.hold(FREE_BYTES + 600));
        assert!(!other.hold(FREE_BYTES + 500) && other.hold(FREE_BYTES + 400));
        assert_eq!(common.taken(), 1_000);
        assert!(one.hold(0));
        assert_eq!(common.taken(), 400);
        drop(other);
        assert_eq!(common.taken(), 0);
    }

    #[test]
    fn few_bytes_in_the_middle_of_a_message_are_crumbs() {
        let mut reading = Reading::default();
        let mut is_crumb = |bytes: &[u8]| {
            let whole = reading.whole;
            reading.take(bytes);
            reading.is_crumb(bytes.len(), whole)
        };
        assert!(!is_crumb(&[0, 0, 0, 0, 200]), "what comes before a message");
        assert!(is_crumb(&[7]) && is_crumb(&[7; 63]) && !is_crumb(&[7; 64]));
        assert!(!is_crumb(&[7; 72]), "the last of it");
        assert!(!is_crumb(&[0, 0, 0, 0, 3, 7, 7, 7]) && !is_crumb(&[]), "a short message, and nothing");
        assert!(is_crumb(&[0, 0, 0, 0, 2, 7]) && !is_crumb(&[7, 0, 0]), "the end of one and the begin of the next");
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
            prop_assert_eq!(reading.whole, lengths.len());
        }
    }
}
