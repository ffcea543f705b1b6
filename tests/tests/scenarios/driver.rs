//! What a scenario can do, whoever does it.

use baybook_proto::v1 as pb;

/// A call that was refused.
#[derive(Debug)]
pub struct Refusal {
    /// How a command line ends after it.
    pub exit: i32,
    /// Everything that was told: what, where, why, and what to do next.
    pub told: String,
}

impl Refusal {
    /// Fails unless it ended so and told all of that.
    #[track_caller]
    pub fn expect(&self, exit: i32, told: &[&str]) {
        assert_eq!(self.exit, exit, "{}", self.told);
        for part in told {
            assert!(self.told.contains(part), "{part:?} is not told:\n{}", self.told);
        }
    }
}

/// A reply, or why there is none.
pub type Answer<T> = Result<T, Refusal>;

/// The calls of the contract, as scenarios need them.
pub trait Driver {
    fn get(&mut self, name: &str) -> Answer<pb::GetEntryResponse>;
    fn list(&mut self, kind: pb::EntryKind) -> Answer<pb::ListEntriesResponse>;
    fn find(&mut self, words: &str) -> Answer<pb::FindEntriesResponse>;
    fn put(&mut self, request: pb::PutEntryRequest) -> Answer<pb::PutEntryResponse>;
    fn put_all(&mut self, request: pb::BatchPutEntriesRequest) -> Answer<pb::BatchPutEntriesResponse>;
    fn remove(&mut self, request: pb::RemoveEntryRequest) -> Answer<pb::RemoveEntryResponse>;
    fn history(&mut self, name: &str) -> Answer<pb::EntryHistoryResponse>;
    fn import(&mut self, entries: Vec<pb::Entry>) -> Answer<pb::ImportEntriesResponse>;
    fn export(&mut self) -> Answer<Vec<pb::Entry>>;
    fn adjust_torque(&mut self, request: pb::AdjustTorqueRequest) -> Answer<pb::AdjustTorqueResponse>;
    fn assess_torque(&mut self, request: pb::AssessTorqueRequest) -> Answer<pb::AssessTorqueResponse>;
    fn assess_joint(&mut self, request: pb::AssessJointRequest) -> Answer<pb::AssessJointResponse>;
    fn look_up_thread(&mut self, request: pb::LookUpThreadRequest) -> Answer<pb::LookUpThreadResponse>;
    fn rate(&mut self, plan: pb::UpfitPlan) -> Answer<pb::RateTowingResponse>;
    fn axles(&mut self, plan: pb::UpfitPlan) -> Answer<pb::AxleLoadsResponse>;
    fn axles_with(&mut self, request: pb::AxleLoadsRequest) -> Answer<pb::AxleLoadsResponse>;
    fn check_vin(&mut self, request: pb::CheckVinRequest) -> Answer<pb::CheckVinResponse>;
    fn weigh_tongue(&mut self, request: pb::WeighTongueRequest) -> Answer<pb::WeighTongueResponse>;
    fn coupling_values(&mut self, request: pb::CouplingValuesRequest) -> Answer<pb::CouplingValuesResponse>;
    fn added_mass(&mut self, request: pb::AddedMassRequest) -> Answer<pb::AddedMassResponse>;
    fn turning(&mut self, plan: pb::UpfitPlan) -> Answer<pb::TurningResponse>;
    fn clearances(&mut self, plan: pb::UpfitPlan) -> Answer<pb::ClearancesResponse>;
    fn roll_over(&mut self, plan: pb::UpfitPlan, terrain: &str) -> Answer<pb::RollOverResponse>;
    fn size_circuit(&mut self, request: pb::SizeCircuitRequest) -> Answer<pb::SizeCircuitResponse>;
    fn fit(&mut self, request: pb::FitReceiversRequest) -> Answer<pb::FitReceiversResponse>;
    /// Checks plans; they are numbered from 1.
    fn check(&mut self, plans: Vec<pb::UpfitPlan>) -> Answer<Checked>;
    fn rules(&mut self) -> Answer<pb::ListRulesResponse>;
    fn info(&mut self) -> Answer<pb::ServerInfoResponse>;
}

/// The answers to a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    pub results: Vec<pb::CheckedPlan>,
    pub revision: i64,
    pub summary: pb::CheckSummary,
}
