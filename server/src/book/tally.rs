//! A digest of all entries that is kept up to date change by change.

use std::fmt;

use sha2::{Digest, Sha256};

use super::record::Record;

/// How many entries there are, and the sum of their digests.
///
/// The sum (of 128 bits of each record's SHA-256, modulo 2¹²⁸) does not depend on the order in which entries came, so it
/// is kept in step with each change without reading the others, and two books with equal entries have equal tallies. It
/// finds lost, altered and resurrected records; it is no defence against somebody who forges records on purpose.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    entries: u64,
    sum: u128,
}

impl Tally {
    /// The number of entries.
    #[must_use]
    pub const fn entries(self) -> u64 {
        self.entries
    }

    /// The digest.
    #[must_use]
    pub const fn digest(self) -> u128 {
        self.sum
    }

    pub(super) const fn from_parts(entries: u64, sum: u128) -> Self {
        Self { entries, sum }
    }

    /// The tally of two books that share no entry.
    pub(super) const fn plus(self, other: Self) -> Self {
        Self { entries: self.entries.wrapping_add(other.entries), sum: self.sum.wrapping_add(other.sum) }
    }

    pub(super) fn add(&mut self, record: &Record) {
        self.entries = self.entries.wrapping_add(1);
        self.sum = self.sum.wrapping_add(digest(record));
    }

    pub(super) fn take(&mut self, record: &Record) {
        self.entries = self.entries.wrapping_sub(1);
        self.sum = self.sum.wrapping_sub(digest(record));
    }
}

impl Tally {
    /// Puts the digest of a name's record in the place of the one it had.
    pub(super) fn replace(&mut self, old: Option<u128>, new: Option<u128>) {
        if let Some(old) = old {
            self.entries = self.entries.wrapping_sub(1);
            self.sum = self.sum.wrapping_sub(old);
        }
        if let Some(new) = new {
            self.entries = self.entries.wrapping_add(1);
            self.sum = self.sum.wrapping_add(new);
        }
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} entries, digest {:032x}", self.entries, self.sum)
    }
}

/// The first 128 bits of the SHA-256 of everything a record holds, each part preceded by its length.
pub(super) fn digest(record: &Record) -> u128 {
    let mut hash = Sha256::new();
    for part in [record.name.as_bytes(), record.author.as_bytes(), &record.value] {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    hash.update(record.revision.get().to_be_bytes());
    hash.update(record.created.get().to_be_bytes());
    hash.update(record.time.micros().to_be_bytes());
    hash.update(record.created_time.micros().to_be_bytes());
    let full: [u8; 32] = hash.finalize().into();
    let mut half = [0_u8; 16];
    half.copy_from_slice(&full[..16]);
    u128::from_be_bytes(half)
}
