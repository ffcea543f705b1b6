//! The past of one entry.

use baybook_proto::v1 as pb;
use prost::Message as _;

use super::missing;
use crate::api::differences;
use crate::api::page::{self, Token};
use crate::book::catalog::{Shown, timestamp};
use crate::book::{Name, Past, Revision};
use crate::error::ApiError;
use crate::service::State;
use crate::wire::names;

/// What a change takes in a reply beside its entry and its differences.
const CHANGE_BYTES: usize = 256;

pub(super) async fn history(
    state: &State,
    wire: pb::EntryHistoryRequest,
) -> Result<pb::EntryHistoryResponse, ApiError> {
    names::parse(&wire.name).map_err(|why| ApiError::field("name", why))?;
    let size = page::size(wire.page_size, &state.limits)?;
    let list = format!("history {}", wire.name);
    let token = Token::read(&wire.page_token, &list)?;
    let name = Name::new(&wire.name)?;
    // All pages read up to one revision: what happens later does not shift them.
    let revision = match &token {
        Some(token) => token.revision,
        None => state.catalog.revision(),
    };
    let before = match &token {
        Some(token) => Revision::new(token.after.parse().unwrap_or(0)),
        None => revision.next(),
    };
    let steps = steps(state, &name, before, size + 1).await?;
    let horizon = state.book().horizon().revision;
    // An entry that nobody has changed since has no history, and is there all the same.
    if steps.is_empty() && token.is_none() && state.catalog.newest(&wire.name).1.is_none() {
        return Err(missing(&state.catalog.view(), "name", &wire.name));
    }
    let mut changes = Vec::new();
    let (mut bytes, mut next) = (0, String::new());
    for (at, step) in steps.iter().enumerate() {
        let change = change(step, steps.get(at + 1), horizon > Revision::ZERO)?;
        bytes += change.encoded_len() + CHANGE_BYTES;
        if !changes.is_empty() && (at == size || bytes > state.limits.send_bytes) {
            next = Token { revision, after: step.revision.next().to_string() }.write(&list);
            break;
        }
        changes.push(change);
    }
    let (revision, horizon_revision) = (revision.to_wire(), horizon.to_wire());
    Ok(pb::EntryHistoryResponse { changes, next_page_token: next, revision, horizon_revision })
}

/// Up to `count` steps before a revision, newest first; the book gives them in portions.
async fn steps(state: &State, name: &Name, mut before: Revision, count: usize) -> Result<Vec<Past>, ApiError> {
    let mut steps: Vec<Past> = Vec::new();
    // What is held at once stays within a few messages.
    let mut room = 4 * state.limits.send_bytes;
    while steps.len() < count && room > 0 {
        let portion = state.book().history(name.clone(), Some(before), count - steps.len()).await?;
        let Some(last) = portion.last() else { break };
        before = last.revision;
        let bytes: usize = portion.iter().map(|past| past.record.as_ref().map_or(0, |it| it.value.len())).sum();
        room = room.saturating_sub(bytes + CHANGE_BYTES);
        steps.extend(portion);
    }
    Ok(steps)
}

fn change(step: &Past, older: Option<&Past>, condensed: bool) -> Result<pb::EntryChange, ApiError> {
    let after = entry(step)?;
    let before = older.map(entry).transpose()?.flatten();
    // What was there before: an entry begins with its own creation, and a removal begins with something.
    let before_gone =
        condensed && older.is_none() && step.record.as_ref().is_none_or(|record| record.created != step.revision);
    let fields = if before_gone { Vec::new() } else { differences::between(before.as_ref(), after.as_ref()) };
    Ok(pb::EntryChange {
        revision: step.revision.to_wire(),
        change_time: Some(timestamp(step.time)),
        author: step.author.as_ref().to_owned(),
        differences: fields.iter().map(differences::line).collect(),
        fields,
        entry: after,
        before_gone,
    })
}

fn entry(step: &Past) -> Result<Option<pb::Entry>, ApiError> {
    let shown = step.record.as_ref().map(|record| Shown::new(record.clone()));
    Ok(match shown {
        Some(shown) => Some(shown.entry()?.clone()),
        None => None,
    })
}
