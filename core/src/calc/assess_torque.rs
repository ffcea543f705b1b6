//! A torque was applied: what it did to the bolt.

use super::{
    adapter::Adapter,
    condition::{Condition, Face, WasherSeat},
    torque::{BoltLoads, Mate, PreloadRange, caution::Cautions},
};
use crate::{
    model::{fastener::BoltClass, finish::Band, thread::Thread},
    units::Torque,
};

/// Whether the joint is meant to be opened again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Service {
    /// It is: up to 0.75 of proof is normal.
    Reusable,
    /// It is not: up to 0.90 of proof is normal.
    Permanent,
}

/// What [`assess_torque`] needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AppliedInput {
    /// The bolt's thread.
    pub thread: Thread,
    /// The bolt's class or grade.
    pub class: BoltClass,
    /// The face that slid.
    pub face: Face,
    /// The washer under it; `None` when there is none.
    pub washer: Option<WasherSeat>,
    /// What the bolt is screwed into; `None` when nobody says.
    pub mate: Option<Mate>,
    /// Whether bolt or nut is hot-dip galvanised; `None` when nobody says.
    pub hot_dip_galvanised: Option<bool>,
    /// What the wrench was set to or showed.
    pub reading: Torque,
    /// The adapter that was on it; `None` when the socket sat on its drive.
    pub adapter: Option<Adapter>,
    /// The wrench's permissible deviation as a share; `None` when nobody says.
    pub accuracy_share: Option<f64>,
    /// The condition the joint was in.
    pub actual: Condition,
    /// The prevailing torque measured while the nut ran down; `None` for a nut that does not lock.
    pub prevailing: Option<Torque>,
    /// Whether the joint is meant to be opened again.
    pub service: Service,
}

/// What a torque did to a bolt, from harmless to broken. The order is the order of harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Within the normal target.
    Ok,
    /// Over the normal target and up to proof: no permanent set by definition.
    High,
    /// Over proof, not yet yielding: permanent set possible.
    ProofExceeded,
    /// At yield or over, tension and torsion together.
    Yielded,
    /// At the tensile load or over.
    FractureRisk,
}

/// What becomes of bolt and nut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// They stay.
    Keep,
    /// The bolt is replaced.
    ReplaceBolt,
    /// Bolt and nut are discarded, and a captive nut is suspect.
    DiscardBoth,
}

/// The answer of [`assess_torque`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assessment {
    /// Torque at the fastener, prevailing torque included.
    pub fastener: Torque,
    /// The part of it that made preload.
    pub clamping: Torque,
    /// The nut factor that the condition amounts to.
    pub nut_factor: Band,
    /// The preload over the friction band, wrench deviation included as far as it is known. Above yield the real
    /// preload is lower: the relation is linear only up to there.
    pub preload: PreloadRange,
    /// The outcome at the least preload, at high friction.
    pub at_high_friction: Outcome,
    /// The outcome at the greatest preload, at low friction.
    pub at_low_friction: Outcome,
    /// The worst outcome: the answer.
    pub outcome: Outcome,
    /// What becomes of bolt and nut under the worst outcome.
    pub verdict: Verdict,
    /// The greatest share of yield, tension and torsion together, over every corner of the friction band.
    pub worst_yield_share: f64,
    /// What bolt and nut bear.
    pub loads: BoltLoads,
    /// What has to be said.
    pub cautions: Cautions,
}
