//! `StewardService`: what the service is, what it holds, what its limits are.

mod audit;
mod tokens;
mod upkeep;

use std::sync::Arc;

use baybook_core::rules::RULES;
use baybook_proto::v1 as pb;
use baybook_proto::v1::steward_service_server::StewardService;
use tonic::{Request, Response, Status};

use super::{unary, who};
use crate::book::catalog::timestamp;
use crate::book::{Moment, Standing};
use crate::limits::Row;
use crate::service::State;
use crate::standing;

/// Answers the calls of `StewardService`.
#[derive(Debug)]
pub struct Steward {
    state: Arc<State>,
}

impl Steward {
    pub(crate) fn new(state: Arc<State>) -> Self {
        Self { state }
    }
}

#[tonic::async_trait]
impl StewardService for Steward {
    async fn server_info(
        &self,
        request: Request<pb::ServerInfoRequest>,
    ) -> Result<Response<pb::ServerInfoResponse>, Status> {
        unary(request, |_| async move { Ok(info(&self.state)) }).await
    }

    async fn issue_token(
        &self,
        request: Request<pb::IssueTokenRequest>,
    ) -> Result<Response<pb::IssueTokenResponse>, Status> {
        let who = who(&request);
        unary(request, |wire| tokens::issue(&self.state, wire, who)).await
    }

    async fn list_tokens(
        &self,
        request: Request<pb::ListTokensRequest>,
    ) -> Result<Response<pb::ListTokensResponse>, Status> {
        unary(request, |_| async move { Ok(tokens::list(&self.state)) }).await
    }

    async fn revoke_token(
        &self,
        request: Request<pb::RevokeTokenRequest>,
    ) -> Result<Response<pb::RevokeTokenResponse>, Status> {
        let who = who(&request);
        unary(request, |wire| tokens::revoke(&self.state, wire, who)).await
    }

    async fn list_audit(
        &self,
        request: Request<pb::ListAuditRequest>,
    ) -> Result<Response<pb::ListAuditResponse>, Status> {
        unary(request, |wire| async move { audit::list(&self.state, &wire).await }).await
    }

    async fn backup(&self, request: Request<pb::BackupRequest>) -> Result<Response<pb::BackupResponse>, Status> {
        let who = who(&request);
        unary(request, |_| upkeep::backup(&self.state, who)).await
    }

    async fn verify_book(
        &self,
        request: Request<pb::VerifyBookRequest>,
    ) -> Result<Response<pb::VerifyBookResponse>, Status> {
        unary(request, |wire| upkeep::verify(&self.state, wire)).await
    }
}

fn info(state: &State) -> pb::ServerInfoResponse {
    let room = standing::room(&state.data_dir);
    let backups = state.upkeep.backups();
    let count = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
    let folders = state.catalog.folders().into_iter();
    let limits = state.limits.table().into_iter();
    pb::ServerInfoResponse {
        release: env!("CARGO_PKG_VERSION").to_owned(),
        engine: state.engine.name().to_owned(),
        revision: state.catalog.revision().to_wire(),
        folders: folders
            .map(|(folder, entries)| pb::FolderCount { folder: folder.to_owned(), entry_count: count(entries) })
            .collect(),
        rule_count: i32::try_from(RULES.len()).unwrap_or(i32::MAX),
        start_time: Some(timestamp(state.started)),
        limits: limits.map(limit).collect(),
        writable: state.book().standing() == Standing::Writable,
        last_backup: state.upkeep.last_backup().as_ref().map(upkeep::note),
        last_verify: state.upkeep.last_verify().as_ref().map(upkeep::verify_note),
        now_time: Some(timestamp(Moment::now())),
        certificate_end_time: state
            .doors
            .certificate_end()
            .map(|end| timestamp(Moment::from_micros(end.saturating_mul(1_000_000)))),
        backup_count: Some(count(backups.0)),
        backup_bytes: Some(i64::try_from(backups.1).unwrap_or(i64::MAX)),
        kept_backup_count: Some(count(backups.2)),
        disk_free_bytes: room.map(|room| room.free),
        disk_size_bytes: room.map(|room| room.size),
    }
}

fn limit(Row { name, max, unit, about }: Row) -> pb::Limit {
    let max_count = i64::try_from(max).unwrap_or(i64::MAX);
    pb::Limit { name: name.to_owned(), max_count, unit: unit.to_owned(), about: about.to_owned() }
}
