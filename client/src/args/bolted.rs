//! A bolted joint with its parts, its tightening and its loads, by flags or from a file.

use std::path::PathBuf;

use baybook_proto::v1 as pb;
use clap::Args;

use super::{YesNo, joint::Head};
use crate::{entry_file, fail::Stop, read};

mod flags;
mod question;
mod words;

pub use flags::FLAGS;

use words::{Axis, Check, Factors, Plane, Roughness, Rule, Side, Slip, Stiffness, Way};

const QUESTION: entry_file::Wanted = entry_file::Wanted {
    allowed: r#"the joint's question as a JSON object, such as {"bolt": {"name": "bolts/m12-88-40"}}"#,
    next: "correct the line, or give the joint by flags: --bolt NAME, or --thread and --class",
};

/// The joint: flags, or a file.
#[derive(Debug, Args)]
pub struct BoltedArgs {
    /// The whole question as JSON, as on the wire; - reads standard input
    #[arg(long, value_name = "FILE", conflicts_with = "BoltedFlags", required_unless_present_any = ["bolt", "thread"])]
    request: Option<PathBuf>,

    #[command(flatten)]
    flags: BoltedFlags,
}

impl BoltedArgs {
    /// Returns the question.
    pub fn request(self) -> Result<pb::AssessJointRequest, Stop> {
        match self.request {
            Some(file) => entry_file::message(&file, &QUESTION),
            None => Ok(self.flags.request()),
        }
    }
}

#[derive(Debug, Args)]
#[group(id = "BoltedFlags", multiple = true)]
struct BoltedFlags {
    /// The bolt, by its entry: bolts/m12-88-40
    #[arg(long, value_name = "NAME", conflicts_with_all = ["thread", "class"], help_heading = "The parts")]
    bolt: Option<String>,

    /// The bolt's thread instead: M12, M12x1.25, "1/2-13 UNC"
    #[arg(long, value_name = "THREAD", help_heading = "The parts")]
    thread: Option<String>,

    /// The bolt's class or grade: 8.8, 10.9, "SAE 5"
    #[arg(long, value_name = "CLASS", requires = "thread", help_heading = "The parts")]
    class: Option<String>,

    /// The bolt's head
    #[arg(long, value_name = "HEAD", requires = "thread", help_heading = "The parts")]
    head: Option<Head>,

    /// The bolt's length under the head: "50 mm"
    #[arg(long, value_name = "LENGTH", requires = "thread", value_parser = read::length_mm, help_heading = "The parts")]
    length: Option<f64>,

    /// Outer diameter of the head's face, when it is not the usual hexagon: "28 mm"
    #[arg(long, value_name = "LENGTH", requires = "thread", value_parser = read::length_mm, help_heading = "The parts")]
    bearing_diameter: Option<f64>,

    /// The nut, by its entry: nuts/m12-8
    #[arg(long, value_name = "NAME", help_heading = "The parts")]
    nut: Option<String>,

    /// Whether the bolt is screwed into the part itself, without a nut
    #[arg(long, value_name = "ANSWER", conflicts_with = "nut", help_heading = "The parts")]
    tapped_hole: Option<YesNo>,

    /// The washer under the head, by its entry: washers/m12-300
    #[arg(long, value_name = "NAME", help_heading = "The parts")]
    head_washer: Option<String>,

    /// The washer under the nut, by its entry
    #[arg(long, value_name = "NAME", help_heading = "The parts")]
    nut_washer: Option<String>,

    /// What the washers bear before they creep: "900 MPa"
    #[arg(long, value_name = "STRESS", value_parser = read::stress_mpa, help_heading = "The parts")]
    washer_limit: Option<f64>,

    /// A clamped part, once for each from head to nut: "frame rail: 5 mm, hole=13.5 mm, material=s355, rm=470 MPa,
    /// e=205 GPa, end=25 mm, side=25 mm, next=40 mm, strip=60 mm/1"; leave out what is not known
    #[arg(long, value_name = "PART", value_parser = read::parts::plate, help_heading = "The parts")]
    plate: Vec<pb::ClampedPlate>,

    /// The torque it is tightened to: "79 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque, conflicts_with = "preload",
          help_heading = "The tightening")]
    torque: Option<pb::Torque>,

    /// Or the preload: "40 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force, help_heading = "The tightening")]
    preload: Option<pb::Force>,

    /// The condition the joint is really in: finishes/oiled, or K=0.12/0.15/0.18
    #[arg(long, value_name = "FINISH", value_parser = read::finish, help_heading = "The tightening")]
    condition: Option<pb::FinishRef>,

    /// The window around the torque, to either side: "10 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "The tightening")]
    window: Option<f64>,

    /// The wrench, whose accuracy is then minded: wrenches/click-200
    #[arg(long, value_name = "NAME", help_heading = "The tightening")]
    wrench: Option<String>,

    /// Whether the washer turns along
    #[arg(long, value_name = "ANSWER", help_heading = "The tightening")]
    washer_turns: Option<YesNo>,

    /// The way of tightening, whose scatter is then minded
    #[arg(long, value_name = "WAY", help_heading = "The tightening")]
    way: Option<Way>,

    /// Load along the worst bolt: "8 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force, help_heading = "The load")]
    tension: Option<pb::Force>,

    /// Load across the worst bolt: "1 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force, help_heading = "The load")]
    shear: Option<pb::Force>,

    /// Or the static test forces of a hitch for this rated trailer mass: "5,000 lb"
    #[arg(long, value_name = "MASS", value_parser = read::mass, help_heading = "The load",
          conflicts_with_all = ["tension", "shear", "trailer_mass", "force"])]
    test_rating: Option<pb::Mass>,

    /// Or a trailer on the road: "2000 kg"
    #[arg(long, value_name = "MASS", value_parser = read::mass, help_heading = "The load",
          conflicts_with_all = ["tension", "shear", "force"])]
    trailer_mass: Option<pb::Mass>,

    /// Its tongue load, standing: "200 kg"
    #[arg(long, value_name = "MASS", value_parser = read::mass, requires = "trailer_mass", help_heading = "The load")]
    tongue: Option<pb::Mass>,

    /// Pulling and braking as a multiple of the trailer's weight: 0.8
    #[arg(long, value_name = "G", requires = "trailer_mass", help_heading = "The load")]
    lengthwise: Option<f64>,

    /// Swaying as a multiple of the trailer's weight: 0.3
    #[arg(long, value_name = "G", requires = "trailer_mass", help_heading = "The load")]
    crosswise: Option<f64>,

    /// Bouncing on top of the tongue load, as a multiple of it: 1.5
    #[arg(long, value_name = "TIMES", requires = "trailer_mass", help_heading = "The load")]
    bounce: Option<f64>,

    /// Or one force on the ball, rearward, right, up: "12 kN, 0 kN, -3 kN"
    #[arg(long, value_name = "FORCES", value_parser = read::parts::hitch_force,
          conflicts_with_all = ["tension", "shear"], help_heading = "The load")]
    force: Option<pb::HitchForce>,

    /// A bolt of the bracket, once for each; rearward, right, up from any one origin: "160 mm, -430 mm, 10 mm"
    #[arg(long, value_name = "PLACE", value_parser = read::parts::place,
          help_heading = "The bracket")]
    bolt_at: Vec<pb::BracketPlace>,

    /// Which way the bolts point
    #[arg(long, value_name = "AXIS", help_heading = "The bracket")]
    axis: Option<Axis>,

    /// On which side of the frame the bracket lies
    #[arg(long, value_name = "SIDE", help_heading = "The bracket")]
    side: Option<Side>,

    /// The centre of the ball, from the same origin
    #[arg(long, value_name = "PLACE", value_parser = read::parts::place,
          help_heading = "The bracket")]
    ball_at: Option<pb::BracketPlace>,

    /// The share of the load that this bracket takes: "50 %" for each of two like side plates
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "The bracket")]
    taken: Option<f64>,

    /// One corner of the plate's contact with the frame; without it no gap opens
    #[arg(long, value_name = "PLACE", value_parser = read::parts::place,
          help_heading = "The bracket")]
    contact_least: Option<pb::BracketPlace>,

    /// The opposite corner
    #[arg(long, value_name = "PLACE", value_parser = read::parts::place,
          help_heading = "The bracket")]
    contact_most: Option<pb::BracketPlace>,

    /// How the load share is worked out
    #[arg(long, value_name = "METHOD", conflicts_with = "bolt_share", help_heading = "What gives and what slides")]
    stiffness: Option<Stiffness>,

    /// Or the share of the load that the bolt takes: "20 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "What gives and what slides")]
    bolt_share: Option<f64>,

    /// How much of the grip is thread: "15 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = "What gives and what slides")]
    threaded: Option<f64>,

    /// Modulus of bolt and washers: "205 GPa"
    #[arg(long, value_name = "STRESS", value_parser = read::stress_mpa, help_heading = "What gives and what slides")]
    bolt_modulus: Option<f64>,

    /// How wide the parts are around the bolt, for the cone: "60 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = "What gives and what slides")]
    parts_diameter: Option<f64>,

    /// Load introduction factor n, for the cone: 0.5
    #[arg(long, value_name = "N", help_heading = "What gives and what slides")]
    introduction: Option<f64>,

    /// How rough the surfaces are
    #[arg(long, value_name = "RZ", help_heading = "What gives and what slides")]
    roughness: Option<Roughness>,

    /// Whether the joint is mainly loaded across the bolts
    #[arg(long, value_name = "ANSWER", help_heading = "What gives and what slides")]
    mainly_across: Option<YesNo>,

    /// Whether paint, powder coat, primer or rubber lies between the parts
    #[arg(long, value_name = "ANSWER", help_heading = "What gives and what slides")]
    coated: Option<YesNo>,

    /// The least friction between the parts: 0.15
    #[arg(long, value_name = "MU", help_heading = "What gives and what slides")]
    friction: Option<f64>,

    /// How many interfaces carry by friction
    #[arg(long, value_name = "COUNT", help_heading = "What gives and what slides")]
    interfaces: Option<i32>,

    /// Whether the load across changes its direction
    #[arg(long, value_name = "ANSWER", help_heading = "What gives and what slides")]
    alternating: Option<YesNo>,

    /// By which rule slip is judged; without it by that of machine design
    #[arg(long, value_name = "RULE", help_heading = "What gives and what slides")]
    slip_rule: Option<Slip>,

    /// Hole factor of a steelwork rule: 1 for standard holes
    #[arg(long, value_name = "FACTOR", requires = "slip_rule", help_heading = "What gives and what slides")]
    hole_factor: Option<f64>,

    /// Mean over least pretension, Du of the American rule: 1.13
    #[arg(long, value_name = "FACTOR", requires = "slip_rule", help_heading = "What gives and what slides")]
    du: Option<f64>,

    /// The least pretension that the American rule counts on: "125 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force, requires = "slip_rule",
          help_heading = "What gives and what slides")]
    pretension: Option<pb::Force>,

    /// What heat takes off the preload at the worst temperature: "1.2 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force, help_heading = "What gives and what slides")]
    thermal_loss: Option<pb::Force>,

    /// Where the shear plane cuts the bolt
    #[arg(long, value_name = "PLANE", help_heading = "What is borne")]
    shear_plane: Option<Plane>,

    /// By which rule tension and shear are put together
    #[arg(long, value_name = "RULE", help_heading = "What is borne")]
    combined_rule: Option<Rule>,

    /// Thread in engagement, when it is not the nut's height: "10 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = "What is borne")]
    engagement: Option<f64>,

    /// Tensile strength of the tapped part, when no nut's class tells it: "410 MPa"
    #[arg(long, value_name = "STRESS", value_parser = read::stress_mpa, help_heading = "What is borne")]
    inner_strength: Option<f64>,

    /// Shear strength over tensile strength of the threads: "60 %" for steel
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "What is borne")]
    thread_shear: Option<f64>,

    /// Which factors are put on the threads' shear areas
    #[arg(long, value_name = "FACTORS", help_heading = "What is borne")]
    strip_factors: Option<Factors>,

    /// A plate that pries: "length=80 mm, thickness=10 mm, yield=355 MPa, web=30 mm, edge=35 mm, bolts=2"
    #[arg(long, value_name = "PLATE", value_parser = read::parts::prying, help_heading = "What is borne")]
    prying: Option<pb::JointPrying>,

    /// Whether the thread was rolled after heat treatment
    #[arg(long, value_name = "ANSWER", help_heading = "What is borne")]
    rolled_after: Option<YesNo>,

    /// The least load as a share of the greatest, for a load that comes and goes: "0 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "What is borne")]
    least_load: Option<f64>,

    /// What does not apply to this joint, on your word; the answer says so
    #[arg(long, value_name = "CHECK", value_delimiter = ',', help_heading = "What is borne")]
    leave_out: Vec<Check>,
}
