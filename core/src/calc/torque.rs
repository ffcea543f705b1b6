//! What to set the wrench to for this bolt, in the condition it is really in, and what preload results.

pub mod caution;

pub(in crate::calc) mod adjust;
mod basis;
mod capacity;
pub mod prevailing;
pub mod rules_of_thumb;
pub mod scatter;

pub use adjust::{PRELOAD, PROOF_SHARE, TORQUE, WINDOW, YIELD_SHARE, adjust_torque};
pub use basis::basis;
pub use capacity::{COMBINED_SOURCE, Capacity};
pub use rules_of_thumb::{RULES_OF_THUMB, RuleOfThumb};

use super::{
    adapter::Adapter,
    condition::{Condition, Face, TorqueForm, WasherSeat},
    passes::{PassPlan, Passes},
};
use crate::{
    basis::Source,
    model::{
        fastener::{BoltClass, NutClass, NutKind},
        finish::Band,
        joint::TighteningMethod,
        thread::Thread,
    },
    units::{Force, Torque},
};
use caution::Cautions;

/// What the bolt is screwed into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mate {
    /// A nut.
    Nut {
        /// Its class or grade; `None` when it is not marked.
        class: Option<NutClass>,
        /// Its kind; `None` when nobody says.
        kind: Option<NutKind>,
    },
    /// Threads in the part itself.
    TappedHole,
}

/// What the tightening aims at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// The torque its maker printed, and the condition it was printed for.
    Specified {
        /// The torque at the fastener.
        torque: Torque,
        /// The condition it was printed for; unknown hands the torque on unchanged.
        condition: Condition,
        /// Whether it already contains the prevailing torque. Needed when there is one.
        includes_prevailing: Option<bool>,
    },
    /// A share of the bolt's proof load at likely friction, tension alone.
    ShareOfProof(f64),
    /// A share of the bolt's yield stress at likely friction, tension and torsion together.
    ShareOfYield(f64),
    /// A preload at likely friction.
    Preload(Force),
}

/// How far the torque at the fastener may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Window {
    /// Plus or minus this share of the torque.
    Share(f64),
    /// As printed beside a specified torque; converted along with it.
    Printed {
        /// The least.
        low: Torque,
        /// The greatest.
        high: Torque,
    },
}

/// The torque wrench, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WrenchScale {
    /// The least torque on its scale.
    pub min: Option<Torque>,
    /// The greatest torque on its scale.
    pub max: Option<Torque>,
    /// Its permissible deviation as a share: 0.04 for ±4 %.
    pub accuracy_share: Option<f64>,
}

/// What [`adjust_torque`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueInput {
    /// The bolt's thread.
    pub thread: Thread,
    /// The bolt's class or grade.
    pub class: BoltClass,
    /// The face that slides.
    pub face: Face,
    /// The washer under it; `None` when there is none.
    pub washer: Option<WasherSeat>,
    /// What the bolt is screwed into; `None` when nobody says.
    pub mate: Option<Mate>,
    /// Whether bolt or nut is hot-dip galvanised; `None` when nobody says.
    pub hot_dip_galvanised: Option<bool>,
    /// What the tightening aims at.
    pub target: Target,
    /// The condition the joint is really in.
    pub actual: Condition,
    /// The prevailing torque measured while the nut runs down; `None` for a nut that does not lock.
    pub prevailing: Option<Torque>,
    /// How the maker tells to tighten.
    pub method: TighteningMethod,
    /// The adapter on the wrench; `None` when the socket sits on its drive.
    pub adapter: Option<Adapter>,
    /// The wrench; `None` when nobody says which.
    pub wrench: Option<WrenchScale>,
    /// How far the torque may be off; `None` when nobody says.
    pub window: Option<Window>,
    /// In how many passes; `None` when it is not asked.
    pub passes: Option<PassPlan>,
}

/// A torque with its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The least, when a window is known.
    pub low: Option<Torque>,
    /// What to set.
    pub nominal: Torque,
    /// The greatest, when a window is known.
    pub high: Option<Torque>,
}

/// A preload and how much of the bolt it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreloadPoint {
    /// The preload.
    pub force: Force,
    /// Share of the proof load; `None` when no proof stress is published for the class.
    pub proof_share: Option<f64>,
    /// Share of the yield load, tension alone.
    pub tension_share: f64,
    /// Share of the yield stress, tension and torsion together while it is turned; `None` when the bearing face
    /// is not known.
    pub yield_share: Option<f64>,
}

/// Least, likely and greatest preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreloadRange {
    /// At high friction.
    pub min: PreloadPoint,
    /// At likely friction.
    pub nominal: PreloadPoint,
    /// At low friction.
    pub max: PreloadPoint,
}

/// What the bolt and nut bear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltLoads {
    /// The proof load, when a proof stress is published for the class.
    pub proof: Option<Force>,
    /// The load at yield, tension alone.
    pub yielding: Force,
    /// The load at break, tension alone.
    pub tensile: Force,
    /// The nut's proof load, when its class is known and a row is published.
    pub nut_proof: Option<Force>,
    /// Where the bolt's strength is printed.
    pub source: Source,
}

/// A change of condition at constant preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conversion {
    /// Torque in the actual condition over torque in the specified condition.
    pub factor: f64,
    /// The form used: short when both conditions are known by their nut factors.
    pub form: TorqueForm,
    /// The nut factor that the specified condition amounts to.
    pub specified: Band,
}

/// What to set the wrench to, and what it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueAdvice {
    /// Torque at the fastener, prevailing torque included.
    pub fastener: Setting,
    /// Setting on the wrench, adapter minded.
    pub wrench: Setting,
    /// The part of the torque that makes preload: without the prevailing torque.
    pub clamping: Torque,
    /// The nut factor that the actual condition amounts to.
    pub nut_factor: Band,
    /// The form used for the actual condition.
    pub form: TorqueForm,
    /// The conversion, when a specified torque was converted.
    pub conversion: Option<Conversion>,
    /// Preload over the friction band, at exactly the nominal torque.
    pub preload: PreloadRange,
    /// Preload over the friction band with window and wrench deviation at their worst, as far as they are known.
    pub extremes: PreloadRange,
    /// The greatest share of yield, tension and torsion together, over every corner of the friction band and the
    /// window; `None` when the bearing face is not known.
    pub worst_yield_share: Option<f64>,
    /// Plus or minus this share of preload, friction, window and wrench combined as independent; beside the extremes.
    pub scatter_share: f64,
    /// What bolt and nut bear.
    pub loads: BoltLoads,
    /// The passes, when asked.
    pub passes: Option<Passes>,
    /// What has to be said.
    pub cautions: Cautions,
}

#[cfg(test)]
pub(in crate::calc) mod handbook;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod pinned;
#[cfg(test)]
pub(in crate::calc) mod tests;
