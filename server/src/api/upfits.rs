//! `UpfitsService`: upfit plans against the rule book.

mod batch;
mod explain;
mod look;
mod print;
mod tally;
mod twins;

use std::sync::Arc;

use baybook_core::model::policy::Policy;
use baybook_core::rules::{self, RULES};
use baybook_proto::v1 as pb;
use baybook_proto::v1::upfits_service_server::UpfitsService;
use tonic::{Request, Response, Status, Streaming};

use super::{Answers, Asking, Messages, at_least, each, unary};
use crate::error::ApiError;
use crate::service::State;
use crate::wire::report::{report_to_wire, rules_to_wire, view_from_wire};
use crate::wire::{Fields, plan_in};

/// Answers the calls of `UpfitsService`.
#[derive(Debug)]
pub struct Upfits {
    state: Arc<State>,
}

impl Upfits {
    pub(crate) fn new(state: Arc<State>) -> Self {
        Self { state }
    }

    /// Answers a stream of plans, wherever its messages come from: the wire, or somebody in this process.
    pub(crate) fn check_all<Q>(&self, request: Request<Q>) -> Result<Response<Answers<pb::CheckUpfitsResponse>>, Status>
    where
        Messages<pb::CheckUpfitsRequest>: From<Q>,
    {
        each(&self.state, request, self.state.limits.stream_answers, |messages, answering| {
            batch::check_all(Arc::clone(&self.state), Asking::new(&self.state, messages), answering)
        })
    }
}

#[tonic::async_trait]
impl UpfitsService for Upfits {
    type CheckUpfitsStream = Answers<pb::CheckUpfitsResponse>;

    async fn check_upfit(
        &self,
        request: Request<pb::CheckUpfitRequest>,
    ) -> Result<Response<pb::CheckUpfitResponse>, Status> {
        unary(request, |wire| async move { check(&self.state, &wire) }).await
    }

    async fn check_upfits(
        &self,
        request: Request<Streaming<pb::CheckUpfitsRequest>>,
    ) -> Result<Response<Self::CheckUpfitsStream>, Status> {
        self.check_all(request)
    }

    async fn list_rules(
        &self,
        request: Request<pb::ListRulesRequest>,
    ) -> Result<Response<pb::ListRulesResponse>, Status> {
        unary(request, |_| async { Ok(pb::ListRulesResponse { rules: rules_to_wire(RULES) }) }).await
    }

    async fn explain_upfit(
        &self,
        request: Request<pb::ExplainUpfitRequest>,
    ) -> Result<Response<pb::ExplainUpfitResponse>, Status> {
        unary(request, |wire| async move { explain::upfit(&self.state, &wire).await }).await
    }

    async fn explain_rule(
        &self,
        request: Request<pb::ExplainRuleRequest>,
    ) -> Result<Response<pb::ExplainRuleResponse>, Status> {
        unary(request, |wire| async move { explain::rule(&wire) }).await
    }
}

fn check(state: &Arc<State>, wire: &pb::CheckUpfitRequest) -> Result<pb::CheckUpfitResponse, ApiError> {
    let book = state.catalog.view();
    at_least(wire.min_revision, book.revision())?;
    let mut fields = Fields::default();
    let view = view_from_wire("view", wire.view, &mut fields);
    let plan = match &wire.plan {
        Some(plan) => fields.under("plan", |fields| plan_in(plan, &book, fields)),
        None => fields.required("plan", None),
    };
    let policy = fields.entry::<Policy>("policy", wire.policy.as_ref(), &book);
    let (plan, view) = fields.finish(plan.zip(view))?;
    let plan = if plan.policy.is_none() { plan.under(policy) } else { plan };
    let report = report_to_wire(&rules::check(&plan), &plan, view);
    Ok(pb::CheckUpfitResponse { report: Some(report), revision: book.revision().to_wire() })
}
