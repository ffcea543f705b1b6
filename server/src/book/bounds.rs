//! Every bound of the book in one place.

use std::time::Duration;

/// How much the book takes and keeps. [`Bounds::default`] gives the documented values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// Bytes of one entry's value.
    pub value_bytes: usize,
    /// Changes in one commit.
    pub commit_changes: usize,
    /// Preconditions in one commit.
    pub commit_preconditions: usize,
    /// Bytes of one commit: names, values, request id and answer.
    pub commit_bytes: usize,
    /// Bytes of a request id.
    pub request_id_bytes: usize,
    /// Bytes of an author's name.
    pub author_bytes: usize,
    /// Commits waiting for the committer; callers beyond it wait for a place.
    pub waiting: usize,
    /// Commits made durable together.
    pub group_commits: usize,
    /// Bytes made durable together; one larger commit still goes alone.
    pub group_bytes: usize,
    /// How many past revisions can be read by number, as page tokens do. Live snapshots are kept beyond it.
    pub kept_revisions: u64,
    /// Bytes of superseded records kept for reading by number; beyond it fewer revisions are kept.
    pub kept_bytes: usize,
    /// Recent commits kept in memory for the feed; older ones are read from the store.
    pub recent_commits: usize,
    /// Bytes of recent commits kept in memory for the feed.
    pub recent_bytes: usize,
    /// Request ids remembered.
    pub requests: usize,
    /// How long a request id is remembered.
    pub request_age: Duration,
    /// Commits or history steps given in one answer, and their bytes.
    pub answer_commits: usize,
    /// Bytes given in one answer of commits or history; one larger commit still comes alone.
    pub answer_bytes: usize,
    /// Commits that are kept whatever their age; with [`Bounds::history_age`] they are the past that can be asked for.
    pub history_commits: u64,
    /// How long a commit is kept, however many follow it.
    pub history_age: Duration,
    /// Bytes of pages the embedded store keeps in memory.
    pub cache_bytes: u64,
    /// How long the second copy's store may take for one call before it is given up; opening it may take ten times that.
    pub store_patience: Duration,
    /// How long closing the book waits for the second copy's store to let go.
    pub store_closing: Duration,
    /// How often the second copy looks for commits that it lacks.
    pub copy_pause: Duration,
    /// Commits after which the journal begins another file: old commits go whole files at a time.
    pub segment_commits: u64,
    /// Bytes after which the journal begins another file.
    pub segment_bytes: u64,
}

impl Default for Bounds {
    fn default() -> Self {
        Self {
            value_bytes: 256 * 1024,
            commit_changes: 1_000,
            commit_preconditions: 1_000,
            commit_bytes: 8 * 1024 * 1024,
            request_id_bytes: 128,
            author_bytes: 256,
            waiting: 1_024,
            group_commits: 512,
            group_bytes: 8 * 1024 * 1024,
            kept_revisions: 100_000,
            kept_bytes: 64 * 1024 * 1024,
            recent_commits: 8_192,
            recent_bytes: 16 * 1024 * 1024,
            requests: 200_000,
            request_age: Duration::from_secs(7 * 24 * 60 * 60),
            answer_commits: 1_000,
            answer_bytes: 4 * 1024 * 1024,
            history_commits: 1_000_000,
            history_age: Duration::from_secs(400 * 24 * 60 * 60),
            cache_bytes: 64 * 1024 * 1024,
            store_patience: Duration::from_secs(60),
            store_closing: Duration::from_secs(15),
            copy_pause: Duration::from_secs(1),
            segment_commits: 125_000,
            segment_bytes: 64 * 1024 * 1024,
        }
    }
}
