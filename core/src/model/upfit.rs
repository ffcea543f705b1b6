//! An upfit plan: one vehicle, what is to be fitted, and what it will tow, with every name resolved.

use std::sync::Arc;

use super::{
    LinkRating,
    bed::{BedCoupling, BedCouplingKind},
    brake_law::BrakeLaw,
    coupling::{Ball, BallMount, Coupler},
    day::Day,
    fastener::{Bolt, Nut, Washer},
    finish::Finish,
    policy::Policy,
    receiver::Receiver,
    terrain::Terrain,
    trailer::Trailer,
    vehicle::Vehicle,
    wiring::{Circuit, Socket},
    work::WorkRecord,
    wrench::Wrench,
};
use crate::{
    calc::{compare_fasteners::reuse::Inspection, torque::prevailing::Lock},
    units::{Angle, Length, Mass, Torque},
};

/// Something that rides in or on the vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadItem {
    /// What it is: `driver and mate`, `racking`, `tool load`.
    pub label: String,
    /// Its mass.
    pub mass: Option<Mass>,
    /// Where it sits, rearward of the front axle.
    pub station: Option<Length>,
    /// Whether the shop adds it for good, so that it counts towards the added-mass label.
    pub permanent: bool,
}

/// The tongue load, as weighed or as a share of the trailer's mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TongueLoad {
    /// A load.
    Load(Mass),
    /// A share of the trailer's mass, 0 to 1.
    Share(f64),
}

/// Where the vehicle stands in its life; the added-mass label hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SaleState {
    /// Not yet sold to its first user.
    BeforeFirstSale,
    /// In use.
    InUse,
}

/// A class of off-road vehicles that hangs on angles and clearances.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OffRoadClass {
    /// Class G of light vehicles in Europe: five of six measures. Drive on both axles, a lock and a climb of 30 % come on
    /// top.
    EuropeanG,
    /// The geometry of a light truck in North America: four of five, both axles' clearances being one.
    UsLightTruck,
}

/// How a jurisdiction counts safety chains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChainRule {
    /// Each chain must hold the trailer's gross rating: the strictest reading.
    Each,
    /// All chains together must hold it.
    Combined,
}

/// An extension or adapter between receiver and ball mount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extension {
    /// Its ratings; unknown blocks.
    pub rating: LinkRating,
    /// How much further back it puts the ball.
    pub length: Option<Length>,
}

/// One joint as the shop will really make it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedJoint {
    /// Which joint of the receiver.
    pub id: String,
    /// The bolt as specified, resolved.
    pub specified_bolt: Option<Arc<Bolt>>,
    /// How many such bolts the joint has.
    pub bolt_count: Option<i32>,
    /// The nut as specified, resolved.
    pub specified_nut: Option<Arc<Nut>>,
    /// The condition as specified, resolved.
    pub specified_finish: Option<Arc<Finish>>,
    /// The torque as specified.
    pub specified_torque: Option<Torque>,
    /// How to tighten, as specified.
    pub method: Option<super::joint::TighteningMethod>,
    /// The bolt that goes in.
    pub bolt: Option<Arc<Bolt>>,
    /// The nut that goes on.
    pub nut: Option<Arc<Nut>>,
    /// The washer that goes under.
    pub washer: Option<Arc<Washer>>,
    /// The condition it is really in.
    pub finish: Option<Arc<Finish>>,
    /// What the shop means to set.
    pub planned_torque: Option<Torque>,
    /// Whether the bolt that goes in has been tightened before.
    pub bolt_reused: Option<bool>,
    /// What was found on a bolt that has been tightened before.
    pub bolt_inspection: Option<Inspection>,
    /// Whether the nut that goes on has been tightened before.
    pub nut_reused: Option<bool>,
    /// What locks the nut, when it locks.
    pub nut_lock: Option<Lock>,
    /// Prevailing torque of this very nut.
    pub nut_prevailing: Option<Torque>,
    /// The wrench that it is tightened with.
    pub wrench: Option<Arc<Wrench>>,
    /// How it is built and loaded, when it should be judged.
    pub stack: Option<super::joint::JointStack>,
}

/// The shop's own limits for this unit; each may be tighter than the law, none looser.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Least approach angle.
    pub approach_min: Option<Angle>,
    /// Least departure angle, unladen.
    pub departure_min: Option<Angle>,
    /// Least departure angle, laden.
    pub departure_laden_min: Option<Angle>,
    /// Least ramp angle, laden.
    pub ramp_min: Option<Angle>,
    /// Least height of the fitted gear above ground, laden.
    pub hitch_height_min: Option<Length>,
    /// Least tongue share.
    pub tongue_share_min: Option<f64>,
    /// Greatest tongue share.
    pub tongue_share_max: Option<f64>,
    /// How far the ball may sit off the trailer's level height.
    pub level_tolerance: Option<Length>,
    /// How far everything must stay off the terrains.
    pub terrain_margin: Option<Length>,
    /// How far the tail may swing out at full lock.
    pub tail_swing_max: Option<Length>,
    /// Up to which articulation vehicle and trailer must not touch.
    pub articulation_min: Option<Angle>,
    /// How much room must stay between the cab and the nose in a turn.
    pub cab_gap_min: Option<Length>,
    /// How much room must stay between the rails of the bed and the nose.
    pub rail_gap_min: Option<Length>,
}

impl Limits {
    /// Returns the tighter of each pair; a limit that only one side sets is kept.
    #[must_use]
    pub fn tightest(&self, other: &Self) -> Self {
        Self {
            approach_min: greater(self.approach_min, other.approach_min),
            departure_min: greater(self.departure_min, other.departure_min),
            departure_laden_min: greater(self.departure_laden_min, other.departure_laden_min),
            ramp_min: greater(self.ramp_min, other.ramp_min),
            hitch_height_min: greater(self.hitch_height_min, other.hitch_height_min),
            tongue_share_min: greater(self.tongue_share_min, other.tongue_share_min),
            tongue_share_max: lesser(self.tongue_share_max, other.tongue_share_max),
            level_tolerance: lesser(self.level_tolerance, other.level_tolerance),
            terrain_margin: greater(self.terrain_margin, other.terrain_margin),
            tail_swing_max: lesser(self.tail_swing_max, other.tail_swing_max),
            articulation_min: greater(self.articulation_min, other.articulation_min),
            cab_gap_min: greater(self.cab_gap_min, other.cab_gap_min),
            rail_gap_min: greater(self.rail_gap_min, other.rail_gap_min),
        }
    }
}

/// Returns the greater of two; the other when one is absent.
fn greater<T: PartialOrd>(one: Option<T>, other: Option<T>) -> Option<T> {
    one.into_iter().chain(other).reduce(|a, b| if a < b { b } else { a })
}

/// Returns the lesser of two; the other when one is absent.
fn lesser<T: PartialOrd>(one: Option<T>, other: Option<T>) -> Option<T> {
    one.into_iter().chain(other).reduce(|a, b| if b < a { b } else { a })
}

/// What somebody looked at and answered. `None` is not asked or not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Answers {
    /// The maker's mounting points are the ones used.
    pub maker_points_used: Option<bool>,
    /// Drilling, heat or routing is planned near a tank, a fuel line or a traction battery.
    pub near_fuel: Option<bool>,
    /// A rear guard, shield or tow eye is to come off.
    pub guard_removed: Option<bool>,
    /// A lamp, the plate, a sensor or a camera is hidden with the ball mount in.
    pub lamp_hidden: Option<bool>,
    /// Structural rust was found at the mounts.
    pub rust_at_mounts: Option<bool>,
    /// A recall that touches towing, brakes, tyres or frame is open.
    pub recall_open: Option<bool>,
    /// A captive nut broke loose in the frame.
    pub captive_nut_loose: Option<bool>,
    /// The chains are planned to hang on the ball mount or the bumper skin.
    pub chains_on_ball_mount: Option<bool>,
    /// The order asks to raise the vehicle's weight rating.
    pub raises_gvwr: Option<bool>,
    /// The label for added mass is part of the plan.
    pub mass_label_planned: Option<bool>,
    /// The alterer's own label is part of the plan.
    pub alterer_label_planned: Option<bool>,
    /// The work goes beyond readily attachable parts.
    pub beyond_readily_attachable: Option<bool>,
    /// The tyres were within 10 % of their placard pressure when heights were measured.
    pub pressure_at_placard: Option<bool>,
    /// The earths of the trailer's thirteen-pin plug are joined on the trailer.
    pub earths_joined: Option<bool>,
    /// The plate lamp is moved with the bumper or its bracket.
    pub plate_lamp_moved: Option<bool>,
    /// The moved plate lamp was wired again and tested.
    pub plate_lamp_tested: Option<bool>,
    /// The trailer's wiring is there already, or somebody else's job.
    pub wired_elsewhere: Option<bool>,
}

/// The tyres that the vehicle's entry names, where this unit carries others.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MakerTyres {
    /// The front designation of the entry.
    pub front: Option<String>,
    /// The rear designation of the entry.
    pub rear: Option<String>,
}

/// An earlier plan of a batch that carries the same vehicle identification number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Twin {
    /// The number of the earlier plan within its batch.
    pub seq: i64,
    /// Whether the two plans are the same but for their unit numbers.
    pub same: bool,
}

/// An upfit plan with every name resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Upfit {
    /// The shop's own unit number.
    pub unit: String,
    /// The vehicle identification number, as written.
    pub vin: Option<String>,
    /// The model year on the order, when it names one.
    pub model_year: Option<i32>,
    /// The vehicle.
    pub vehicle: Arc<Vehicle>,
    /// The receiver to be fitted.
    pub receiver: Option<Arc<Receiver>>,
    /// The receiver that comes off, when it is a swap.
    pub replaced_receiver: Option<Arc<Receiver>>,
    /// The ball mount.
    pub ball_mount: Option<Arc<BallMount>>,
    /// The ball.
    pub ball: Option<Arc<Ball>>,
    /// The trailer's coupler.
    pub coupler: Option<Arc<Coupler>>,
    /// The coupling in the bed, when the trailer hangs over the rear axle.
    pub bed_coupling: Option<Arc<BedCoupling>>,
    /// The trailer.
    pub trailer: Option<Arc<Trailer>>,
    /// An extension or adapter.
    pub extension: Option<Extension>,
    /// What the pin and clip are stamped, when somebody names them.
    pub pin: Option<LinkRating>,
    /// The trailer's mass as it will be loaded.
    pub trailer_mass: Option<Mass>,
    /// The tongue load.
    pub tongue: Option<TongueLoad>,
    /// What rides in and on the vehicle.
    pub items: Vec<LoadItem>,
    /// Mass already added to the vehicle by other shops since certification.
    pub mass_added_before: Option<Mass>,
    /// Mass of parts taken off for good.
    pub mass_removed: Option<Mass>,
    /// Where the vehicle stands in its life.
    pub sale: Option<SaleState>,
    /// The jurisdiction whose law applies, such as `US-TX` or `EU`.
    pub jurisdiction: Option<String>,
    /// How chains are counted there; absent means the strictest reading.
    pub chain_rule: Option<ChainRule>,
    /// Whether spring bars are planned.
    pub spring_bars: Option<bool>,
    /// Which share of the front axle's loss the bars are set to give back.
    pub restoration: Option<f64>,
    /// The mass of the whole train as the order states it.
    pub stated_train: Option<Mass>,
    /// The day the labels of this unit were read or photographed.
    pub label_seen_on: Option<Day>,
    /// What the entry said of the tyres, where this unit carries others.
    pub maker_tyres: MakerTyres,
    /// The shop's own row on trailer brakes for the jurisdiction.
    pub brake_law: Option<Arc<BrakeLaw>>,
    /// Whether a brake controller is fitted.
    pub brake_controller: Option<bool>,
    /// The socket on the vehicle.
    pub socket: Option<Socket>,
    /// Whether a converter between stop/turn systems is planned.
    pub converter: Option<bool>,
    /// The joints as they will really be made.
    pub joints: Vec<PlannedJoint>,
    /// The ground it must get over.
    pub terrains: Vec<Arc<Terrain>>,
    /// The off-road class it is registered in and must keep.
    pub off_road_class: Option<OffRoadClass>,
    /// The day the work is done.
    pub work_day: Option<Day>,
    /// The shop's own limits for this unit; those of the policy are already among them.
    pub limits: Limits,
    /// The circuits of the job, resolved; none means that wiring is no part of it.
    pub circuits: Vec<Arc<Circuit>>,
    /// What was answered to the checklist of routing, by the names of its questions.
    pub routing: Vec<(&'static str, bool)>,
    /// What was written down while the work was done; absent before there is work.
    pub work: Option<Box<WorkRecord>>,
    /// An earlier plan of the same batch with the same vehicle identification number; absent where nobody compared.
    pub twin: Option<Twin>,
    /// The shop's policy.
    pub policy: Option<Arc<Policy>>,
    /// What somebody looked at and answered.
    pub answers: Answers,
}

impl Upfit {
    /// Returns whether the trailer hangs over the rear axle, on a coupling in the bed.
    #[must_use]
    pub const fn hangs_in_bed(&self) -> bool {
        self.bed_coupling.is_some()
    }

    /// Returns whether the trailer hangs by the jaws of a fifth wheel.
    #[must_use]
    pub fn hangs_by_king_pin(&self) -> bool {
        self.bed_coupling.as_deref().is_some_and(|coupling| coupling.kind == Some(BedCouplingKind::FifthWheel))
    }

    /// Holds the plan against a policy: each of its limits applies unless the plan asks for a tighter one.
    #[must_use]
    pub fn under(mut self, policy: Option<Arc<Policy>>) -> Self {
        self.hold_against(policy);
        self
    }

    /// Holds the plan against a policy, like [`Self::under`].
    pub fn hold_against(&mut self, policy: Option<Arc<Policy>>) {
        if let Some(policy) = policy {
            self.limits = self.limits.tightest(&policy.limits);
            self.policy = Some(policy);
        }
    }
}
