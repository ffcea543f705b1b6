//! Reading the past in bounded portions.

use super::engine::Span;
use super::error::BookError;
use super::record::{Past, PastCommit, Revision};

/// What a commit did to one name.
pub(super) fn past_of(commit: &PastCommit, name: &str) -> Option<Past> {
    let line = commit.lines.iter().find(|line| line.name.as_str() == name)?;
    Some(Past {
        revision: commit.revision,
        time: commit.time,
        author: commit.author.clone(),
        record: line.record.clone(),
    })
}

/// About how many bytes a step takes.
pub(super) fn past_bytes(past: &Past) -> usize {
    past.record.as_ref().map_or(0, |record| record.value.len()) + past.author.len() + 128
}

/// Takes items within a span until one of its bounds is reached; the first one always fits, so that a reader advances.
pub(super) fn within<T>(
    span: Span,
    items: impl Iterator<Item = Result<T, BookError>>,
    revision: impl Fn(&T) -> Revision,
    bytes: impl Fn(&T) -> usize,
) -> Result<Vec<T>, BookError> {
    let mut total = 0_usize;
    let mut taken = Vec::new();
    for item in items {
        let item = item?;
        if revision(&item) <= span.after || revision(&item) > span.through || taken.len() >= span.limit {
            break;
        }
        total = total.saturating_add(bytes(&item));
        if total > span.bytes && !taken.is_empty() {
            break;
        }
        taken.push(item);
    }
    Ok(taken)
}
