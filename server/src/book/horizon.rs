//! Where the kept commits begin.

use super::record::{Moment, Revision};
use super::tally::Tally;

/// Where the kept commits begin: the newest commit that may be gone, and when it was made. All commits after it are kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Horizon {
    /// Its revision; 0 when every commit is kept.
    pub revision: Revision,
    /// Its time; the epoch when every commit is kept.
    pub time: Moment,
}

/// What the commits that are gone came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Condensed {
    /// The last of them.
    pub horizon: Horizon,
    /// The entries after it.
    pub tally: Tally,
    /// The digest over all of them.
    pub chain: [u8; 32],
}

impl Condensed {
    /// The revision of the last commit that is gone; 0 when none is.
    #[must_use]
    pub const fn revision(&self) -> Revision {
        self.horizon.revision
    }
}
