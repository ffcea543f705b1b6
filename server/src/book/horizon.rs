//! Where the kept commits begin.

use std::any::Any;
use std::fmt;

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
    /// The digest of the file that holds the entries; zeros when no commit is gone.
    pub seal: [u8; 32],
}

impl Condensed {
    /// The revision of the last commit that is gone; 0 when none is.
    #[must_use]
    pub const fn revision(&self) -> Revision {
        self.horizon.revision
    }
}

/// While it lives, no commit is let go of.
#[derive(Default)]
pub struct Hold(Option<Box<dyn Any + Send>>);

impl Hold {
    pub(super) fn new(what: impl Any + Send) -> Self {
        Self(Some(Box::new(what)))
    }
}

impl fmt::Debug for Hold {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Hold").field(&self.0.is_some()).finish()
    }
}
