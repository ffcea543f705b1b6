//! Reading entries: by name, by page, by words.

use std::sync::Arc;

use baybook_proto::v1 as pb;

use super::{missing, prefix};
use crate::api::at_least;
use crate::api::page::{self, Token};
use crate::book::catalog::Shown;
use crate::error::ApiError;
use crate::limits::Limits;
use crate::service::State;
use crate::wire::Violation;

/// What the service adds to an entry's own bytes in a reply, at most: times, etag, revision, author, frame.
const ADDED_BYTES: usize = 640;

pub(super) fn get(state: &State, wire: &pb::GetEntryRequest) -> Result<pb::GetEntryResponse, ApiError> {
    let (revision, shown) = state.catalog.newest(&wire.name);
    at_least(wire.min_revision, revision)?;
    let Some(shown) = shown else { return Err(missing(&state.catalog.view(), "name", &wire.name)) };
    Ok(pb::GetEntryResponse { entry: Some(shown.entry()?.clone()), revision: revision.to_wire() })
}

pub(super) fn batch_get(
    state: &State,
    wire: &pb::BatchGetEntriesRequest,
) -> Result<pb::BatchGetEntriesResponse, ApiError> {
    at_most_entries(wire.names.len(), &state.limits)?;
    let view = state.catalog.view();
    at_least(wire.min_revision, view.revision())?;
    let (mut entries, mut wrong, mut bytes) = (Vec::with_capacity(wire.names.len()), Vec::new(), 0);
    for (index, name) in wire.names.iter().enumerate() {
        match view.get(name) {
            Some(shown) => {
                bytes += reply_bytes(&shown);
                entries.push(shown);
            }
            None => wrong.push(missing(&view, &format!("names[{index}]"), name)),
        }
    }
    if let Some(error) = all_of(wrong) {
        return Err(error);
    }
    at_most_bytes(bytes, &state.limits)?;
    Ok(pb::BatchGetEntriesResponse { entries: shown_entries(&entries)?, revision: view.revision().to_wire() })
}

pub(super) fn list(state: &State, wire: &pb::ListEntriesRequest) -> Result<pb::ListEntriesResponse, ApiError> {
    let prefix = prefix(wire.kind)?;
    let size = page::size(wire.page_size, &state.limits)?;
    let list = format!("list {prefix}");
    let token = Token::read(&wire.page_token, &list)?;
    let view = match &token {
        Some(token) => state.catalog.view_at(token.revision)?,
        None => state.catalog.view(),
    };
    at_least(wire.min_revision, state.catalog.revision())?;
    let (mut page, mut more) = view.page(&prefix, token.as_ref().map(|token| token.after.as_str()), size);
    more |= cut_to_bytes(&mut page, &state.limits);
    let next_page_token = match page.last() {
        Some(last) if more => Token { revision: view.revision(), after: last.record().name.to_string() }.write(&list),
        _ => String::new(),
    };
    Ok(pb::ListEntriesResponse { entries: shown_entries(&page)?, next_page_token, revision: view.revision().to_wire() })
}

pub(super) async fn find(state: Arc<State>, wire: pb::FindEntriesRequest) -> Result<pb::FindEntriesResponse, ApiError> {
    let prefix = prefix(wire.kind)?;
    let size = page::size(wire.page_size, &state.limits)?;
    let (characters, words) = (wire.words.chars().count(), wire.words.split_whitespace().count());
    let (most_characters, most_words) = (state.limits.words_chars, state.limits.words);
    if words == 0 || words > most_words || characters > most_characters {
        let text = format!(
            "must be 1 to {most_words} words of at most {most_characters} characters together, are {words} words of \
             {characters} characters"
        );
        return Err(ApiError::field("words", text));
    }
    let view = state.catalog.view();
    at_least(wire.min_revision, view.revision())?;
    let revision = view.revision().to_wire();
    // A search looks at every entry of the kind; in a large book that is no work for a thread that serves others.
    let searched = state.at_desk(move || view.search(&prefix, &wire.words, size)).await;
    let (mut found, count) = searched?;
    cut_to_bytes(&mut found, &state.limits);
    let found_count = i32::try_from(count).unwrap_or(i32::MAX);
    Ok(pb::FindEntriesResponse { entries: shown_entries(&found)?, found_count, revision })
}

/// The bytes an entry takes in a reply, at most.
pub(super) fn reply_bytes(shown: &Shown) -> usize {
    shown.record().value.len() + ADDED_BYTES
}

pub(super) fn at_most_entries(count: usize, limits: &Limits) -> Result<(), ApiError> {
    if count <= limits.batch_entries {
        return Ok(());
    }
    let (max, is) = (limits.batch_entries as u64, count as u64);
    Err(ApiError::OverLimit { limit: "batch_entries", max, is, unit: "entries in one message" })
}

pub(super) fn at_most_bytes(bytes: usize, limits: &Limits) -> Result<(), ApiError> {
    if bytes <= limits.send_bytes {
        return Ok(());
    }
    let (max, is) = (limits.send_bytes as u64, bytes as u64);
    Err(ApiError::OverLimit { limit: "send_bytes", max, is, unit: "bytes in the reply" })
}

/// Drops what does not fit into one message, and returns whether anything was dropped.
fn cut_to_bytes(page: &mut Vec<Arc<Shown>>, limits: &Limits) -> bool {
    let mut bytes = 0;
    let fits = page
        .iter()
        .take_while(|shown| {
            bytes += reply_bytes(shown);
            bytes <= limits.send_bytes
        })
        .count();
    let cut = fits < page.len();
    page.truncate(fits.max(1));
    cut
}

pub(super) fn shown_entries(page: &[Arc<Shown>]) -> Result<Vec<pb::Entry>, ApiError> {
    page.iter().map(|shown| Ok(shown.entry()?.clone())).collect()
}

/// Puts everything that is wrong with the items of a batch into one error.
fn all_of(mut wrong: Vec<ApiError>) -> Option<ApiError> {
    if wrong.len() < 2 {
        return wrong.pop();
    }
    let mut violations = Vec::new();
    let mut only_missing = Vec::new();
    for error in wrong {
        match error {
            ApiError::BadFields(more) => violations.extend(more),
            ApiError::NotFound { name, nearest, .. } => {
                only_missing.push(crate::error::Conflict::Missing { name, nearest });
            }
            other => return Some(other),
        }
    }
    if violations.is_empty() {
        return Some(ApiError::Conflicts(only_missing));
    }
    violations.extend(
        only_missing
            .into_iter()
            .map(|missing| Violation { field: "names".to_owned(), description: format!("hold {missing}") }),
    );
    Some(ApiError::BadFields(violations))
}
