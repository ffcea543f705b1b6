//! A joint as its maker specifies it.

use crate::units::{Force, Length, Stress, Torque};

/// How the maker tells to tighten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TighteningMethod {
    /// To a torque.
    Torque,
    /// To a torque and then through an angle. Such a specification is never scaled.
    TorqueAndAngle,
    /// Into yield. Such a specification is never scaled.
    TorqueToYield,
}

/// One group of like fasteners that holds a part, as its maker specifies it.
#[derive(Debug, Clone, PartialEq)]
pub struct JointSpec {
    /// Its name within the part: `frame-side`.
    pub id: String,
    /// How many bolts.
    pub count: Option<i32>,
    /// The bolt, `bolts/…`.
    pub bolt: Option<String>,
    /// The nut, `nuts/…`; absent for a tapped hole.
    pub nut: Option<String>,
    /// The washer, `washers/…`.
    pub washer: Option<String>,
    /// The condition the torque was specified for, `finishes/…`.
    pub finish: Option<String>,
    /// The specified torque, as printed.
    pub torque: Option<Torque>,
    /// How to tighten.
    pub method: Option<TighteningMethod>,
}

/// How a planned joint is built, and what loads its worst bolt.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct JointStack {
    /// Everything clamped between head and nut, washers left out.
    pub grip: Option<Length>,
    /// How many washers lie under head and nut together.
    pub washer_count: Option<i32>,
    /// The largest hole in the clamped parts.
    pub hole_diameter: Option<Length>,
    /// What the surface under the head or its washer bears before it creeps.
    pub head_limit: Option<Stress>,
    /// What the surface under the nut or its washer bears before it creeps.
    pub nut_limit: Option<Stress>,
    /// Thread in engagement, when it is not the nut's height.
    pub engagement: Option<Length>,
    /// Tensile strength of a tapped part.
    pub inner_tensile: Option<Stress>,
    /// From a hole's centre to the nearest edge.
    pub edge_distance: Option<Length>,
    /// Whether paint or the like lies between the parts.
    pub coated: Option<bool>,
    /// Load along the worst bolt.
    pub tension: Option<Force>,
    /// Load across the worst bolt.
    pub shear: Option<Force>,
    /// The share of a load along the bolt that the bolt takes.
    pub bolt_share: Option<f64>,
    /// The least friction between the parts.
    pub friction: Option<f64>,
    /// How many interfaces carry by friction.
    pub interfaces: Option<u32>,
    /// Thickness of the thinnest clamped part.
    pub plate_thickness: Option<Length>,
    /// Least tensile strength of that part.
    pub plate_tensile: Option<Stress>,
}
