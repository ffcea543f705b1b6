//! What the bars are held against: a service that does nothing.

use std::sync::Arc;

use baybook_proto::v1 as pb;
use pb::{
    calculator_service_server::CalculatorService, spec_book_service_server::SpecBookService,
    steward_service_server::StewardService,
};
use tonic::{Request, Response, Status, Streaming, async_trait};

/// A service whose handlers hand back a reply that was made beforehand.
#[derive(Clone)]
pub struct Floor {
    /// What `GetEntry` answers.
    pub entry: Arc<pb::GetEntryResponse>,
    /// What `AdjustTorque` answers.
    pub torque: Arc<pb::AdjustTorqueResponse>,
}

type Reply<T> = Result<Response<T>, Status>;

fn none<T>() -> Reply<T> {
    Err(Status::unimplemented("the floor answers two calls"))
}

#[async_trait]
impl SpecBookService for Floor {
    type ExportEntriesStream = tokio_stream::Empty<Result<pb::ExportEntriesResponse, Status>>;
    type WatchBookStream = tokio_stream::Empty<Result<pb::WatchBookResponse, Status>>;

    async fn get_entry(&self, _: Request<pb::GetEntryRequest>) -> Reply<pb::GetEntryResponse> {
        Ok(Response::new(pb::GetEntryResponse::clone(&self.entry)))
    }
    async fn batch_get_entries(&self, _: Request<pb::BatchGetEntriesRequest>) -> Reply<pb::BatchGetEntriesResponse> {
        none()
    }
    async fn list_entries(&self, _: Request<pb::ListEntriesRequest>) -> Reply<pb::ListEntriesResponse> {
        none()
    }
    async fn find_entries(&self, _: Request<pb::FindEntriesRequest>) -> Reply<pb::FindEntriesResponse> {
        none()
    }
    async fn put_entry(&self, _: Request<pb::PutEntryRequest>) -> Reply<pb::PutEntryResponse> {
        none()
    }
    async fn batch_put_entries(&self, _: Request<pb::BatchPutEntriesRequest>) -> Reply<pb::BatchPutEntriesResponse> {
        none()
    }
    async fn remove_entry(&self, _: Request<pb::RemoveEntryRequest>) -> Reply<pb::RemoveEntryResponse> {
        none()
    }
    async fn entry_history(&self, _: Request<pb::EntryHistoryRequest>) -> Reply<pb::EntryHistoryResponse> {
        none()
    }
    async fn import_entries(
        &self,
        _: Request<Streaming<pb::ImportEntriesRequest>>,
    ) -> Reply<pb::ImportEntriesResponse> {
        none()
    }
    async fn export_entries(&self, _: Request<pb::ExportEntriesRequest>) -> Reply<Self::ExportEntriesStream> {
        none()
    }
    async fn watch_book(&self, _: Request<pb::WatchBookRequest>) -> Reply<Self::WatchBookStream> {
        none()
    }
}

#[async_trait]
impl CalculatorService for Floor {
    async fn adjust_torque(&self, _: Request<pb::AdjustTorqueRequest>) -> Reply<pb::AdjustTorqueResponse> {
        Ok(Response::new(pb::AdjustTorqueResponse::clone(&self.torque)))
    }
    async fn assess_torque(&self, _: Request<pb::AssessTorqueRequest>) -> Reply<pb::AssessTorqueResponse> {
        none()
    }
    async fn assess_joint(&self, _: Request<pb::AssessJointRequest>) -> Reply<pb::AssessJointResponse> {
        none()
    }
    async fn look_up_thread(&self, _: Request<pb::LookUpThreadRequest>) -> Reply<pb::LookUpThreadResponse> {
        none()
    }
    async fn rate_towing(&self, _: Request<pb::RateTowingRequest>) -> Reply<pb::RateTowingResponse> {
        none()
    }
    async fn axle_loads(&self, _: Request<pb::AxleLoadsRequest>) -> Reply<pb::AxleLoadsResponse> {
        none()
    }
    async fn clearances(&self, _: Request<pb::ClearancesRequest>) -> Reply<pb::ClearancesResponse> {
        none()
    }
    async fn fit_receivers(&self, _: Request<pb::FitReceiversRequest>) -> Reply<pb::FitReceiversResponse> {
        none()
    }
    async fn size_circuit(&self, _: Request<pb::SizeCircuitRequest>) -> Reply<pb::SizeCircuitResponse> {
        none()
    }
    async fn turning(&self, _: Request<pb::TurningRequest>) -> Reply<pb::TurningResponse> {
        none()
    }
    async fn roll_over(&self, _: Request<pb::RollOverRequest>) -> Reply<pb::RollOverResponse> {
        none()
    }
    async fn compare_fasteners(&self, _: Request<pb::CompareFastenersRequest>) -> Reply<pb::CompareFastenersResponse> {
        none()
    }
    async fn repair_captive_nut(&self, _: Request<pb::RepairCaptiveNutRequest>) -> Reply<pb::RepairCaptiveNutResponse> {
        none()
    }
    async fn look_up_head_mark(&self, _: Request<pb::LookUpHeadMarkRequest>) -> Reply<pb::LookUpHeadMarkResponse> {
        none()
    }
    async fn preload_scatter(&self, _: Request<pb::PreloadScatterRequest>) -> Reply<pb::PreloadScatterResponse> {
        none()
    }
    async fn plan_tightening(&self, _: Request<pb::PlanTighteningRequest>) -> Reply<pb::PlanTighteningResponse> {
        none()
    }
    async fn choose_wrench(&self, _: Request<pb::ChooseWrenchRequest>) -> Reply<pb::ChooseWrenchResponse> {
        none()
    }
    async fn turn_angle(&self, _: Request<pb::TurnAngleRequest>) -> Reply<pb::TurnAngleResponse> {
        none()
    }
    async fn check_vin(&self, _: Request<pb::CheckVinRequest>) -> Reply<pb::CheckVinResponse> {
        none()
    }
    async fn weigh_tongue(&self, _: Request<pb::WeighTongueRequest>) -> Reply<pb::WeighTongueResponse> {
        none()
    }
    async fn added_mass(&self, _: Request<pb::AddedMassRequest>) -> Reply<pb::AddedMassResponse> {
        none()
    }
    async fn coupling_values(&self, _: Request<pb::CouplingValuesRequest>) -> Reply<pb::CouplingValuesResponse> {
        none()
    }
}

#[async_trait]
impl StewardService for Floor {
    async fn server_info(&self, _: Request<pb::ServerInfoRequest>) -> Reply<pb::ServerInfoResponse> {
        Ok(Response::new(pb::ServerInfoResponse::default()))
    }
    async fn issue_token(&self, _: Request<pb::IssueTokenRequest>) -> Reply<pb::IssueTokenResponse> {
        none()
    }
    async fn list_tokens(&self, _: Request<pb::ListTokensRequest>) -> Reply<pb::ListTokensResponse> {
        none()
    }
    async fn revoke_token(&self, _: Request<pb::RevokeTokenRequest>) -> Reply<pb::RevokeTokenResponse> {
        none()
    }
    async fn backup(&self, _: Request<pb::BackupRequest>) -> Reply<pb::BackupResponse> {
        none()
    }
    async fn verify_book(&self, _: Request<pb::VerifyBookRequest>) -> Reply<pb::VerifyBookResponse> {
        none()
    }
    async fn list_audit(&self, _: Request<pb::ListAuditRequest>) -> Reply<pb::ListAuditResponse> {
        none()
    }
}
