//! Everything a thread designation stands for: geometry, areas, holes, loads.

use super::torque::BoltLoads;
use crate::{
    model::{fastener::BoltClass, thread::Thread},
    units::{Angle, Area, Force, Length, Stress},
};

/// The holes a bolt passes through.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Holes {
    /// Fine (close) series.
    pub fine: Option<Length>,
    /// Medium (normal) series.
    pub medium: Option<Length>,
    /// Coarse (loose) series.
    pub coarse: Option<Length>,
}

/// What a bolt of one class bears in this thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassLoads {
    /// The class or grade.
    pub class: BoltClass,
    /// Least yield stress.
    pub yield_min: Stress,
    /// Least tensile strength.
    pub tensile_min: Stress,
    /// Proof stress, when one is published for the class.
    pub proof: Option<Stress>,
    /// The loads on the stress area.
    pub loads: BoltLoads,
    /// The usual target of a joint that is opened again: 0.75 of proof.
    pub reusable_preload: Option<Force>,
}

/// Everything a thread designation stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadSheet {
    /// The thread as read.
    pub thread: Thread,
    /// Pitch diameter.
    pub pitch_diameter: Length,
    /// Minor diameter of the external thread, at the rounded root.
    pub minor_diameter: Length,
    /// Minor diameter of the internal thread, which is about the tapping drill.
    pub internal_minor_diameter: Length,
    /// The diameter of the stress area.
    pub stress_diameter: Length,
    /// Tensile stress area.
    pub stress_area: Area,
    /// Area at the external minor diameter.
    pub minor_area: Area,
    /// Lead angle at the pitch diameter.
    pub lead_angle: Angle,
    /// Outer diameter of a hexagon's bearing face, when tabled.
    pub bearing_diameter: Option<Length>,
    /// Clearance holes, as far as tabled.
    pub holes: Holes,
    /// Greatest height of a regular nut, when tabled.
    pub nut_height: Option<Length>,
    /// What a bolt of the asked class bears, when a class was asked.
    pub class: Option<ClassLoads>,
}
