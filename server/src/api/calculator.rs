//! `CalculatorService`: one call per question a person asks.

mod suiting;

use std::sync::Arc;

use baybook_core::calc::assess_torque::assess_torque;
use baybook_core::calc::compare_fasteners::{captive::repairs, compare};
use baybook_core::calc::joint::assembly;
use baybook_core::calc::passes::plan::{Layout, plan};
use baybook_core::calc::thread_lookup::sheet;
use baybook_core::calc::torque::adjust_torque;
use baybook_proto::v1 as pb;
use baybook_proto::v1::calculator_service_server::CalculatorService;
use tonic::{Request, Response, Status};

use super::unary;
use crate::error::ApiError;
use crate::service::State;
use crate::wire;
use crate::wire::added_mass::{AddedMass, added_mass_to_wire};
use crate::wire::axles::{AxleLoads, axle_loads_to_wire};
use crate::wire::captive::{RepairCaptiveNut, repairs_to_wire};
use crate::wire::clearances::{Clearances, clearances_to_wire};
use crate::wire::compare_fasteners::{CompareFasteners, comparison_to_wire};
use crate::wire::coupling_values::{CouplingValues, coupling_values_to_wire};
use crate::wire::head_mark::{LookUpHeadMark, head_mark_to_wire};
use crate::wire::joint::{AssessJoint, blame, joint_to_wire};
use crate::wire::preload_scatter::{PreloadScatter, scatter_to_wire};
use crate::wire::roll_over::{RollOver, roll_over_to_wire};
use crate::wire::size_circuit::{SizeCircuit, circuit_to_wire};
use crate::wire::thread::LookUpThread;
use crate::wire::tightening::{PlanTightening, tightening_to_wire};
use crate::wire::torque::{AdjustTorque, read_assess_torque};
use crate::wire::torque_answer::{advice_to_wire, assessment_to_wire, thread_to_wire};
use crate::wire::towing::{read_rate_towing, towing_to_wire};
use crate::wire::turn_angle::{TurnAngle, turn_to_wire};
use crate::wire::turning::{Turning, turning_to_wire};
use crate::wire::vin::{CheckVin, vin_to_wire};
use crate::wire::weigh_tongue::{WeighTongue, tongue_to_wire};

/// Answers the calls of `CalculatorService`.
#[derive(Debug)]
pub struct Calculator {
    state: Arc<State>,
}

impl Calculator {
    pub(crate) fn new(state: Arc<State>) -> Self {
        Self { state }
    }
}

#[tonic::async_trait]
impl CalculatorService for Calculator {
    async fn adjust_torque(
        &self,
        request: Request<pb::AdjustTorqueRequest>,
    ) -> Result<Response<pb::AdjustTorqueResponse>, Status> {
        unary(request, |wire| async move { adjust(&self.state, &wire) }).await
    }

    async fn assess_torque(
        &self,
        request: Request<pb::AssessTorqueRequest>,
    ) -> Result<Response<pb::AssessTorqueResponse>, Status> {
        unary(request, |wire| async move { assess(&self.state, &wire) }).await
    }

    async fn assess_joint(
        &self,
        request: Request<pb::AssessJointRequest>,
    ) -> Result<Response<pb::AssessJointResponse>, Status> {
        unary(request, |wire| async move { joint(&self.state, &wire) }).await
    }

    async fn look_up_thread(
        &self,
        request: Request<pb::LookUpThreadRequest>,
    ) -> Result<Response<pb::LookUpThreadResponse>, Status> {
        unary(request, |wire| async move { look_up(&wire) }).await
    }

    async fn rate_towing(
        &self,
        request: Request<pb::RateTowingRequest>,
    ) -> Result<Response<pb::RateTowingResponse>, Status> {
        unary(request, |wire| async move { rate(&self.state, &wire) }).await
    }

    async fn axle_loads(
        &self,
        request: Request<pb::AxleLoadsRequest>,
    ) -> Result<Response<pb::AxleLoadsResponse>, Status> {
        unary(request, |wire| async move { axles(&self.state, &wire) }).await
    }

    async fn clearances(
        &self,
        request: Request<pb::ClearancesRequest>,
    ) -> Result<Response<pb::ClearancesResponse>, Status> {
        unary(request, |wire| async move { clearances(&self.state, &wire) }).await
    }

    async fn roll_over(&self, request: Request<pb::RollOverRequest>) -> Result<Response<pb::RollOverResponse>, Status> {
        unary(request, |wire| async move { roll(&self.state, wire).await }).await
    }

    async fn turning(&self, request: Request<pb::TurningRequest>) -> Result<Response<pb::TurningResponse>, Status> {
        unary(request, |wire| async move { turning(&self.state, &wire) }).await
    }

    async fn fit_receivers(
        &self,
        request: Request<pb::FitReceiversRequest>,
    ) -> Result<Response<pb::FitReceiversResponse>, Status> {
        unary(request, |wire| async move { suiting::fit(&self.state, wire).await }).await
    }

    async fn size_circuit(
        &self,
        request: Request<pb::SizeCircuitRequest>,
    ) -> Result<Response<pb::SizeCircuitResponse>, Status> {
        unary(request, |wire| async move { size_circuit(&self.state, &wire) }).await
    }

    async fn compare_fasteners(
        &self,
        request: Request<pb::CompareFastenersRequest>,
    ) -> Result<Response<pb::CompareFastenersResponse>, Status> {
        unary(request, |wire| async move { compare_parts(&self.state, &wire) }).await
    }

    async fn repair_captive_nut(
        &self,
        request: Request<pb::RepairCaptiveNutRequest>,
    ) -> Result<Response<pb::RepairCaptiveNutResponse>, Status> {
        unary(request, |wire| async move { captive(&self.state, &wire) }).await
    }

    async fn look_up_head_mark(
        &self,
        request: Request<pb::LookUpHeadMarkRequest>,
    ) -> Result<Response<pb::LookUpHeadMarkResponse>, Status> {
        unary(request, |wire| async move { mark(&self.state, &wire) }).await
    }

    async fn plan_tightening(
        &self,
        request: Request<pb::PlanTighteningRequest>,
    ) -> Result<Response<pb::PlanTighteningResponse>, Status> {
        unary(request, |wire| async move { tightening(&self.state, &wire) }).await
    }

    async fn preload_scatter(
        &self,
        request: Request<pb::PreloadScatterRequest>,
    ) -> Result<Response<pb::PreloadScatterResponse>, Status> {
        unary(request, |wire| async move { scatter(&self.state, &wire) }).await
    }

    async fn choose_wrench(
        &self,
        request: Request<pb::ChooseWrenchRequest>,
    ) -> Result<Response<pb::ChooseWrenchResponse>, Status> {
        unary(request, |wire| async move { suiting::wrench(&self.state, &wire) }).await
    }

    async fn turn_angle(
        &self,
        request: Request<pb::TurnAngleRequest>,
    ) -> Result<Response<pb::TurnAngleResponse>, Status> {
        unary(request, |wire| async move { turn_angle(&self.state, &wire) }).await
    }

    async fn check_vin(&self, request: Request<pb::CheckVinRequest>) -> Result<Response<pb::CheckVinResponse>, Status> {
        unary(request, |wire| async move { check_vin(&self.state, &wire) }).await
    }

    async fn weigh_tongue(
        &self,
        request: Request<pb::WeighTongueRequest>,
    ) -> Result<Response<pb::WeighTongueResponse>, Status> {
        unary(request, |wire| async move { weigh_tongue(&self.state, &wire) }).await
    }

    async fn added_mass(
        &self,
        request: Request<pb::AddedMassRequest>,
    ) -> Result<Response<pb::AddedMassResponse>, Status> {
        unary(request, |wire| async move { added_mass(&self.state, &wire) }).await
    }

    async fn coupling_values(
        &self,
        request: Request<pb::CouplingValuesRequest>,
    ) -> Result<Response<pb::CouplingValuesResponse>, Status> {
        unary(request, |wire| async move { coupling_values(&self.state, &wire) }).await
    }
}

fn adjust(state: &Arc<State>, wire: &pb::AdjustTorqueRequest) -> Result<pb::AdjustTorqueResponse, ApiError> {
    let view = state.catalog.view();
    let asked = AdjustTorque::read(wire, &view)?;
    let advice = adjust_torque(&asked.input)?;
    let order = asked.layout.as_ref().map(Layout::order).transpose()?.unwrap_or_default();
    Ok(advice_to_wire(&asked, &advice, &order, view.revision().to_wire()))
}

fn assess(state: &Arc<State>, wire: &pb::AssessTorqueRequest) -> Result<pb::AssessTorqueResponse, ApiError> {
    let view = state.catalog.view();
    let asked = read_assess_torque(wire, &view)?;
    let found = assess_torque(&asked)?;
    Ok(assessment_to_wire(&asked, &found, view.revision().to_wire()))
}

fn joint(state: &Arc<State>, wire: &pb::AssessJointRequest) -> Result<pb::AssessJointResponse, ApiError> {
    let view = state.catalog.view();
    let asked = AssessJoint::read(wire, &view)?;
    let found = assembly::assess(&asked.assembly).map_err(|error| blame(&error))?;
    Ok(joint_to_wire(&asked, &found, view.revision().to_wire()))
}

fn look_up(wire: &pb::LookUpThreadRequest) -> Result<pb::LookUpThreadResponse, ApiError> {
    let asked: LookUpThread = wire::read(wire)?;
    Ok(thread_to_wire(&sheet(&asked.thread, asked.class)?))
}

fn rate(state: &Arc<State>, wire: &pb::RateTowingRequest) -> Result<pb::RateTowingResponse, ApiError> {
    let view = state.catalog.view();
    let plan = read_rate_towing(wire, &view)?;
    Ok(towing_to_wire(&plan, view.revision().to_wire()))
}

fn axles(state: &Arc<State>, wire: &pb::AxleLoadsRequest) -> Result<pb::AxleLoadsResponse, ApiError> {
    let view = state.catalog.view();
    let asked = AxleLoads::read(wire, &view)?;
    Ok(axle_loads_to_wire(&asked, view.revision().to_wire()))
}

fn clearances(state: &Arc<State>, wire: &pb::ClearancesRequest) -> Result<pb::ClearancesResponse, ApiError> {
    let view = state.catalog.view();
    let asked = Clearances::read(wire, &view)?;
    Ok(clearances_to_wire(&asked, view.revision().to_wire()))
}

async fn roll(state: &Arc<State>, wire: pb::RollOverRequest) -> Result<pb::RollOverResponse, ApiError> {
    let view = state.catalog.view();
    let revision = view.revision().to_wire();
    let asked = RollOver::read(&wire, &view)?;
    // Hundreds of points over hundreds of corners take their time; that is no work for a thread that serves others.
    let rolled = state.at_desk(move || roll_over_to_wire(&asked, revision)).await;
    Ok(rolled??)
}

fn size_circuit(state: &Arc<State>, wire: &pb::SizeCircuitRequest) -> Result<pb::SizeCircuitResponse, ApiError> {
    let view = state.catalog.view();
    let asked = SizeCircuit::read(wire, &view)?;
    Ok(circuit_to_wire(&asked, view.revision().to_wire()))
}

fn compare_parts(
    state: &Arc<State>,
    wire: &pb::CompareFastenersRequest,
) -> Result<pb::CompareFastenersResponse, ApiError> {
    let view = state.catalog.view();
    let asked = CompareFasteners::read(wire, &view)?;
    Ok(comparison_to_wire(&asked, &compare(&asked.input)?, view.revision().to_wire()))
}

fn captive(state: &Arc<State>, wire: &pb::RepairCaptiveNutRequest) -> Result<pb::RepairCaptiveNutResponse, ApiError> {
    let view = state.catalog.view();
    let asked = RepairCaptiveNut::read(wire, &view)?;
    Ok(repairs_to_wire(&asked, &repairs(&asked.spun)?, view.revision().to_wire()))
}

fn mark(state: &Arc<State>, wire: &pb::LookUpHeadMarkRequest) -> Result<pb::LookUpHeadMarkResponse, ApiError> {
    let asked: LookUpHeadMark = wire::read(wire)?;
    Ok(head_mark_to_wire(&asked, state.catalog.view().revision().to_wire())?)
}

fn tightening(state: &Arc<State>, wire: &pb::PlanTighteningRequest) -> Result<pb::PlanTighteningResponse, ApiError> {
    let asked: PlanTightening = wire::read(wire)?;
    Ok(tightening_to_wire(&asked, &plan(&asked.input)?, state.catalog.view().revision().to_wire()))
}

fn turning(state: &Arc<State>, wire: &pb::TurningRequest) -> Result<pb::TurningResponse, ApiError> {
    let view = state.catalog.view();
    let asked = Turning::read(wire, &view)?;
    Ok(turning_to_wire(&asked, view.revision().to_wire()))
}

fn scatter(state: &Arc<State>, wire: &pb::PreloadScatterRequest) -> Result<pb::PreloadScatterResponse, ApiError> {
    let view = state.catalog.view();
    Ok(scatter_to_wire(&PreloadScatter::read(wire, &view)?, view.revision().to_wire()))
}

fn turn_angle(state: &Arc<State>, wire: &pb::TurnAngleRequest) -> Result<pb::TurnAngleResponse, ApiError> {
    let view = state.catalog.view();
    Ok(turn_to_wire(&TurnAngle::read(wire, &view)?, view.revision().to_wire()))
}

fn check_vin(state: &Arc<State>, wire: &pb::CheckVinRequest) -> Result<pb::CheckVinResponse, ApiError> {
    let asked: CheckVin = wire::read(wire)?;
    Ok(vin_to_wire(&asked, state.catalog.view().revision().to_wire()))
}

fn weigh_tongue(state: &Arc<State>, wire: &pb::WeighTongueRequest) -> Result<pb::WeighTongueResponse, ApiError> {
    let asked: WeighTongue = wire::read(wire)?;
    Ok(tongue_to_wire(&asked, state.catalog.view().revision().to_wire()))
}

fn added_mass(state: &Arc<State>, wire: &pb::AddedMassRequest) -> Result<pb::AddedMassResponse, ApiError> {
    let asked: AddedMass = wire::read(wire)?;
    Ok(added_mass_to_wire(&asked, state.catalog.view().revision().to_wire()))
}

fn coupling_values(
    state: &Arc<State>,
    wire: &pb::CouplingValuesRequest,
) -> Result<pb::CouplingValuesResponse, ApiError> {
    let asked: CouplingValues = wire::read(wire)?;
    Ok(coupling_values_to_wire(&asked, state.catalog.view().revision().to_wire()))
}
