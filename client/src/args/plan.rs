//! An upfit plan by flags, or from a file.

use std::path::PathBuf;

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use super::YesNo;
use crate::{entry_file, fail::Stop, read};

/// Which flag fills which field of a request that carries a plan.
pub const FLAGS: &[(&str, &str)] = &[
    ("plan", "--plan or the plan's flags"),
    ("plan.vehicle", "--vehicle"),
    ("plan.receiver", "--receiver"),
    ("plan.replaced_receiver", "--replaced-receiver"),
    ("plan.ball_mount", "--ball-mount"),
    ("plan.ball", "--ball"),
    ("plan.coupler", "--coupler"),
    ("plan.bed_coupling", "--bed-coupling"),
    ("plan.trailer", "--trailer"),
    ("plan.trailer_mass", "--trailer-mass"),
    ("plan.tongue", "--tongue"),
    ("plan.tongue_load", "--tongue"),
    ("plan.tongue_share", "--tongue"),
    ("plan.items", "--item or --added"),
    ("plan.mass_added_before_kg", "--mass-added-before"),
    ("plan.mass_removed_kg", "--mass-removed"),
    ("plan.sale_state", "--sale-state"),
    ("plan.jurisdiction", "--jurisdiction"),
    ("plan.spring_bars", "--spring-bars"),
    ("tape_uncertainty_mm", "--tape-uncertainty"),
    ("spring_bars", "--restoration, --couple, --bar-pull, --front-weighed or --front-arch"),
    ("spring_bars.restoration_share", "--restoration"),
    ("spring_bars.couple_n_m", "--couple"),
    ("spring_bars.bar_pull", "--bar-pull"),
    ("spring_bars.bar_length_mm", "--bar-length"),
    ("spring_bars.weighings", "--front-weighed"),
    ("spring_bars.arch_heights", "--front-arch"),
    ("tilt", "--tilt with --level, --tilted-rear and --hub-height"),
    ("tilt.tilt_deg", "--tilt"),
    ("tilt.front_level_kg", "--level"),
    ("tilt.rear_level_kg", "--level"),
    ("tilt.rear_tilted_kg", "--tilted-rear"),
    ("tilt.loaded_radius_mm", "--hub-height"),
];

/// The plan: flags, or a file.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// The plan as JSON, as on the wire; - reads standard input
    #[arg(long, value_name = "FILE", conflicts_with = "PlanFlags", required_unless_present = "vehicle")]
    plan: Option<PathBuf>,

    #[command(flatten)]
    flags: PlanFlags,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "The plan")]
#[group(id = "PlanFlags", multiple = true)]
struct PlanFlags {
    /// The vehicle, by its entry: vehicles/van-l35
    #[arg(long, value_name = "NAME")]
    vehicle: Option<String>,

    /// The receiver to be fitted: receivers/van-tuck
    #[arg(long, value_name = "NAME")]
    receiver: Option<String>,

    /// The receiver that comes off, when it is a swap
    #[arg(long, value_name = "NAME")]
    replaced_receiver: Option<String>,

    /// The ball mount: ballmounts/two-in-drop-4
    #[arg(long, value_name = "NAME")]
    ball_mount: Option<String>,

    /// The ball: balls/two-in-6000
    #[arg(long, value_name = "NAME")]
    ball: Option<String>,

    /// The coupler, when it is not the one that the trailer's entry names
    #[arg(long, value_name = "NAME")]
    coupler: Option<String>,

    /// The fifth wheel or gooseneck ball in the bed, instead of ball mount and ball: bedcouplings/fifth-wheel-9t
    #[arg(long, value_name = "NAME")]
    bed_coupling: Option<String>,

    /// The trailer: trailers/flatbed-2t
    #[arg(long, value_name = "NAME")]
    trailer: Option<String>,

    /// The trailer's mass as it will be loaded: "2000 kg", "4,400 lb"
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    trailer_mass: Option<pb::Mass>,

    /// The tongue load, as weighed or as a share of the trailer's mass: "210 kg", "10.5 %"
    #[arg(long, value_name = "MASS|SHARE", value_parser = read::tongue)]
    tongue: Option<pb::upfit_plan::Tongue>,

    /// What rides along, how much, and how far behind the front axle: "cargo=400 kg@3300 mm"; may be repeated
    #[arg(long = "item", value_name = "WHAT=MASS@STATION", value_parser = read::item)]
    items: Vec<pb::LoadItem>,

    /// The same for what the shop adds for good: "racking=120 kg@2500 mm"; may be repeated
    #[arg(long, value_name = "WHAT=MASS@STATION", value_parser = read::item)]
    added: Vec<pb::LoadItem>,

    /// Mass that other shops have added since certification
    #[arg(long, value_name = "MASS", value_parser = read::mass_kg)]
    mass_added_before: Option<f64>,

    /// Mass of parts taken off for good
    #[arg(long, value_name = "MASS", value_parser = read::mass_kg)]
    mass_removed: Option<f64>,

    /// Where the vehicle stands in its life
    #[arg(long, value_name = "STATE")]
    sale_state: Option<SaleState>,

    /// Whose law applies: US-TX, EU
    #[arg(long, value_name = "PLACE")]
    jurisdiction: Option<String>,

    /// Whether spring bars are planned
    #[arg(long, value_name = "ANSWER")]
    spring_bars: Option<YesNo>,
}

/// Where a vehicle stands in its life.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum SaleState {
    /// Not yet sold to its first user
    BeforeFirstSale,
    /// In use
    InUse,
}

impl PlanArgs {
    /// Returns the plan.
    pub fn plan(self) -> Result<pb::UpfitPlan, Stop> {
        match &self.plan {
            Some(file) => entry_file::message(file, &entry_file::PLAN),
            None => Ok(self.flags.plan()),
        }
    }
}

impl PlanFlags {
    fn plan(self) -> pb::UpfitPlan {
        let added = self.added.into_iter().map(|item| pb::LoadItem { permanent: true, ..item });
        let receiver = |name| pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name(name)) };
        pb::UpfitPlan {
            vehicle: self.vehicle.map(|name| pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name(name)) }),
            receiver: self.receiver.map(receiver),
            replaced_receiver: self.replaced_receiver.map(receiver),
            ball_mount: self
                .ball_mount
                .map(|name| pb::BallMountRef { ball_mount: Some(pb::ball_mount_ref::BallMount::Name(name)) }),
            ball: self.ball.map(|name| pb::BallRef { ball: Some(pb::ball_ref::Ball::Name(name)) }),
            coupler: self.coupler.map(|name| pb::CouplerRef { coupler: Some(pb::coupler_ref::Coupler::Name(name)) }),
            bed_coupling: self
                .bed_coupling
                .map(|name| pb::BedCouplingRef { bed_coupling: Some(pb::bed_coupling_ref::BedCoupling::Name(name)) }),
            trailer: self.trailer.map(|name| pb::TrailerRef { trailer: Some(pb::trailer_ref::Trailer::Name(name)) }),
            trailer_mass: self.trailer_mass,
            tongue: self.tongue,
            items: self.items.into_iter().chain(added).collect(),
            mass_added_before_kg: self.mass_added_before,
            mass_removed_kg: self.mass_removed,
            sale_state: match self.sale_state {
                None => pb::SaleState::Unspecified,
                Some(SaleState::BeforeFirstSale) => pb::SaleState::BeforeFirstSale,
                Some(SaleState::InUse) => pb::SaleState::InUse,
            }
            .into(),
            jurisdiction: self.jurisdiction.unwrap_or_default(),
            spring_bars: self.spring_bars.map(bool::from),
            ..pb::UpfitPlan::default()
        }
    }
}
