//! A caller that speaks gRPC.

use std::future::Future;

use baybook_proto::v1::{
    self as pb, calculator_service_client::CalculatorServiceClient, spec_book_service_client::SpecBookServiceClient,
    steward_service_client::StewardServiceClient, upfits_service_client::UpfitsServiceClient,
};
use tonic::{
    Response, Status,
    transport::{Channel, Endpoint},
};
use tonic_types::StatusExt as _;

use crate::{
    driver::{Answer, Checked, Driver, Refusal},
    house::House,
};

pub struct OverGrpc<'a> {
    house: &'a House,
    channel: Channel,
}

impl<'a> OverGrpc<'a> {
    pub fn new(house: &'a House) -> Self {
        let endpoint = Endpoint::from_shared(format!("http://{}", house.address())).expect("an address is an URL");
        let channel = house.runtime().block_on(endpoint.connect()).expect("the service listens");
        Self { house, channel }
    }

    pub fn wait<T>(&self, call: impl Future<Output = Result<Response<T>, Status>>) -> Answer<T> {
        self.house.runtime().block_on(call).map(Response::into_inner).map_err(|status| refusal(&status))
    }

    fn book(&self) -> SpecBookServiceClient<Channel> {
        SpecBookServiceClient::new(self.channel.clone())
    }

    pub fn calculator(&self) -> CalculatorServiceClient<Channel> {
        CalculatorServiceClient::new(self.channel.clone())
    }

    fn upfits(&self) -> UpfitsServiceClient<Channel> {
        UpfitsServiceClient::new(self.channel.clone())
    }
}

/// Reads a failure as the contract promises it: always a reason in our domain.
fn refusal(status: &Status) -> Refusal {
    let details = status.get_error_details();
    let info = details.error_info().unwrap_or_else(|| panic!("a failure without ErrorInfo: {status:?}"));
    assert_eq!(info.domain, "baybook.v1");
    let reason = pb::ErrorReason::from_str_name(&format!("ERROR_REASON_{}", info.reason));
    let reason = reason.unwrap_or_else(|| panic!("{} is not a reason of the contract", info.reason));
    let mut told = format!("{}\n", status.message());
    if let Some(bad) = details.bad_request() {
        for violation in &bad.field_violations {
            told += &format!("{}: {}\n", violation.field, violation.description);
        }
    }
    for (key, value) in &info.metadata {
        told += &format!("{key}: {value}\n");
    }
    Refusal { exit: exit(reason), told }
}

/// The exit codes of the contract, by reason.
fn exit(reason: pb::ErrorReason) -> i32 {
    use pb::ErrorReason as R;
    match reason {
        R::BadFields | R::RequestIdReused | R::NotCalculable | R::OverLimit => 2,
        R::EntryNotFound | R::RevisionGone => 4,
        R::EntryExists | R::StaleEtag | R::EntryInUse => 5,
        R::Overloaded | R::Deadline | R::Stopping | R::RevisionAhead => 7,
        R::Damaged => 8,
        _ => 1,
    }
}

impl Driver for OverGrpc<'_> {
    fn get(&mut self, name: &str) -> Answer<pb::GetEntryResponse> {
        self.wait(self.book().get_entry(pb::GetEntryRequest { name: name.to_owned(), min_revision: 0 }))
    }

    fn list(&mut self, kind: pb::EntryKind) -> Answer<pb::ListEntriesResponse> {
        let mut whole = pb::ListEntriesResponse::default();
        loop {
            let page = self.wait(self.book().list_entries(pb::ListEntriesRequest {
                kind: kind.into(),
                page_size: 7,
                page_token: std::mem::take(&mut whole.next_page_token),
                min_revision: 0,
            }))?;
            assert!(page.entries.len() <= 7);
            assert!(whole.revision == 0 || whole.revision == page.revision, "all pages read one revision");
            whole.revision = page.revision;
            whole.entries.extend(page.entries);
            whole.next_page_token = page.next_page_token;
            if whole.next_page_token.is_empty() {
                return Ok(whole);
            }
        }
    }

    fn find(&mut self, words: &str) -> Answer<pb::FindEntriesResponse> {
        self.wait(self.book().find_entries(pb::FindEntriesRequest {
            words: words.to_owned(),
            kind: 0,
            page_size: 50,
            min_revision: 0,
        }))
    }

    fn put(&mut self, request: pb::PutEntryRequest) -> Answer<pb::PutEntryResponse> {
        self.wait(self.book().put_entry(request))
    }

    fn put_all(&mut self, request: pb::BatchPutEntriesRequest) -> Answer<pb::BatchPutEntriesResponse> {
        self.wait(self.book().batch_put_entries(request))
    }

    fn remove(&mut self, request: pb::RemoveEntryRequest) -> Answer<pb::RemoveEntryResponse> {
        self.wait(self.book().remove_entry(request))
    }

    fn history(&mut self, name: &str) -> Answer<pb::EntryHistoryResponse> {
        let name = name.to_owned();
        self.wait(self.book().entry_history(pb::EntryHistoryRequest { name, page_size: 50, page_token: String::new() }))
    }

    fn import(&mut self, entries: Vec<pb::Entry>) -> Answer<pb::ImportEntriesResponse> {
        let messages: Vec<_> = entries
            .chunks(20)
            .map(|some| pb::ImportEntriesRequest { entries: some.to_vec(), ..pb::ImportEntriesRequest::default() })
            .collect();
        self.wait(self.book().import_entries(tokio_stream::iter(messages)))
    }

    fn export(&mut self) -> Answer<Vec<pb::Entry>> {
        let mut stream = self.wait(self.book().export_entries(pb::ExportEntriesRequest::default()))?;
        let (mut entries, mut digest) = (Vec::new(), String::new());
        while let Some(message) = self.house.runtime().block_on(stream.message()).map_err(|status| refusal(&status))? {
            assert!(digest.is_empty(), "nothing follows the message with the digest");
            entries.extend(message.entries);
            digest = message.digest;
        }
        assert_eq!(digest.len(), 64, "the last message holds a SHA-256");
        Ok(entries)
    }

    fn adjust_torque(&mut self, request: pb::AdjustTorqueRequest) -> Answer<pb::AdjustTorqueResponse> {
        self.wait(self.calculator().adjust_torque(request))
    }

    fn assess_torque(&mut self, request: pb::AssessTorqueRequest) -> Answer<pb::AssessTorqueResponse> {
        self.wait(self.calculator().assess_torque(request))
    }

    fn assess_joint(&mut self, request: pb::AssessJointRequest) -> Answer<pb::AssessJointResponse> {
        self.wait(self.calculator().assess_joint(request))
    }

    fn look_up_thread(&mut self, request: pb::LookUpThreadRequest) -> Answer<pb::LookUpThreadResponse> {
        self.wait(self.calculator().look_up_thread(request))
    }

    fn rate(&mut self, plan: pb::UpfitPlan) -> Answer<pb::RateTowingResponse> {
        self.wait(self.calculator().rate_towing(pb::RateTowingRequest { plan: Some(plan) }))
    }

    fn axles(&mut self, plan: pb::UpfitPlan) -> Answer<pb::AxleLoadsResponse> {
        self.wait(self.calculator().axle_loads(pb::AxleLoadsRequest { plan: Some(plan), ..Default::default() }))
    }

    fn axles_with(&mut self, request: pb::AxleLoadsRequest) -> Answer<pb::AxleLoadsResponse> {
        self.wait(self.calculator().axle_loads(request))
    }

    fn check_vin(&mut self, request: pb::CheckVinRequest) -> Answer<pb::CheckVinResponse> {
        self.wait(self.calculator().check_vin(request))
    }

    fn weigh_tongue(&mut self, request: pb::WeighTongueRequest) -> Answer<pb::WeighTongueResponse> {
        self.wait(self.calculator().weigh_tongue(request))
    }

    fn coupling_values(&mut self, request: pb::CouplingValuesRequest) -> Answer<pb::CouplingValuesResponse> {
        self.wait(self.calculator().coupling_values(request))
    }

    fn added_mass(&mut self, request: pb::AddedMassRequest) -> Answer<pb::AddedMassResponse> {
        self.wait(self.calculator().added_mass(request))
    }

    fn turning(&mut self, plan: pb::UpfitPlan) -> Answer<pb::TurningResponse> {
        self.wait(self.calculator().turning(pb::TurningRequest { plan: Some(plan), ..Default::default() }))
    }

    fn clearances(&mut self, plan: pb::UpfitPlan) -> Answer<pb::ClearancesResponse> {
        self.wait(self.calculator().clearances(pb::ClearancesRequest {
            plan: Some(plan),
            tape_uncertainty_mm: None,
            ..Default::default()
        }))
    }

    fn roll_over(&mut self, plan: pb::UpfitPlan, terrain: &str) -> Answer<pb::RollOverResponse> {
        self.wait(self.calculator().roll_over(pb::RollOverRequest {
            rolling: Some(pb::roll_over_request::Rolling::Plan(Box::new(plan))),
            terrain: Some(pb::TerrainRef { terrain: Some(pb::terrain_ref::Terrain::Name(terrain.to_owned())) }),
            margin_mm: Some(25.0),
            tape_uncertainty_mm: None,
        }))
    }

    fn size_circuit(&mut self, request: pb::SizeCircuitRequest) -> Answer<pb::SizeCircuitResponse> {
        self.wait(self.calculator().size_circuit(request))
    }

    fn fit(&mut self, request: pb::FitReceiversRequest) -> Answer<pb::FitReceiversResponse> {
        self.wait(self.calculator().fit_receivers(request))
    }

    fn check(&mut self, plans: Vec<pb::UpfitPlan>) -> Answer<Checked> {
        let numbered: Vec<_> =
            (1..).zip(plans).map(|(seq, plan)| pb::NumberedPlan { seq, plan: Some(Box::new(plan)) }).collect();
        let mut settings =
            Some(pb::CheckSettings { view: pb::ReportView::Findings.into(), ..pb::CheckSettings::default() });
        let messages: Vec<_> = numbered
            .chunks(13)
            .map(|some| pb::CheckUpfitsRequest { settings: settings.take(), plans: some.to_vec() })
            .collect();
        let mut stream = self.wait(self.upfits().check_upfits(tokio_stream::iter(messages)))?;
        let (mut results, mut revision, mut summary) = (Vec::new(), None, None);
        while let Some(message) = self.house.runtime().block_on(stream.message()).map_err(|status| refusal(&status))? {
            assert!(summary.is_none(), "nothing follows the message with the totals");
            assert_eq!(*revision.get_or_insert(message.revision), message.revision, "one revision is read");
            results.extend(message.results);
            summary = message.summary;
        }
        let revision = revision.expect("there is an answer");
        Ok(Checked { results, revision, summary: summary.expect("the last message holds the totals") })
    }

    fn rules(&mut self) -> Answer<pb::ListRulesResponse> {
        self.wait(self.upfits().list_rules(pb::ListRulesRequest {}))
    }

    fn info(&mut self) -> Answer<pb::ServerInfoResponse> {
        self.wait(StewardServiceClient::new(self.channel.clone()).server_info(pb::ServerInfoRequest {}))
    }
}
