//! A bolted joint by flags.

use baybook_proto::v1 as pb;
use clap::Args;

use super::{YesNo, words};
use crate::read;

/// Which flag fills which field of a joint.
pub const FLAGS: &[(&str, &str)] = &[
    ("bolt", "--bolt or --thread"),
    ("bolt.name", "--bolt"),
    ("bolt.thread", "--thread"),
    ("bolt.property_class", "--class"),
    ("bolt.head", "--head"),
    ("bolt.bearing_diameter_mm", "--bearing-diameter"),
    ("bolt.hole_diameter_mm", "--hole-diameter"),
    ("nut", "--nut"),
    ("washer", "--washer"),
    ("washer_turns", "--washer-turns"),
    ("condition", "--condition"),
    ("aim", "--specified, --proof-share, --yield-share or --preload"),
    ("specified_torque", "--specified"),
    ("specified_condition", "--specified-condition"),
    ("proof_share", "--proof-share"),
    ("yield_share", "--yield-share"),
    ("preload", "--preload"),
    ("method", "--method"),
    ("window_share", "--window"),
    ("wrench", "--wrench"),
    ("tapped_hole", "--tapped-hole"),
    ("prevailing_included", "--prevailing-included"),
    ("passes", "--passes"),
    ("adapter", "--adapter-offset and --adapter-angle"),
    ("adapter.lever_mm", "--adapter-lever"),
    ("adapter.offset_mm", "--adapter-offset"),
    ("adapter.angle_deg", "--adapter-angle"),
    ("bolt_count", "--bolt-count"),
    ("pattern", "--pattern"),
    ("grid", "--grid"),
    ("spots", "--at"),
    ("check_round_count", "--check-rounds"),
    ("applied_torque", "--applied"),
    ("reusable", "--reusable"),
];

/// The bolt, what it is screwed into, and the condition it is in.
#[derive(Debug, Args)]
#[command(next_help_heading = "The joint")]
pub struct JointArgs {
    /// The bolt, by its entry: bolts/m12-88-40
    #[arg(long, value_name = "NAME", required_unless_present = "thread", conflicts_with_all = ["thread", "class"])]
    pub bolt: Option<String>,

    /// The bolt's thread instead: M12, M12x1.25, "1/2-13 UNC"
    #[arg(long, value_name = "THREAD")]
    pub thread: Option<String>,

    /// The bolt's class or grade: 8.8, 10.9, "SAE 5", A2-70; leave it out when the head carries no readable mark
    #[arg(long, value_name = "CLASS", requires = "thread")]
    pub class: Option<String>,

    /// The bolt's head
    #[arg(long, value_name = "HEAD", requires = "thread")]
    pub head: Option<Head>,

    /// Outer diameter of the face that turns, when it is not the usual hexagon: "28 mm"
    #[arg(long, value_name = "LENGTH", requires = "thread", value_parser = read::length_mm)]
    pub bearing_diameter: Option<f64>,

    /// The hole, when it is not the usual clearance hole: "15.5 mm"
    #[arg(long, value_name = "LENGTH", requires = "thread", value_parser = read::length_mm)]
    pub hole_diameter: Option<f64>,

    /// The nut, by its entry: nuts/m12-8
    #[arg(long, value_name = "NAME")]
    pub nut: Option<String>,

    /// Whether the bolt is screwed into the part itself, without a nut
    #[arg(long, value_name = "ANSWER", conflicts_with = "nut")]
    pub tapped_hole: Option<YesNo>,

    /// The washer under the part that turns, by its entry: washers/m12-300
    #[arg(long, value_name = "NAME")]
    pub washer: Option<String>,

    /// Whether the washer turns along
    #[arg(long, value_name = "ANSWER", requires = "washer")]
    pub washer_turns: Option<YesNo>,

    /// The condition the joint is really in: finishes/oiled, or low/likely/high nut factors, K=0.12/0.15/0.18, or
    /// frictions of threads and face, MU=0.10/0.12/0.14 or MU=0.10/0.12/0.14,0.08/0.10/0.12
    #[arg(long, value_name = "FINISH", value_parser = read::finish)]
    pub condition: pb::FinishRef,
}

/// The wrench, and what is on it.
#[derive(Debug, Args)]
#[command(next_help_heading = "The wrench")]
pub struct WrenchArgs {
    /// The wrench, whose range and accuracy are then minded: wrenches/click-200
    #[arg(long, value_name = "NAME")]
    wrench: Option<String>,

    /// A crowfoot's length, drive centre to fastener centre: "50 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    adapter_offset: Option<f64>,

    /// The crowfoot's angle: "0 deg" straight ahead, "90 deg" square, "180 deg" backwards
    #[arg(long, value_name = "ANGLE", value_parser = read::angle_deg)]
    adapter_angle: Option<f64>,

    /// The wrench's lever, drive centre to grip, when its entry does not say
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    adapter_lever: Option<f64>,
}

impl WrenchArgs {
    /// Returns the wrench, when one is named.
    pub fn wrench(&self) -> Option<pb::WrenchRef> {
        let name = self.wrench.clone()?;
        Some(pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name)) })
    }

    /// Returns the adapter, when anything is said of one.
    pub fn adapter(&self) -> Option<pb::Adapter> {
        let Self { adapter_lever: lever_mm, adapter_offset: offset_mm, adapter_angle: angle_deg, .. } = *self;
        let adapted = lever_mm.is_some() || offset_mm.is_some() || angle_deg.is_some();
        adapted.then_some(pb::Adapter { lever_mm, offset_mm, angle_deg })
    }
}

words! {
    /// The shape of a head.
    pub Head for pb::HeadKind {
        /// Hexagon
        Hex,
        /// Hexagon with a flange
        HexFlange,
        /// Socket head cap
        Socket,
        /// Carriage or plough head that does not turn
        Carriage,
        /// A stud, without a head
        Stud,
    }
}

impl JointArgs {
    /// Returns the bolt, by name or as given.
    pub fn bolt(&self) -> pb::BoltRef {
        let bolt = match &self.bolt {
            Some(name) => pb::bolt_ref::Bolt::Name(name.clone()),
            None => pb::bolt_ref::Bolt::Spec(Box::new(pb::Bolt {
                thread: self.thread.clone().unwrap_or_default(),
                property_class: self.class.clone().unwrap_or_default(),
                head: self.head.map_or(pb::HeadKind::Unspecified, pb::HeadKind::from).into(),
                bearing_diameter_mm: self.bearing_diameter,
                hole_diameter_mm: self.hole_diameter,
                ..pb::Bolt::default()
            })),
        };
        pb::BoltRef { bolt: Some(bolt) }
    }

    /// Returns the nut, when one is named.
    pub fn nut(&self) -> Option<pb::NutRef> {
        let name = self.nut.clone()?;
        Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(name)) })
    }

    /// Returns the washer, when one is named.
    pub fn washer(&self) -> Option<pb::WasherRef> {
        let name = self.washer.clone()?;
        Some(pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(name)) })
    }
}
