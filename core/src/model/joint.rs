//! A joint as its maker specifies it.

use crate::units::Torque;

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
