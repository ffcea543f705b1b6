//! Words of the flags, and what they are on the wire.

use baybook_proto::v1 as pb;

use crate::args::words;

words! {
    /// A way of tightening, by how far preload scatters.
    pub(super) Way for pb::JointTighteningWay {
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
}

words! {
    /// Which way bolts point.
    pub(super) Axis for pb::BoltAxis {
        /// Along the vehicle: through a cross member
        Lengthwise,
        /// Across it: through the web of a frame rail
        Crosswise,
        /// Upright: through the flange of a rail or the floor
        Upright,
    }
}

words! {
    /// On which side of the frame a bracket lies.
    pub(super) Side for pb::FrameSide {
        /// Towards the rear, the right, or the top
        RearRightTop,
        /// Towards the front, the left, or the ground
        FrontLeftGround,
    }
}

words! {
    /// How stiffness is worked out.
    pub(super) Stiffness for pb::StiffnessMethod {
        /// Shank and thread in the grip, frusta of 30 degrees
        Frustum,
        /// VDI 2230: head, nut and engaged thread give as well; its own cone
        Cone,
    }
}

words! {
    /// How rough surfaces are.
    pub(super) Roughness for pb::SurfaceRoughness {
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
}

words! {
    /// Where a shear plane cuts a bolt.
    pub(super) Plane for pb::ShearPlane {
        /// Through the thread
        Thread,
        /// Through the plain body
        Body,
    }
}

words! {
    /// A rule for tension and shear together.
    pub(super) Rule for pb::CombinedRule {
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
        /// AISC 360
        Aisc,
    }
}

words! {
    /// By which rule slip is judged.
    pub(super) Slip for pb::SlipRule {
        /// VDI 2230: the clamp that is left, times friction, over a safety
        Vdi,
        /// EN 1993-1-8: the design preload of 8.8 or 10.9
        #[value(name = "ec3")]
        Ec3,
        /// AISC 360: a pretension
        Aisc,
    }
}

words! {
    /// Which factors are put on threads' shear areas.
    pub(super) Factors for pb::StripFactors {
        /// None
        None,
        /// Those for a widening nut and for bending threads
        WideningAndBending,
    }
}

words! {
    /// A part of the assessment.
    pub(super) Check for pb::JointCheck {
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
}
