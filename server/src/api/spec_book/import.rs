//! Entries in bulk, in any order.
//!
//! The readable entries of one message take effect together. One that refers to an entry that is not there yet waits for
//! the end of the stream: receivers come before vehicles in order of names. Nothing refers to a receiver or a trailer, and
//! nothing else refers at all, so one look at the end settles every wait.

use std::collections::{BTreeSet, HashSet};
use std::sync::Arc;

use baybook_proto::v1 as pb;

use super::change::{ETAG_FORM, check_texts, expectation, put_first};
use super::read::at_most_entries;
use crate::access::Principal;
use crate::api::Asking;
use crate::book::catalog::{View, encode};
use crate::book::{BookError, Change, Commit, Expect, Moment, Name, Precondition};
use crate::error::{ApiError, Conflict, etag};
use crate::service::State;
use crate::wire::{Fields, Lookup as _, NotFound, Spec, WireError};

pub(super) async fn import(
    state: Arc<State>,
    mut asking: Asking<pb::ImportEntriesRequest>,
    who: Principal,
) -> Result<pb::ImportEntriesResponse, ApiError> {
    let mut import: Option<Import> = None;
    let mut seq = 0;
    while let Some(message) = asking.next().await? {
        at_most_entries(message.entries.len(), &state.limits)?;
        let import = match &mut import {
            Some(import) => import,
            None => {
                check_texts(&state, "", &message.author)?;
                import.insert(Import::new(Arc::clone(&state), who.author(&message.author), message.validate_only))
            }
        };
        let mut batch = Vec::with_capacity(message.entries.len());
        let mut seen = HashSet::new();
        for entry in message.entries {
            match import.read(seq, entry, &mut seen) {
                Ok(item) => batch.push(item),
                Err((name, error)) => import.refuse(seq, name, &error),
            }
            seq += 1;
        }
        let ready = import.sort_out(batch)?;
        import.put(ready).await?;
    }
    match import {
        Some(import) => import.finish().await,
        None => Ok(pb::ImportEntriesResponse { revision: state.catalog.revision().to_wire(), ..Default::default() }),
    }
}

/// One entry that was read.
struct Item {
    seq: i64,
    entry: pb::Entry,
    spec: Spec,
    expect: Expect,
    size: usize,
}

/// An import on its way.
struct Import {
    state: Arc<State>,
    author: Arc<str>,
    validate_only: bool,
    waiting: Vec<Item>,
    waiting_bytes: usize,
    /// What a check would have put: later entries may refer to it.
    checked: HashSet<String>,
    reply: pb::ImportEntriesResponse,
}

impl Import {
    fn new(state: Arc<State>, author: Arc<str>, validate_only: bool) -> Self {
        Self {
            state,
            author,
            validate_only,
            waiting: Vec::new(),
            waiting_bytes: 0,
            checked: HashSet::new(),
            reply: pb::ImportEntriesResponse::default(),
        }
    }

    fn refuse(&mut self, seq: i64, name: String, error: &ApiError) {
        self.reply.error_count = self.reply.error_count.saturating_add(1);
        if self.reply.errors.len() < self.state.limits.import_errors {
            self.reply.errors.push(pb::ImportError { seq, name, error: Some(error.item("")) });
        }
    }

    fn read(&self, seq: i64, entry: pb::Entry, seen: &mut HashSet<String>) -> Result<Item, (String, ApiError)> {
        let mut fields = Fields::default();
        let size = prost::Message::encoded_len(&entry);
        if !seen.insert(entry.name.clone()) {
            fields.reject("name", "is in the same message more than once: send each entry once");
        }
        let expect = match expectation(&entry.etag) {
            Some(Expect::Absent) => Expect::Any,
            Some(expect) => expect,
            None => {
                fields.reject("etag", ETAG_FORM);
                Expect::Any
            }
        };
        if size > self.state.limits.entry_bytes {
            let most = self.state.limits.entry_bytes;
            fields.reject_here(format!("must have at most {most} bytes, has {size}"));
        }
        let spec = Spec::from_entry(&entry, &mut fields);
        match fields.finish(spec) {
            Ok(spec) => Ok(Item { seq, entry, spec, expect, size }),
            Err(error) => Err((entry.name, put_first(error))),
        }
    }

    /// Returns the entries whose references are all there, and lets the others wait.
    fn sort_out(&mut self, batch: Vec<Item>) -> Result<Vec<Item>, ApiError> {
        let view = self.state.catalog.view();
        let inside: HashSet<String> = batch.iter().map(|item| item.entry.name.clone()).collect();
        let mut ready = Vec::with_capacity(batch.len());
        for item in batch {
            let resolved = item.spec.references().iter().all(|it| inside.contains(it.name) || self.has(&view, it.name));
            if resolved {
                ready.push(item);
                continue;
            }
            self.waiting_bytes += item.size;
            self.waiting.push(item);
        }
        // What refers to an entry that has to wait itself would have to wait too; no such chain exists today.
        let limits = &self.state.limits;
        if self.waiting_bytes > limits.import_waiting_bytes {
            let (max, is) = (limits.import_waiting_bytes as u64, self.waiting_bytes as u64);
            let unit = "bytes of entries that wait for those they refer to; send those first";
            return Err(ApiError::OverLimit { limit: "import_waiting_bytes", max, is, unit });
        }
        if self.waiting.len() > limits.import_waiting {
            let (max, is) = (limits.import_waiting as u64, self.waiting.len() as u64);
            let unit = "entries that wait for those they refer to; send those first";
            return Err(ApiError::OverLimit { limit: "import_waiting", max, is, unit });
        }
        Ok(ready)
    }

    fn has(&self, view: &View, name: &str) -> bool {
        view.get(name).is_some() || self.checked.contains(name)
    }

    /// Puts entries together; those that turn out not to be as expected are refused, the others go in.
    async fn put(&mut self, mut batch: Vec<Item>) -> Result<(), ApiError> {
        let state = Arc::clone(&self.state);
        let _with_others = state.references.read().await;
        while !batch.is_empty() {
            let view = state.catalog.view();
            let (mut created, mut replaced, mut unchanged) = (0, 0, 0);
            let inside: HashSet<&str> = batch.iter().map(|item| item.entry.name.as_str()).collect();
            let mut commit = Commit { author: Arc::clone(&self.author), time: Moment::now(), ..Commit::default() };
            let mut outside = BTreeSet::new();
            for item in &batch {
                let name = Name::new(&item.entry.name)?;
                let value = encode(&item.entry);
                let now = view.get(&name);
                if item.expect != Expect::Any {
                    commit.preconditions.push(Precondition { name: name.clone(), expect: item.expect });
                }
                match now {
                    Some(now) if now.record().value == value => {
                        unchanged += 1;
                        if item.expect == Expect::Any {
                            // It is the same only as long as nobody changes it before the others of the message are in.
                            let expect = Expect::At(now.record().revision);
                            commit.preconditions.push(Precondition { name, expect });
                        }
                        continue;
                    }
                    Some(_) => replaced += 1,
                    None => created += 1,
                }
                let outer = item.spec.references().into_iter().map(|it| it.name.to_owned());
                outside.extend(outer.filter(|name| !inside.contains(name.as_str()) && !self.checked.contains(name)));
                commit.changes.push(Change::Put { name, value });
            }
            for name in outside {
                commit.preconditions.push(Precondition { name: Name::new(&name)?, expect: Expect::Present });
            }
            if self.validate_only {
                commit.changes.clear();
            }
            match state.book().commit(commit).await {
                Ok(_) => {
                    self.reply.created_count += created;
                    self.reply.replaced_count += replaced;
                    self.reply.unchanged_count += unchanged;
                    if self.validate_only {
                        self.checked.extend(batch.into_iter().map(|item| item.entry.name));
                    }
                    return Ok(());
                }
                Err(BookError::Precondition { unmet }) => {
                    let unmet: HashSet<String> = unmet.iter().map(|one| one.name.to_string()).collect();
                    let before = batch.len();
                    // Who expects nothing was the same and has changed since: it is looked at again.
                    let changed = |item: &Item| item.expect == Expect::Any && unmet.contains(&item.entry.name);
                    let again = batch.iter().any(changed);
                    let unmet = unmet
                        .iter()
                        .filter(|name| !batch.iter().any(|item| changed(item) && item.entry.name == **name));
                    let unmet: HashSet<String> = unmet.cloned().collect();
                    batch = self.without(batch, &unmet);
                    if again {
                        continue;
                    }
                    if batch.len() == before {
                        return Err(ApiError::Fault { why: format!("no entry of an import expects {unmet:?}") });
                    }
                }
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }

    /// Refuses the entries that expect something of these names, or refer to them.
    fn without(&mut self, batch: Vec<Item>, unmet: &HashSet<String>) -> Vec<Item> {
        let view = self.state.catalog.view();
        let mut rest = Vec::with_capacity(batch.len());
        for item in batch {
            if unmet.contains(&item.entry.name) {
                let error = match view.get(&item.entry.name) {
                    Some(now) => Conflict::Stale {
                        name: item.entry.name.clone(),
                        etag: etag(now.record().revision),
                        changed: Vec::new(),
                    },
                    None => {
                        Conflict::Missing { name: item.entry.name.clone(), nearest: view.nearest(&item.entry.name) }
                    }
                };
                self.refuse(item.seq, item.entry.name, &ApiError::Conflicts(vec![error]));
            } else if item.spec.references().iter().any(|it| unmet.contains(it.name)) {
                self.refuse_references(&view, item);
            } else {
                rest.push(item);
            }
        }
        rest
    }

    fn refuse_references(&mut self, view: &View, item: Item) {
        let not_found = item
            .spec
            .references()
            .into_iter()
            .filter(|it| !self.has(view, it.name))
            .map(|it| NotFound { name: it.name.to_owned(), nearest: view.nearest(it.name), field: it.field })
            .collect();
        let error = put_first(WireError { violations: Vec::new(), not_found });
        self.refuse(item.seq, item.entry.name, &error);
    }

    /// Settles what waited, and replies.
    async fn finish(mut self) -> Result<pb::ImportEntriesResponse, ApiError> {
        let view = self.state.catalog.view();
        let mut ready = Vec::new();
        let mut last: HashSet<String> = HashSet::new();
        for item in std::mem::take(&mut self.waiting) {
            if !item.spec.references().iter().all(|it| self.has(&view, it.name)) {
                self.refuse_references(&view, item);
                continue;
            }
            // An entry that came twice while it waited goes in twice, in order.
            if ready.len() == self.state.limits.batch_entries || !last.insert(item.entry.name.clone()) {
                self.put(std::mem::take(&mut ready)).await?;
                last = HashSet::from([item.entry.name.clone()]);
            }
            ready.push(item);
        }
        self.put(ready).await?;
        self.reply.errors.sort_by_key(|error| error.seq);
        self.reply.revision = self.state.catalog.revision().to_wire();
        Ok(self.reply)
    }
}
