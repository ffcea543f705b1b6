//! Words of the flags, and what they are on the wire.

use baybook_proto::v1 as pb;
use clap::ValueEnum;

/// A way of tightening, by how far preload scatters.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Way {
    /// Elongation measured by ultrasound
    Ultrasonic,
    /// Into yield
    YieldControlled,
    /// Through an angle
    AngleControlled,
    /// Pulled by hydraulics
    HydraulicTension,
    /// Torque wrench, the torque found by trial on the very joint
    TorqueByTrial,
    /// Torque wrench, the torque from estimated friction
    TorqueByEstimate,
    /// Precision power screwdriver
    PowerScrewdriver,
    /// Impact wrench without control
    Impact,
}

impl From<Way> for pb::JointTighteningWay {
    fn from(word: Way) -> Self {
        match word {
            Way::Ultrasonic => Self::Ultrasonic,
            Way::YieldControlled => Self::YieldControlled,
            Way::AngleControlled => Self::AngleControlled,
            Way::HydraulicTension => Self::HydraulicTension,
            Way::TorqueByTrial => Self::TorqueByTrial,
            Way::TorqueByEstimate => Self::TorqueByEstimate,
            Way::PowerScrewdriver => Self::PowerScrewdriver,
            Way::Impact => Self::Impact,
        }
    }
}

/// Which way bolts point.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Axis {
    /// Along the vehicle: through a cross member
    Lengthwise,
    /// Across it: through the web of a frame rail
    Crosswise,
    /// Upright: through the flange of a rail or the floor
    Upright,
}

impl From<Axis> for pb::BoltAxis {
    fn from(word: Axis) -> Self {
        match word {
            Axis::Lengthwise => Self::Lengthwise,
            Axis::Crosswise => Self::Crosswise,
            Axis::Upright => Self::Upright,
        }
    }
}

/// On which side of the frame a bracket lies.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Side {
    /// Towards the rear, the right, or the top
    RearRightTop,
    /// Towards the front, the left, or the ground
    FrontLeftGround,
}

impl From<Side> for pb::FrameSide {
    fn from(word: Side) -> Self {
        match word {
            Side::RearRightTop => Self::RearRightTop,
            Side::FrontLeftGround => Self::FrontLeftGround,
        }
    }
}

/// How stiffness is worked out.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Stiffness {
    /// Shank and thread in the grip, frusta of 30 degrees
    Frustum,
    /// VDI 2230: head, nut and engaged thread give as well; its own cone
    Cone,
}

impl From<Stiffness> for pb::StiffnessMethod {
    fn from(word: Stiffness) -> Self {
        match word {
            Stiffness::Frustum => Self::Frustum,
            Stiffness::Cone => Self::Cone,
        }
    }
}

/// How rough surfaces are.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Roughness {
    /// Rz below 10 micrometres
    #[value(name = "below-10")]
    Below10,
    /// Rz 10 to 40 micrometres
    #[value(name = "10-to-40")]
    To40,
    /// Rz 40 to 160 micrometres
    #[value(name = "40-to-160")]
    To160,
}

impl From<Roughness> for pb::SurfaceRoughness {
    fn from(word: Roughness) -> Self {
        match word {
            Roughness::Below10 => Self::Below10,
            Roughness::To40 => Self::To40,
            Roughness::To160 => Self::To160,
        }
    }
}

/// Where a shear plane cuts a bolt.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Plane {
    /// Through the thread
    Thread,
    /// Through the plain body
    Body,
}

impl From<Plane> for pb::ShearPlane {
    fn from(word: Plane) -> Self {
        match word {
            Plane::Thread => Self::Thread,
            Plane::Body => Self::Body,
        }
    }
}

/// A rule for tension and shear together.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Rule {
    /// EN 1993-1-8
    #[value(name = "ec3")]
    Ec3,
    /// NASA-STD-5020, the body in the plane
    NasaBody,
    /// NASA-STD-5020, the thread in the plane
    NasaThread,
    /// NASA RP-1228, cautious
    #[value(name = "rp-1228-cautious")]
    Rp1228Cautious,
    /// NASA RP-1228, bold
    #[value(name = "rp-1228-bold")]
    Rp1228Bold,
}

impl From<Rule> for pb::CombinedRule {
    fn from(word: Rule) -> Self {
        match word {
            Rule::Ec3 => Self::Ec3,
            Rule::NasaBody => Self::NasaBody,
            Rule::NasaThread => Self::NasaThread,
            Rule::Rp1228Cautious => Self::Rp1228Cautious,
            Rule::Rp1228Bold => Self::Rp1228Bold,
        }
    }
}

/// Which factors are put on threads' shear areas.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Factors {
    /// None
    None,
    /// Those for a widening nut and for bending threads
    WideningAndBending,
}

impl From<Factors> for pb::StripFactors {
    fn from(word: Factors) -> Self {
        match word {
            Factors::None => Self::None,
            Factors::WideningAndBending => Self::WideningAndBending,
        }
    }
}

/// A part of the assessment.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Check {
    /// Slip between the parts
    Slip,
    /// Settling of the surfaces
    Embedding,
    /// Pressure under heads, nuts and washers
    Pressure,
    /// Bearing, tear-out and net section of the parts
    Plates,
    /// Net section alone
    NetSection,
    /// Shear and tension of the bolt by steelwork rules
    BoltStrength,
    /// Stripping and engagement
    Thread,
    /// The bolt's length
    Length,
    /// Prying
    Prying,
    /// Fatigue
    Fatigue,
}

impl From<Check> for pb::JointCheck {
    fn from(word: Check) -> Self {
        match word {
            Check::Slip => Self::Slip,
            Check::Embedding => Self::Embedding,
            Check::Pressure => Self::Pressure,
            Check::Plates => Self::Plates,
            Check::NetSection => Self::NetSection,
            Check::BoltStrength => Self::BoltStrength,
            Check::Thread => Self::Thread,
            Check::Length => Self::Length,
            Check::Prying => Self::Prying,
            Check::Fatigue => Self::Fatigue,
        }
    }
}
