//! What the journal asks of the second copy when its own files are damaged.

use std::fmt::Debug;

use crate::book::Revision;

/// Another place that holds commits.
pub(super) trait SecondCopy: Debug {
    /// The newest revision it holds; `None` when there is no second copy, or it cannot be read.
    fn newest(&self) -> Option<Revision>;

    /// The commit of a revision as the journal keeps it, checked by its own sum.
    fn body(&self, revision: Revision) -> Option<Vec<u8>>;

    /// The entries whose newest state is of these revisions, where that can be told.
    fn names(&self, after: Revision, through: Revision) -> Vec<String>;
}

/// There is none.
#[derive(Debug, Default)]
pub(super) struct NoCopy;

impl SecondCopy for NoCopy {
    fn newest(&self) -> Option<Revision> {
        None
    }

    fn body(&self, _: Revision) -> Option<Vec<u8>> {
        None
    }

    fn names(&self, _: Revision, _: Revision) -> Vec<String> {
        Vec::new()
    }
}
