//! Putting and removing entries.

use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use baybook_proto::v1 as pb;
use bytes::Bytes;
use prost::Message as _;
use sha2::{Digest as _, Sha256};

use super::missing;
use super::read::{at_most_bytes, at_most_entries};
use crate::access::Principal;
use crate::api::differences;
use crate::book::catalog::{View, encode};
use crate::book::{BookError, Change, Commit, Expect, Moment, Name, Precondition, Request, Revision, StoredAnswer};
use crate::error::{ApiError, Conflict, etag};
use crate::service::State;
use crate::wire::{Fields, Lookup, NotFound, Spec, Violation, WireError, names};

pub(super) async fn put(
    state: &Arc<State>,
    mut wire: pb::PutEntryRequest,
    who: Principal,
) -> Result<pb::PutEntryResponse, ApiError> {
    let digest = digest("PutEntry", &wire.request_id, &wire);
    let entry = wire.entry.take().ok_or_else(|| ApiError::field("entry", "is required"))?;
    let batch = Batch {
        entries: vec![entry],
        single: true,
        who,
        request_id: wire.request_id,
        author: wire.author,
        validate_only: wire.validate_only,
        digest,
    };
    let (entries, revision) = put_all(state, batch).await?;
    Ok(pb::PutEntryResponse { entry: entries.into_iter().next(), revision: revision.to_wire() })
}

pub(super) async fn batch_put(
    state: &Arc<State>,
    wire: pb::BatchPutEntriesRequest,
    who: Principal,
) -> Result<pb::BatchPutEntriesResponse, ApiError> {
    let digest = digest("BatchPutEntries", &wire.request_id, &wire);
    at_most_entries(wire.entries.len(), &state.limits)?;
    if wire.entries.is_empty() {
        return Err(ApiError::field("entries", "must have at least one element"));
    }
    let batch = Batch {
        entries: wire.entries,
        single: false,
        who,
        request_id: wire.request_id,
        author: wire.author,
        validate_only: wire.validate_only,
        digest,
    };
    let (entries, revision) = put_all(state, batch).await?;
    Ok(pb::BatchPutEntriesResponse { entries, revision: revision.to_wire() })
}

pub(super) async fn remove(
    state: &Arc<State>,
    wire: pb::RemoveEntryRequest,
    who: Principal,
) -> Result<pb::RemoveEntryResponse, ApiError> {
    let digest = digest("RemoveEntry", &wire.request_id, &wire);
    check_texts(state, &wire.request_id, &wire.author)?;
    let name = match names::parse(&wire.name) {
        Ok(_) => Name::new(&wire.name)?,
        Err(why) => return Err(ApiError::field("name", why)),
    };
    let expect = match expectation(&wire.etag) {
        Some(Expect::Absent) | None => {
            return Err(ApiError::field("etag", "is required: send the entry's etag, or * for whatever is there"));
        }
        Some(Expect::Any) => Expect::Present,
        Some(expect) => expect,
    };
    // Nothing that may refer to the entry is on its way into the book while this is held.
    let _alone = state.references.write().await;
    // The same request may have been on its way at the same time: its effect is then the answer, not a missing entry.
    if let Some(first) = replay(state, &wire.request_id, digest).await? {
        return Ok(pb::RemoveEntryResponse { revision: first.revision.to_wire() });
    }
    let view = state.catalog.view();
    if view.get(&name).is_none() {
        return Err(missing(&view, "name", &name));
    }
    let used_by = view.referring_to(&name);
    if !used_by.is_empty() {
        return Err(ApiError::InUse { name: wire.name, used_by });
    }
    let commit = Commit {
        preconditions: vec![Precondition { name: name.clone(), expect }],
        changes: vec![Change::Remove { name }],
        request: request(&wire.request_id, digest),
        author: who.author(&wire.author),
        time: Moment::now(),
    };
    match state.book().commit(commit).await {
        Ok(committed) => Ok(pb::RemoveEntryResponse { revision: committed.revision.to_wire() }),
        Err(error) => Err(explained(state, error).await),
    }
}

/// Entries to be put together.
struct Batch {
    entries: Vec<pb::Entry>,
    /// Whether the call is about one entry: its fields are then below `entry`, else below `entries[i]`.
    single: bool,
    request_id: String,
    author: String,
    who: Principal,
    validate_only: bool,
    digest: [u8; 32],
}

async fn put_all(state: &Arc<State>, batch: Batch) -> Result<(Vec<pb::Entry>, Revision), ApiError> {
    check_texts(state, &batch.request_id, &batch.author)?;
    if let Some(first) = replay(state, &batch.request_id, batch.digest).await? {
        return Ok((put_entries(state, &batch.entries, first.revision).await?, first.revision));
    }
    let _with_others = state.references.read().await;
    let view = state.catalog.view();
    let checked = check(state, &view, &batch)?;
    let mut commit = Commit {
        preconditions: checked.preconditions,
        changes: Vec::new(),
        request: None,
        author: batch.who.author(&batch.author),
        time: Moment::now(),
    };
    if !batch.validate_only {
        commit.changes = checked.changes;
        commit.request = request(&batch.request_id, batch.digest);
    }
    let committed = match state.book().commit(commit).await {
        Ok(committed) => committed,
        Err(error) => return Err(referenced(state, &checked.references, error).await),
    };
    if batch.validate_only {
        let bare = batch.entries.iter().map(|entry| pb::Entry {
            etag: String::new(),
            revision: 0,
            create_time: None,
            update_time: None,
            author: String::new(),
            ..entry.clone()
        });
        return Ok((bare.collect(), committed.revision));
    }
    Ok((put_entries(state, &batch.entries, committed.revision).await?, committed.revision))
}

/// A batch that was read and can be committed.
struct Checked {
    preconditions: Vec<Precondition>,
    changes: Vec<Change>,
    /// For every entry outside the batch that the batch refers to, where it does.
    references: BTreeMap<String, String>,
}

/// Reads every entry of a batch and notes everything that is wrong with any of them.
fn check(state: &State, view: &View, batch: &Batch) -> Result<Checked, ApiError> {
    let mut fields = Fields::default();
    let mut specs = Vec::with_capacity(batch.entries.len());
    let (mut inside, mut bytes) = (HashSet::new(), 0);
    for (index, entry) in batch.entries.iter().enumerate() {
        let spec = under(batch, index, &mut fields, |fields| {
            if !inside.insert(entry.name.as_str()) {
                fields.reject("name", "is in the batch more than once: send each entry once");
            }
            if expectation(&entry.etag).is_none() {
                fields.reject("etag", ETAG_FORM);
            }
            let size = entry.encoded_len();
            bytes += size;
            if size > state.limits.entry_bytes {
                fields.reject_here(format!("must have at most {} bytes, has {size}", state.limits.entry_bytes));
            }
            Spec::from_entry(entry, fields)
        });
        specs.push(spec);
    }
    let mut references = BTreeMap::new();
    for (index, spec) in specs.iter().enumerate() {
        let Some(spec) = spec else { continue };
        under(batch, index, &mut fields, |fields| {
            for reference in spec.references() {
                if inside.contains(reference.name) || references.contains_key(reference.name) {
                    continue;
                }
                if view.get(reference.name).is_none() {
                    fields.not_found_at(&reference.field, reference.name, view.nearest(reference.name));
                } else {
                    references.insert(reference.name.to_owned(), fields.path_of(&reference.field));
                }
            }
        });
    }
    fields.finish(Some(())).map_err(put_first)?;
    at_most_bytes(bytes + batch.entries.len() * 640, &state.limits)?;
    let mut preconditions = Vec::with_capacity(batch.entries.len() + references.len());
    let mut changes = Vec::with_capacity(batch.entries.len());
    for entry in &batch.entries {
        let name = Name::new(&entry.name)?;
        let expect = expectation(&entry.etag).unwrap_or(Expect::Absent);
        preconditions.push(Precondition { name: name.clone(), expect });
        changes.push(Change::Put { name, value: encode(entry) });
    }
    for name in references.keys() {
        preconditions.push(Precondition { name: Name::new(name)?, expect: Expect::Present });
    }
    Ok(Checked { preconditions, changes, references })
}

fn under<T>(batch: &Batch, index: usize, fields: &mut Fields, read: impl FnOnce(&mut Fields) -> T) -> T {
    if batch.single { fields.under("entry", read) } else { fields.at("entries", index, read) }
}

/// What an etag may look like.
pub(super) const ETAG_FORM: &str =
    "must be the etag that came with the entry, such as r41, or * for whatever is there, or empty to create it";

/// Reads what an etag expects; nothing when it is none.
pub(super) fn expectation(etag: &str) -> Option<Expect> {
    match etag {
        "" => Some(Expect::Absent),
        "*" => Some(Expect::Any),
        _ => {
            let digits = etag.strip_prefix('r')?;
            let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
            plain.then(|| digits.parse().ok().map(|revision| Expect::At(Revision::new(revision))))?
        }
    }
}

/// An entry that refers to one that is not there is at fault itself: the other one must be put first.
pub(super) fn put_first(mut error: WireError) -> ApiError {
    let missing = std::mem::take(&mut error.not_found);
    error.violations.extend(missing.into_iter().map(|NotFound { field, name, nearest }| {
        let mut description = format!("names {name}, which is not in the book: put that first, or in the same batch");
        if !nearest.is_empty() {
            description.push_str("; nearest: ");
            description.push_str(&nearest.join(", "));
        }
        Violation { field, description }
    }));
    ApiError::BadFields(error.violations)
}

/// Tells a reference that has just gone from an entry of the batch that is not as expected.
async fn referenced(state: &State, references: &BTreeMap<String, String>, error: BookError) -> ApiError {
    if let BookError::Precondition { unmet } = &error {
        let gone: Vec<NotFound> = unmet
            .iter()
            .filter_map(|one| {
                let field = references.get(one.name.as_str())?.clone();
                Some(NotFound { field, name: one.name.to_string(), nearest: Vec::new() })
            })
            .collect();
        if !gone.is_empty() {
            return put_first(WireError { violations: Vec::new(), not_found: gone });
        }
    }
    explained(state, error).await
}

/// Adds to every entry that was not as expected what the caller needs to go on.
async fn explained(state: &State, error: BookError) -> ApiError {
    let BookError::Precondition { unmet } = error else { return error.into() };
    let view = state.catalog.view();
    let mut conflicts = Vec::with_capacity(unmet.len());
    for one in unmet {
        let name = one.name.to_string();
        conflicts.push(match (one.current, one.expect) {
            (None, _) => Conflict::Missing { nearest: view.nearest(&name), name },
            (Some(current), Expect::At(base)) => {
                let changed = changed(state, &view, &one.name, base).await;
                Conflict::Stale { name, etag: etag(current), changed }
            }
            (Some(current), _) => Conflict::Exists { name, etag: etag(current) },
        });
    }
    ApiError::Conflicts(conflicts)
}

/// The fields in which an entry differs from what it was when the caller read it, if that is still known.
async fn changed(state: &State, view: &View, name: &Name, base: Revision) -> Vec<String> {
    let Some(now) = view.get(name) else { return Vec::new() };
    match (entry_at(state, name, base).await, now.entry()) {
        (Ok(Some(before)), Ok(now)) => differences::fields(&before, now),
        _ => Vec::new(),
    }
}

/// The entries of a change as it left them.
async fn put_entries(state: &State, sent: &[pb::Entry], revision: Revision) -> Result<Vec<pb::Entry>, ApiError> {
    let mut entries = Vec::with_capacity(sent.len());
    for entry in sent {
        let name = Name::new(&entry.name)?;
        let put = entry_at(state, &name, revision).await?;
        entries.push(put.ok_or_else(|| ApiError::Fault { why: format!("{name} is not at {revision} as put") })?);
    }
    Ok(entries)
}

/// An entry as a revision showed it: from memory while that reaches back, else from the book's past.
async fn entry_at(state: &State, name: &Name, revision: Revision) -> Result<Option<pb::Entry>, ApiError> {
    if let Ok(view) = state.catalog.view_at(revision) {
        return match view.get(name) {
            Some(shown) => Ok(Some(shown.entry()?.clone())),
            None => Ok(None),
        };
    }
    let past = state.book().history(name.clone(), Some(revision.next()), 1).await?;
    match past.into_iter().next().and_then(|past| past.record) {
        Some(record) => Ok(Some(crate::book::catalog::Shown::new(record).entry()?.clone())),
        None => Ok(None),
    }
}

/// Holds a request id and an author to their limits.
pub(super) fn check_texts(state: &State, request_id: &str, author: &str) -> Result<(), ApiError> {
    let mut fields = Fields::default();
    let most = state.limits.request_id_chars;
    if request_id.len() > most || !request_id.bytes().all(|byte| byte.is_ascii_graphic()) {
        fields.reject("request_id", format!("must be at most {most} visible ASCII characters without spaces"));
    }
    fields.text("author", author, state.limits.author_chars);
    fields.finish(Some(())).map_err(ApiError::from)
}

/// What a request id was answered before, if it was.
async fn replay(state: &State, id: &str, digest: [u8; 32]) -> Result<Option<StoredAnswer>, ApiError> {
    if id.is_empty() {
        return Ok(None);
    }
    match state.book().request(id.into()).await? {
        Some(first) if first.digest != digest => Err(ApiError::RequestReused { request_id: id.to_owned() }),
        first => Ok(first),
    }
}

/// What is stored with the effect of a request. The reply is put together again from the effect itself.
fn request(id: &str, digest: [u8; 32]) -> Option<Request> {
    (!id.is_empty()).then(|| Request { id: id.into(), digest, answer: Bytes::new() })
}

/// A digest of what was asked; without an id nobody will compare it.
fn digest(method: &str, id: &str, wire: &impl prost::Message) -> [u8; 32] {
    if id.is_empty() {
        return [0; 32];
    }
    Sha256::new().chain_update(method).chain_update([0]).chain_update(wire.encode_to_vec()).finalize().into()
}
