//! How commits lie in the journal's files.
//!
//! A segment begins with a header of 64 bytes: what it is, its first revision, the chain before it, and a check sum. After
//! it come frames, one a commit, each made of a head of 20 bytes, the commit and 32 bytes of chain:
//!
//! ```text
//! "bbj1" | length of the commit (4) | through which revision all was durable when this was written (8) | CRC-32 (4)
//! the commit, as the second copy keeps it under the commit's key
//! chain: SHA-256 over the chain of the commit before it, and the commit
//! ```
//!
//! The check sum covers everything of the frame but itself. It tells a frame that was torn or altered by accident; the
//! chain tells one that was altered, dropped, put elsewhere or taken out on purpose. Numbers are big-endian.

use sha2::{Digest, Sha256};

use crate::book::Revision;

/// What the chain starts from.
pub(in crate::book) const FIRST_CHAIN: Chain = [0; 32];
pub(super) const HEADER_BYTES: usize = 64;
pub(super) const HEAD_BYTES: usize = 20;
pub(super) const CHAIN_BYTES: usize = 32;
/// No commit is larger: bounds are far below, and a length beyond it is not one that was written.
pub(super) const COMMIT_BYTES_MAX: usize = 64 << 20;
const SEGMENT_MAGIC: &[u8; 16] = b"baybook journal\n";
const FORMAT: u32 = 1;
const FRAME_MAGIC: &[u8; 4] = b"bbj1";

/// A digest over a commit and all commits before it.
pub(in crate::book) type Chain = [u8; 32];

/// The chain after a commit.
pub(in crate::book) fn link(before: &Chain, body: &[u8]) -> Chain {
    let mut hash = Sha256::new();
    hash.update(before);
    hash.update(body);
    hash.finalize().into()
}

/// What a segment says of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Header {
    pub(super) first: Revision,
    /// The chain before its first commit.
    pub(super) chain: Chain,
}

impl Header {
    pub(super) fn write(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(HEADER_BYTES);
        out.extend(SEGMENT_MAGIC);
        out.extend(FORMAT.to_be_bytes());
        out.extend(self.first.get().to_be_bytes());
        out.extend(self.chain);
        let check = crc32fast::hash(&out);
        out.extend(check.to_be_bytes());
        out
    }

    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        let (head, check) = bytes.get(..HEADER_BYTES)?.split_last_chunk::<4>()?;
        let rest = head.strip_prefix(SEGMENT_MAGIC)?.strip_prefix(&FORMAT.to_be_bytes())?;
        let (first, chain) = rest.split_first_chunk::<8>()?;
        (crc32fast::hash(head) == u32::from_be_bytes(*check)).then_some(())?;
        Some(Self { first: Revision::new(u64::from_be_bytes(*first)), chain: chain.try_into().ok()? })
    }
}

/// One frame as it lies in a segment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Frame<'a> {
    /// Through which revision all was durable when it was written.
    pub(super) durable: Revision,
    pub(super) body: &'a [u8],
    pub(super) chain: Chain,
}

impl<'a> Frame<'a> {
    /// Appends a frame.
    pub(super) fn write(&self, out: &mut Vec<u8>) {
        // Bounds keep a commit far below four gibibytes.
        let length = u32::try_from(self.body.len()).unwrap_or(u32::MAX).to_be_bytes();
        let durable = self.durable.get().to_be_bytes();
        out.extend(FRAME_MAGIC);
        out.extend(length);
        out.extend(durable);
        out.extend(self.check().to_be_bytes());
        out.extend(self.body);
        out.extend(self.chain);
    }

    fn check(&self) -> u32 {
        let mut check = crc32fast::Hasher::new();
        check.update(&u32::try_from(self.body.len()).unwrap_or(u32::MAX).to_be_bytes());
        check.update(&self.durable.get().to_be_bytes());
        check.update(self.body);
        check.update(&self.chain);
        check.finalize()
    }

    /// Reads the frame at the start of the bytes; `None` when there is no whole one.
    pub(super) fn read(bytes: &'a [u8]) -> Option<Self> {
        let rest = bytes.strip_prefix(FRAME_MAGIC)?;
        let (length, rest) = rest.split_first_chunk::<4>()?;
        let (durable, rest) = rest.split_first_chunk::<8>()?;
        let (check, rest) = rest.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok().filter(|length| *length <= COMMIT_BYTES_MAX)?;
        let (body, rest) = rest.split_at_checked(length)?;
        let (chain, _) = rest.split_first_chunk::<CHAIN_BYTES>()?;
        let frame = Self { durable: Revision::new(u64::from_be_bytes(*durable)), body, chain: *chain };
        (frame.check() == u32::from_be_bytes(*check)).then_some(frame)
    }

    /// The bytes it takes.
    pub(super) const fn size(&self) -> usize {
        HEAD_BYTES + self.body.len() + CHAIN_BYTES
    }

    /// The revision its commit says it has.
    pub(super) fn revision(&self) -> Option<Revision> {
        let bytes: [u8; 8] = self.body.get(1..9)?.try_into().ok()?;
        Some(Revision::new(u64::from_be_bytes(bytes)))
    }
}

/// Finds whole frames in bytes that are not whole, wherever they begin.
pub(super) fn salvage(bytes: &[u8]) -> Vec<(usize, Frame<'_>)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = bytes.get(at..).filter(|rest| rest.len() >= HEAD_BYTES + CHAIN_BYTES) {
        if rest.starts_with(FRAME_MAGIC)
            && let Some(frame) = Frame::read(rest)
        {
            found.push((at, frame));
            at += frame.size();
        } else {
            at += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn what_is_written_is_read_back_and_nothing_else_is(
            body in proptest::collection::vec(any::<u8>(), 9..200),
            noise in proptest::collection::vec(any::<u8>(), 0..100),
            at in any::<prop::sample::Index>(),
            bit in 0..8_u8,
        ) {
            let frame = Frame { durable: Revision::new(9), body: &body, chain: link(&FIRST_CHAIN, &body) };
            let mut out = noise.clone();
            frame.write(&mut out);
            prop_assert_eq!(out.len(), noise.len() + frame.size());
            prop_assert_eq!(Frame::read(&out[noise.len()..]), Some(frame));
            prop_assert_eq!(salvage(&out), vec![(noise.len(), frame)]);
            prop_assert_eq!(Frame::read(&noise), None);
            let at = noise.len() + at.index(frame.size());
            out[at] ^= 1 << bit;
            prop_assert_eq!(Frame::read(&out[noise.len()..]), None);
        }

        #[test]
        fn no_altered_header_is_read(first in any::<u64>(), at in 0..HEADER_BYTES, bit in 0..8_u8) {
            let header = Header { first: Revision::new(first), chain: [7; 32] };
            let mut bytes = header.write();
            prop_assert_eq!(bytes.len(), HEADER_BYTES);
            prop_assert_eq!(Header::read(&bytes), Some(header));
            bytes[at] ^= 1 << bit;
            prop_assert_eq!(Header::read(&bytes), None);
        }
    }
}
