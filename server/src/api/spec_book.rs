//! `SpecBookService`: the shared specifications every bay reads.

mod change;
mod export;
mod history;
mod import;
mod read;
mod watch;

use std::sync::Arc;

use baybook_proto::v1 as pb;
use baybook_proto::v1::spec_book_service_server::SpecBookService;
use tonic::{Request, Response, Status, Streaming};

use super::kept::{Kept, kept};
use super::{Answers, each, gathered, unary, who};
use crate::book::catalog::View;
use crate::error::ApiError;
use crate::service::State;
use crate::wire::{Lookup as _, names};

/// Answers the calls of `SpecBookService`.
#[derive(Debug)]
pub struct SpecBook {
    state: Arc<State>,
}

impl SpecBook {
    pub(crate) fn new(state: Arc<State>) -> Self {
        Self { state }
    }
}

#[tonic::async_trait]
impl SpecBookService for SpecBook {
    type ExportEntriesStream = Answers<pb::ExportEntriesResponse>;
    type WatchBookStream = Kept<pb::WatchBookResponse>;

    async fn get_entry(&self, request: Request<pb::GetEntryRequest>) -> Result<Response<pb::GetEntryResponse>, Status> {
        unary(request, |wire| async move { read::get(&self.state, &wire) }).await
    }

    async fn batch_get_entries(
        &self,
        request: Request<pb::BatchGetEntriesRequest>,
    ) -> Result<Response<pb::BatchGetEntriesResponse>, Status> {
        unary(request, |wire| async move { read::batch_get(&self.state, &wire) }).await
    }

    async fn list_entries(
        &self,
        request: Request<pb::ListEntriesRequest>,
    ) -> Result<Response<pb::ListEntriesResponse>, Status> {
        unary(request, |wire| async move { read::list(&self.state, &wire) }).await
    }

    async fn find_entries(
        &self,
        request: Request<pb::FindEntriesRequest>,
    ) -> Result<Response<pb::FindEntriesResponse>, Status> {
        unary(request, |wire| read::find(Arc::clone(&self.state), wire)).await
    }

    async fn put_entry(&self, request: Request<pb::PutEntryRequest>) -> Result<Response<pb::PutEntryResponse>, Status> {
        let who = who(&request);
        unary(request, |wire| change::put(&self.state, wire, who)).await
    }

    async fn batch_put_entries(
        &self,
        request: Request<pb::BatchPutEntriesRequest>,
    ) -> Result<Response<pb::BatchPutEntriesResponse>, Status> {
        let who = who(&request);
        unary(request, |wire| change::batch_put(&self.state, wire, who)).await
    }

    async fn remove_entry(
        &self,
        request: Request<pb::RemoveEntryRequest>,
    ) -> Result<Response<pb::RemoveEntryResponse>, Status> {
        let who = who(&request);
        unary(request, |wire| change::remove(&self.state, wire, who)).await
    }

    async fn entry_history(
        &self,
        request: Request<pb::EntryHistoryRequest>,
    ) -> Result<Response<pb::EntryHistoryResponse>, Status> {
        unary(request, |wire| history::history(&self.state, wire)).await
    }

    async fn import_entries(
        &self,
        request: Request<Streaming<pb::ImportEntriesRequest>>,
    ) -> Result<Response<pb::ImportEntriesResponse>, Status> {
        let who = who(&request);
        gathered(&self.state, request, |asking| import::import(Arc::clone(&self.state), asking, who)).await
    }

    async fn export_entries(
        &self,
        request: Request<pb::ExportEntriesRequest>,
    ) -> Result<Response<Self::ExportEntriesStream>, Status> {
        let who = who(&request);
        each(&self.state, request, 1, |wire, answering| export::export(Arc::clone(&self.state), wire, answering, who))
    }

    async fn watch_book(
        &self,
        request: Request<pb::WatchBookRequest>,
    ) -> Result<Response<Self::WatchBookStream>, Status> {
        let who = who(&request);
        kept(&self.state, request, |wire, answering| watch::watch(Arc::clone(&self.state), wire, answering, who))
    }
}

/// Says that an entry is not there: its name is malformed, or there are others near it.
#[cold]
fn missing(view: &View, field: &str, name: &str) -> ApiError {
    match names::parse(name) {
        Err(why) => ApiError::field(field, why),
        Ok(_) => ApiError::NotFound { name: name.to_owned(), field: String::new(), nearest: view.nearest(name) },
    }
}

/// Reads which folder a call is about: the start of every name in it, empty for all.
fn prefix(kind: i32) -> Result<String, ApiError> {
    match pb::EntryKind::try_from(kind) {
        Ok(pb::EntryKind::Unspecified) => Ok(String::new()),
        Ok(kind) => Ok(names::of_kind(kind).map(|row| format!("{}/", row.folder)).unwrap_or_default()),
        Err(_) => {
            let most = names::FOLDERS.len();
            Err(ApiError::field("kind", format!("is {kind}, must be a kind of entry, 1 to {most}, or 0 for all kinds")))
        }
    }
}
