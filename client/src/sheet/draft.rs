//! Puts a plan together from the cells of one row.

mod record;

use baybook_proto::v1 as pb;

use record::Record;

use super::{
    cells::Value,
    columns::{Field, Header, Told},
};

/// A plan being put together from the cells of one row.
pub struct Draft<'a> {
    plan: Box<pb::UpfitPlan>,
    header: &'a Header,
    items: Vec<pb::LoadItem>,
    joints: Vec<pb::PlannedJoint>,
    /// Only sheets that tell of work done have one.
    record: Option<Box<Record>>,
}

impl<'a> Draft<'a> {
    /// Starts without a cell.
    pub fn new(header: &'a Header) -> Self {
        Self { plan: Box::default(), header, items: Vec::new(), joints: Vec::new(), record: None }
    }

    /// Puts a cell's value where its column goes.
    pub fn set(&mut self, field: Field, value: Value) {
        match value {
            Value::Text(text) if !matches!(field, Field::Work(_)) => self.set_text(field, text),
            value => self.set_again(field, &value),
        }
    }

    /// Puts a value that came by before where its column goes.
    #[inline]
    pub fn set_again(&mut self, field: Field, value: &Value) {
        if let Field::Work(field) = field {
            return self.record.get_or_insert_default().set(field, value.clone());
        }
        match *value {
            Value::Text(ref text) => self.set_text(field, text.clone()),
            Value::Number(number) => self.set_number(field, number),
            Value::Flag(flag) => self.set_flag(field, flag),
            Value::Choice(choice) => match field {
                Field::ModelYear => self.plan.model_year = Some(choice),
                Field::SaleState => self.plan.sale_state = choice,
                Field::ChainRule => self.plan.chain_rule = choice,
                Field::Socket => self.plan.socket = choice,
                Field::OffRoadClass => self.plan.off_road_class = choice,
                Field::JointWashers(at) => self.stack(at, |stack| stack.washer_count = Some(choice)),
                _ => {}
            },
            // Absent and unknown are one thing in a plan, except for an item: it rides along with a mass nobody knows.
            Value::Unknown => {
                if let Field::ItemMass(at) = field {
                    self.item(at, |item| item.mass = Some(pb::Mass::default()));
                }
            }
        }
    }

    fn set_text(&mut self, field: Field, text: String) {
        let plan = &mut self.plan;
        match field {
            Field::Unit => plan.unit = text,
            Field::Vin => plan.vin = text,
            Field::Jurisdiction => plan.jurisdiction = text,
            Field::WorkDay => plan.work_day = text,
            Field::LabelSeenOn => plan.label_seen_on = text,
            Field::OwnFrontTyres => own(plan).front_tyre_designation = text,
            Field::OwnRearTyres => own(plan).rear_tyre_designation = text,
            Field::Vehicle => {
                plan.vehicle = Some(pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name(text)) })
            }
            Field::Receiver => plan.receiver = Some(receiver(text)),
            Field::ReplacedReceiver => plan.replaced_receiver = Some(receiver(text)),
            Field::BallMount => {
                plan.ball_mount =
                    Some(pb::BallMountRef { ball_mount: Some(pb::ball_mount_ref::BallMount::Name(text)) });
            }
            Field::Ball => plan.ball = Some(pb::BallRef { ball: Some(pb::ball_ref::Ball::Name(text)) }),
            Field::Coupler => {
                plan.coupler = Some(pb::CouplerRef { coupler: Some(pb::coupler_ref::Coupler::Name(text)) })
            }
            Field::BedCoupling => {
                let named = pb::bed_coupling_ref::BedCoupling::Name(text);
                plan.bed_coupling = Some(pb::BedCouplingRef { bed_coupling: Some(named) });
            }
            Field::Trailer => {
                plan.trailer = Some(pb::TrailerRef { trailer: Some(pb::trailer_ref::Trailer::Name(text)) })
            }
            Field::Policy => plan.policy = Some(pb::PolicyRef { policy: Some(pb::policy_ref::Policy::Name(text)) }),
            Field::Terrain => {
                plan.terrains = vec![pb::TerrainRef { terrain: Some(pb::terrain_ref::Terrain::Name(text)) }];
            }
            Field::JointMaterial(at) => self.stack(at, |stack| {
                stack.head_material.clone_from(&text);
                stack.nut_material = text;
            }),
            Field::Circuit(_) => {
                plan.circuits.push(pb::CircuitRef { circuit: Some(pb::circuit_ref::Circuit::Name(text)) });
            }
            Field::JointBolt(at) => {
                self.joint(at, |joint| joint.bolt = Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(text)) }));
            }
            Field::JointNut(at) => {
                self.joint(at, |joint| joint.nut = Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(text)) }));
            }
            Field::JointWasher(at) => self.joint(at, |joint| {
                joint.washer = Some(pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(text)) });
            }),
            Field::JointWrench(at) => self.joint(at, |joint| {
                joint.wrench = Some(pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(text)) });
            }),
            Field::JointCondition(at) => self.joint(at, |joint| {
                joint.finish = Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(text)) });
            }),
            _ => {}
        }
    }

    fn set_number(&mut self, field: Field, number: f64) {
        let mass = || Some(pb::Mass { value_kg: Some(number), printed: String::new() });
        let plan = &mut self.plan;
        match field {
            Field::TrailerMass => plan.trailer_mass = mass(),
            Field::TongueLoad => {
                plan.tongue = mass().map(pb::upfit_plan::Tongue::TongueLoad);
            }
            Field::TongueShare => plan.tongue = Some(pb::upfit_plan::Tongue::TongueShare(number)),
            Field::MassAddedBefore => plan.mass_added_before_kg = Some(number),
            Field::MassRemoved => plan.mass_removed_kg = Some(number),
            Field::ExtensionTrailer => extension(plan).rating.get_or_insert_default().trailer = mass(),
            Field::ExtensionTongue => extension(plan).rating.get_or_insert_default().tongue = mass(),
            Field::PinTrailer => plan.pin.get_or_insert_default().trailer = mass(),
            Field::PinTongue => plan.pin.get_or_insert_default().tongue = mass(),
            Field::Restoration => plan.restoration_share = Some(number),
            Field::StatedTrain => plan.stated_train = mass(),
            Field::ExtensionLength => extension(plan).length_mm = Some(number),
            Field::LimitApproach => limits(plan).approach_min_deg = Some(number),
            Field::LimitDeparture => limits(plan).departure_min_deg = Some(number),
            Field::LimitDepartureLaden => limits(plan).departure_laden_min_deg = Some(number),
            Field::LimitRamp => limits(plan).ramp_min_deg = Some(number),
            Field::LimitHitchHeight => limits(plan).hitch_height_min_mm = Some(number),
            Field::LimitTongueShareMin => limits(plan).tongue_min_share = Some(number),
            Field::LimitTongueShareMax => limits(plan).tongue_max_share = Some(number),
            Field::LimitLevelTolerance => limits(plan).level_tolerance_mm = Some(number),
            Field::LimitTerrainMargin => limits(plan).terrain_margin_mm = Some(number),
            Field::LimitTailSwing => limits(plan).tail_swing_max_mm = Some(number),
            Field::LimitArticulation => limits(plan).articulation_min_deg = Some(number),
            Field::LimitCabGap => limits(plan).cab_gap_min_mm = Some(number),
            Field::LimitRailGap => limits(plan).rail_gap_min_mm = Some(number),
            Field::OwnGvwr => own(plan).gvwr = mass(),
            Field::OwnGcwr => own(plan).gcwr = mass(),
            Field::OwnFrontGawr => own(plan).front_gawr = mass(),
            Field::OwnRearGawr => own(plan).rear_gawr = mass(),
            Field::OwnFrontKerb => own(plan).front_kerb_kg = Some(number),
            Field::OwnRearKerb => own(plan).rear_kerb_kg = Some(number),
            Field::OwnTrailerGvwr => own(plan).trailer_gvwr = mass(),
            Field::OwnCouplerHeight => own(plan).coupler_height_level_mm = Some(number),
            Field::ItemMass(at) => self.item(at, |item| item.mass = mass()),
            Field::ItemStation(at) => self.item(at, |item| item.station_mm = Some(number)),
            Field::JointGrip(at) => self.stack(at, |stack| stack.grip_mm = Some(number)),
            Field::JointHole(at) => self.stack(at, |stack| stack.hole_diameter_mm = Some(number)),
            Field::JointEngagement(at) => self.stack(at, |stack| stack.engagement_mm = Some(number)),
            Field::JointEdge(at) => self.stack(at, |stack| stack.edge_distance_mm = Some(number)),
            Field::JointPlate(at) => self.stack(at, |stack| stack.plate_thickness_mm = Some(number)),
            Field::JointTorque(at) => {
                let torque = pb::Torque { value_n_m: Some(number), printed: String::new() };
                self.joint(at, |joint| joint.planned_torque = Some(torque));
            }
            _ => {}
        }
    }

    fn set_flag(&mut self, field: Field, flag: bool) {
        let plan = &mut self.plan;
        match field {
            Field::SpringBars => plan.spring_bars = Some(flag),
            Field::BrakeController => plan.brake_controller = Some(flag),
            Field::Converter => plan.converter = Some(flag),
            Field::AnswerMakerPoints => answers(plan).maker_points_used = Some(flag),
            Field::AnswerNearFuel => answers(plan).near_fuel = Some(flag),
            Field::AnswerGuardRemoved => answers(plan).guard_removed = Some(flag),
            Field::AnswerLampHidden => answers(plan).lamp_hidden = Some(flag),
            Field::AnswerRust => answers(plan).rust_at_mounts = Some(flag),
            Field::AnswerRecall => answers(plan).recall_open = Some(flag),
            Field::AnswerCaptiveNut => answers(plan).captive_nut_loose = Some(flag),
            Field::AnswerChains => answers(plan).chains_on_ball_mount = Some(flag),
            Field::AnswerRaisesGvwr => answers(plan).raises_gvwr = Some(flag),
            Field::AnswerMassLabel => answers(plan).mass_label_planned = Some(flag),
            Field::AnswerAltererLabel => answers(plan).alterer_label_planned = Some(flag),
            Field::AnswerLampMoved => answers(plan).plate_lamp_moved = Some(flag),
            Field::AnswerLampTested => answers(plan).plate_lamp_tested = Some(flag),
            Field::AnswerWired => answers(plan).wired_elsewhere = Some(flag),
            Field::AnswerEarths => answers(plan).earths_joined = Some(flag),
            Field::Routing(at) => {
                let question = self.header.routing.get(at).cloned().unwrap_or_default();
                plan.routing.push(pb::RoutingAnswer { question, good: Some(flag) });
            }
            Field::AnswerBeyond => answers(plan).beyond_readily_attachable = Some(flag),
            Field::AnswerPressure => answers(plan).pressure_at_placard = Some(flag),
            Field::JointReused(at) => self.joint(at, |joint| joint.bolt_reused = Some(flag)),
            Field::JointNutReused(at) => self.joint(at, |joint| joint.nut_reused = Some(flag)),
            Field::JointInspected(at) => self.joint(at, |joint| joint.bolt_inspection = flag.then(found_good)),
            Field::JointCoated(at) => self.stack(at, |stack| stack.coated = Some(flag)),
            Field::ItemPermanent(at) => self.item(at, |item| item.permanent = flag),
            _ => {}
        }
    }

    fn item(&mut self, at: usize, set: impl FnOnce(&mut pb::LoadItem)) {
        let Some(label) = self.header.items.get(at) else { return };
        if self.items.len() <= at {
            self.items.reserve_exact(self.header.items.len());
            self.items.resize_with(at + 1, pb::LoadItem::default);
        }
        if let Some(item) = self.items.get_mut(at) {
            if item.label.is_empty() {
                item.label.clone_from(label);
            }
            set(item);
        }
    }

    fn stack(&mut self, at: usize, set: impl FnOnce(&mut pb::JointStack)) {
        self.joint(at, |joint| set(joint.stack.get_or_insert_default()));
    }

    fn joint(&mut self, at: usize, set: impl FnOnce(&mut pb::PlannedJoint)) {
        let Some(id) = self.header.joints.get(at) else { return };
        if self.joints.len() <= at {
            self.joints.resize_with(at + 1, pb::PlannedJoint::default);
        }
        if let Some(joint) = self.joints.get_mut(at) {
            if joint.id.is_empty() {
                joint.id.clone_from(id);
            }
            set(joint);
        }
    }

    /// Returns which of the header's items, joints and parts of the record this row tells of, in the plan's order.
    pub fn told(&self) -> Told {
        let items = self.items.iter().enumerate().filter(|(_, item)| item.mass.is_some());
        let joints = self.joints.iter().enumerate().filter(|(_, joint)| !joint.id.is_empty());
        let record = self.record.as_deref();
        let [readings, fitted, follow_ups] = record.map(Record::told).unwrap_or_default();
        Told {
            items: items.map(|(at, _)| at).collect(),
            joints: joints.map(|(at, _)| at).collect(),
            readings,
            fitted,
            follow_ups,
        }
    }

    /// Returns the unit number, as far as it was read.
    pub fn unit(self) -> String {
        self.plan.unit
    }

    /// Leaves out the items and joints that this row says nothing of.
    ///
    /// An item rides along once its mass cell is filled: a sheet may carry the station on every row.
    pub fn finish(mut self) -> Box<pb::UpfitPlan> {
        self.items.retain(|item| item.mass.is_some());
        for item in &mut self.items {
            item.mass.take_if(|mass| *mass == pb::Mass::default());
        }
        self.joints.retain(|joint| !joint.id.is_empty());
        self.plan.items = self.items;
        self.plan.joints = self.joints;
        self.plan.work = self.record.and_then(|record| record.finish(self.header));
        self.plan
    }
}

fn receiver(name: String) -> pb::ReceiverRef {
    pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name(name)) }
}

fn limits(plan: &mut pb::UpfitPlan) -> &mut pb::Limits {
    plan.limits.get_or_insert_default()
}

fn own(plan: &mut pb::UpfitPlan) -> &mut pb::UnitFigures {
    plan.unit_figures.get_or_insert_default()
}

fn answers(plan: &mut pb::UpfitPlan) -> &mut pb::Answers {
    plan.answers.get_or_insert_default()
}

fn extension(plan: &mut pb::UpfitPlan) -> &mut pb::Extension {
    plan.extension.get_or_insert_default()
}

/// What an inspection found that found nothing.
const fn found_good() -> pb::FastenerInspection {
    pb::FastenerInspection {
        threads_damaged: Some(false),
        rust_stays: Some(false),
        pitted: Some(false),
        stretched: Some(false),
        locks: Some(false),
        over_proof: Some(false),
        into_yield: Some(false),
        structural: Some(false),
    }
}
