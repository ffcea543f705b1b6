//! Whether a bolted joint of a receiver, a bracket or a ball mount holds, item by item, the governing one first.
//!
//! Every method can be used alone; [`assess_joint`] runs all of them on one joint. What nobody says is reported as
//! unknown and never counted as holding.

pub mod assembly;
pub mod assess;
pub mod fatigue;
pub mod grip;
pub mod group;
pub mod hitch;
pub mod item;
pub mod load_share;
pub mod pressure;
pub mod prying;
pub mod resistance;
pub mod settle;
pub mod sheet;
pub mod slip;
pub mod stiffness;
pub mod strip;
pub mod tilting;

pub use assess::assess_joint;
pub use item::{Item, ItemKind, JointReport, Unknown};

use crate::{
    model::{fastener::BoltClass, fastener::HeadKind, thread::Thread},
    range::Range,
    units::{Force, Length, Stress},
};

/// Preload: a joint without any is not one that this assessment holds for.
pub const PRELOAD: Range = Range::new("preload_n", "N", 1.0, 5.0e6);
/// The least load as a share of the greatest, for a load that comes and goes; nought when it goes away altogether. A load
/// that changes its direction pulls from nought, since the parts take the push.
pub const LEAST_SHARE: Range = Range::new("least_share", "", 0.0, 1.0);

/// What somebody said about a part of the joint.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Said<T> {
    /// Nobody said; the item stays unknown.
    #[default]
    Nothing,
    /// Somebody said that it does not apply; the item is left out.
    NotThere,
    /// This.
    Given(T),
}

/// What loads the bolts.
#[derive(Debug, Clone, PartialEq)]
pub enum JointLoad {
    /// Known for the worst bolt.
    PerBolt {
        /// Along it.
        tension: Force,
        /// Across it.
        shear: Force,
    },
    /// From the hitch, through the bracket.
    Hitch {
        /// What the hitch bears.
        loads: hitch::HitchLoads,
        /// The bracket.
        bracket: hitch::Bracket,
    },
}

/// How the share of an outside load that the bolt takes is found.
#[derive(Debug, Clone, PartialEq)]
pub enum Share {
    /// Given; embedding then cannot be told.
    Given(f64),
    /// By the book method: shank and frusta of 30°.
    Frustum {
        /// The bolt in its grip.
        shank: stiffness::Shank,
        /// What it clamps, from head to nut.
        layers: Vec<stiffness::Layer>,
    },
    /// By the method of VDI 2230.
    Cone {
        /// The bolt in its grip.
        shank: stiffness::Shank,
        /// Its head.
        head: HeadKind,
        /// What it is screwed into.
        seat: stiffness::Seat,
        /// The parts.
        cone: stiffness::Cone,
        /// Load introduction factor n.
        introduction: f64,
    },
}

/// Friction between the clamped parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Faying {
    /// The least friction.
    pub friction: f64,
    /// How many interfaces carry.
    pub interfaces: u32,
    /// Safety against slip.
    pub safety: f64,
    /// By which rule.
    pub rule: slip::SlipRule,
}

/// What bears under a head or nut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Under {
    /// The head, on whatever it bears on.
    Head,
    /// The nut, on whatever it bears on.
    Nut,
    /// The washer under the head, on the part.
    HeadWasher,
    /// The washer under the nut, on the part.
    NutWasher,
}

/// A bearing face and what it bears on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// Which face.
    pub under: Under,
    /// The ring that really bears: lesser outside, larger hole.
    pub ring: pressure::Ring,
    /// What its counterpart bears; `None` when its material is unknown.
    pub limit: Option<Stress>,
}

/// One sheet around the bolts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Which of the clamped parts it is, from 0.
    pub number: usize,
    /// The bolt in it.
    pub seat: sheet::Seat,
    /// Where the sheet ends ahead of the load.
    pub ahead: Said<sheet::Ahead>,
    /// How the hole lies, for the European rule.
    pub place: Said<sheet::Place>,
    /// Width of the strip that carries all bolts' load, and the holes across it.
    pub strip: Said<(Length, u32)>,
}

/// A load that comes and goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycles {
    /// When the thread was rolled.
    pub rolled: fatigue::Rolled,
    /// The least outside load as a share of the greatest.
    pub least_share: f64,
}

/// What [`assess_joint`] needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct JointInput {
    /// The bolts' thread.
    pub thread: Thread,
    /// Their class or grade.
    pub class: BoltClass,
    /// The least preload that the tightening leaves.
    pub preload_min: Force,
    /// The greatest.
    pub preload_max: Force,
    /// What loads them.
    pub load: JointLoad,
    /// The share of an outside load that the bolt takes.
    pub share: Said<Share>,
    /// How the stack settles.
    pub settling: Said<settle::Settling>,
    /// What heat takes off the preload at the worst temperature; `None` when nobody says, and then it is not counted.
    pub thermal: Option<Force>,
    /// Friction between the parts.
    pub faying: Said<Faying>,
    /// Every face that bears.
    pub faces: Said<Vec<Face>>,
    /// Every sheet.
    pub sheets: Said<Vec<Sheet>>,
    /// Where the shear plane cuts the bolt, should the joint slip.
    pub plane: Said<resistance::ShearPlane>,
    /// Which rule for tension and shear together.
    pub rule: resistance::CombinedRule,
    /// The engaged threads.
    pub strip: Said<strip::StripInput>,
    /// Grip, washers, nut; and the bolt's length.
    pub stack: Said<(grip::Stack, Length)>,
    /// A plate that bends and pries, and how many of the joint's bolts hold it; what those bear together stands in the plate.
    pub stub: Said<(prying::Stub, u32)>,
    /// A load that comes and goes.
    pub cycles: Said<Cycles>,
}

#[cfg(test)]
mod handbook;
