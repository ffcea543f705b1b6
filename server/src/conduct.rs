//! What a caller's frames cost, and when they have cost too much.
//!
//! Most floods are made of frames that ask for nothing: settings, pings, calls taken back, headers beyond every bound. Each
//! kind of frame has a price, every answered call and all bytes taken by the caller earn something back, and so does time.
//! A caller who uses its service never runs out; one who has run out is let go, whatever it does, before its frames are
//! even looked at by the protocol.

use std::time::{Duration, Instant};

/// The length of a frame's head, RFC 9113 section 4.1.
const HEAD_BYTES: usize = 9;

/// The length of the preface, RFC 9113 section 3.4.
const PREFACE_BYTES: usize = 24;

/// What a caller has at first, and at most: enough for as many calls at once as a connection may have, not yet answered.
const PURSE: i64 = 12_000;

/// What a second gives back.
const PER_SECOND: i64 = 1_000;

/// What a call costs. Whoever makes more of them than a connection may have is refused each by the protocol, for which
/// nothing is earned.
const CALL: i64 = 32;

/// What an answered call earns. With the price of headers, 1 for 16 bytes, a kilobyte of them in each call is free.
pub(crate) const ANSWERED: i64 = CALL + 64;

/// What a request costs that the transport cannot read: packed, torn, or no such call.
pub(crate) const UNREADABLE: i64 = 500;

/// What a few bytes cost that leave their message unfinished, besides their frame: whoever has a message sends it in frames
/// as long as they may be, and only the last one is short.
pub(crate) const CRUMB: i64 = 4;

/// So many bytes are no crumb.
pub(crate) const CRUMB_BYTES: usize = 64;

/// What a message beyond every bound costs.
pub(crate) const TOO_LONG: i64 = 2_000;

/// The conduct of one connection's caller.
#[derive(Debug)]
pub(crate) struct Conduct {
    purse: i64,
    /// Until when time has been given back.
    paid: Instant,
    head: [u8; HEAD_BYTES],
    /// Bytes of the present head that have come.
    come: usize,
    /// Bytes of the preface or of the present frame that are still to come.
    left: usize,
}

impl Conduct {
    pub(crate) fn new(now: Instant) -> Self {
        Self { purse: PURSE, paid: now, head: [0; HEAD_BYTES], come: 0, left: PREFACE_BYTES }
    }

    /// Earns something.
    pub(crate) fn earn(&mut self, earned: i64) {
        self.purse = self.purse.saturating_add(earned).min(PURSE);
    }

    /// Takes bytes that came from the caller, and says whether it has not run out.
    pub(crate) fn take(&mut self, mut bytes: &[u8], now: Instant) -> bool {
        while !bytes.is_empty() {
            if self.left > 0 {
                let part = self.left.min(bytes.len());
                self.left -= part;
                bytes = &bytes[part..];
                continue;
            }
            let part = (HEAD_BYTES - self.come).min(bytes.len());
            self.head[self.come..self.come + part].copy_from_slice(&bytes[..part]);
            self.come += part;
            bytes = &bytes[part..];
            if self.come == HEAD_BYTES {
                self.come = 0;
                let [high, middle, low, kind, flags, ..] = self.head;
                self.left = u32::from_be_bytes([0, high, middle, low]) as usize;
                self.earn(-price(kind, flags, self.left));
            }
        }
        if self.purse < 0 {
            self.paid(now);
        }
        0 <= self.purse
    }

    /// Gives back what the time since the last time is worth.
    fn paid(&mut self, now: Instant) {
        let since = now.saturating_duration_since(self.paid).min(Duration::from_secs(60));
        self.paid = now;
        self.earn(i64::try_from(since.as_millis()).unwrap_or(0) * PER_SECOND / 1_000);
    }
}

/// The price of a frame, by its kind and flags of RFC 9113 section 6.
fn price(kind: u8, flags: u8, length: usize) -> i64 {
    let length = i64::try_from(length).unwrap_or(i64::MAX);
    // ACK, or of DATA END_STREAM.
    let last = flags & 1 == 1;
    match kind {
        // DATA: bytes are free, crumbs are not; its last frame may be empty.
        0 if length < CRUMB_BYTES as i64 && !last => 1,
        0 => -2,
        // HEADERS, and what continues them.
        1 => CALL + length / 16,
        9 => 16 + length / 16,
        // RST_STREAM: a call was begun for nothing.
        3 => 32,
        // SETTINGS and PING, which must be answered, and their answers.
        4 if !last => 64,
        6 if !last => 8,
        // WINDOW_UPDATE: paid for by what was sent before.
        8 => 1,
        // GOAWAY
        7 => 0,
        _ => 2,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const PREFACE: &[u8; PREFACE_BYTES] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n";

    fn frame(kind: u8, flags: u8, length: usize) -> Vec<u8> {
        let mut frame = (length as u32).to_be_bytes()[1..].to_vec();
        frame.extend([kind, flags, 0, 0, 0, 1]);
        frame.extend(vec![0; length]);
        frame
    }

    /// How many frames a caller who asks for nothing gets through at once.
    fn until_let_go(kind: u8, flags: u8, length: usize) -> usize {
        let now = Instant::now();
        let mut conduct = Conduct::new(now);
        assert!(conduct.take(PREFACE, now));
        (0..1_000_000).find(|_| !conduct.take(&frame(kind, flags, length), now)).unwrap_or(usize::MAX)
    }

    #[test]
    fn floods_run_out() {
        assert_eq!(until_let_go(4, 0, 0), 187, "SETTINGS");
        assert_eq!(until_let_go(6, 0, 8), 1_500, "PING");
        assert_eq!(until_let_go(3, 0, 4), 375, "RST_STREAM");
        assert_eq!(until_let_go(1, 4, 36 << 10), 5, "headers of 36 KiB");
        assert!(until_let_go(9, 0, 9_000) < 21, "CONTINUATION");
        let calls = until_let_go(1, 4, 128);
        assert!((257..350).contains(&calls), "as many calls as a connection may have, and a few more: {calls}");
        assert_eq!(until_let_go(0, 0, 0), 12_000, "empty DATA");
        assert_eq!(until_let_go(0, 0, 16 << 10), usize::MAX, "whole frames of DATA are what the service is for");
    }

    #[test]
    fn who_is_answered_never_runs_out() {
        let now = Instant::now();
        let mut conduct = Conduct::new(now);
        assert!(conduct.take(PREFACE, now));
        for _ in 0..100_000 {
            // Headers with a long token, a short message in two frames, and a window for the answer.
            assert!(conduct.take(&frame(1, 4, 800), now));
            assert!(conduct.take(&frame(0, 0, 5), now) && conduct.take(&frame(0, 1, 40), now));
            assert!(conduct.take(&frame(8, 0, 4), now));
            conduct.earn(ANSWERED);
        }
    }

    #[test]
    fn time_gives_back() {
        let now = Instant::now();
        let mut conduct = Conduct::new(now);
        conduct.take(PREFACE, now);
        conduct.purse = -1_000;
        assert!(!conduct.take(&[], now + Duration::from_millis(900)));
        assert!(conduct.take(&[], now + Duration::from_secs(2)));
    }

    proptest! {
        #[test]
        fn frames_are_known_however_they_come(
            kinds in prop::collection::vec((0_u8..10, 0_u8..8, 0_usize..200), 1..30), cuts in prop::collection::vec(1_usize..50, 1..40)
        ) {
            let now = Instant::now();
            let (mut bytes, mut owed) = (PREFACE.to_vec(), PURSE);
            for (kind, flags, length) in kinds {
                bytes.extend(frame(kind, flags, length));
                owed = (owed - price(kind, flags, length)).min(PURSE);
            }
            let (mut conduct, mut at) = (Conduct::new(now), 0);
            for cut in cuts.into_iter().cycle() {
                let end = (at + cut).min(bytes.len());
                conduct.take(&bytes[at..end], now);
                at = end;
                if at == bytes.len() {
                    break;
                }
            }
            prop_assert_eq!(conduct.purse, owed);
        }
    }
}
