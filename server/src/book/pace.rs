//! How long the book takes for what it does.

use crate::measure::Timing;

/// How long commits took since the book was opened.
#[derive(Debug, Clone, Copy)]
pub struct Pace<'a> {
    /// From handing a commit in to its being durable and visible.
    pub commits: &'a Timing,
    /// What of it the disk took to make a group of commits durable; nothing for a book in memory.
    pub syncs: Option<&'a Timing>,
}
