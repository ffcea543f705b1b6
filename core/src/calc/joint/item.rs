//! What an assessment reports: every item with its use share.

use super::{Under, hitch::BoltLoad};
use crate::{
    basis::{Basis, Source},
    error::CalcError,
    units::Force,
};

/// What was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemKind {
    /// The greatest preload against the bolt's proof load.
    Preload,
    /// Preload and load together against the bolt's proof load.
    BoltForce,
    /// The least preload against the parts' separating.
    Separation,
    /// The least preload against the parts' slipping.
    Slip,
    /// What embedding takes, of the least preload.
    Embedding,
    /// Pressure under a face.
    Pressure(Under),
    /// Bearing of the hole in a sheet, by its number from 0.
    HoleBearing(usize),
    /// Tear-out of a sheet.
    TearOut(usize),
    /// The section left of a sheet.
    NetSection(usize),
    /// The bolt in shear, should the joint slip.
    Shear,
    /// The bolt in tension.
    Tension,
    /// Both together.
    Combined,
    /// Stripping of the bolt's thread under the greatest bolt force.
    BoltThread,
    /// Stripping of the nut's or part's thread.
    NutThread,
    /// Engagement, so that the bolt breaks before a thread strips.
    Engagement,
    /// The bolt's length.
    Length,
    /// A plate that pries.
    Prying,
    /// A load that comes and goes.
    Fatigue,
}

impl ItemKind {
    /// Returns its stable name.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Preload => "preload",
            Self::BoltForce => "bolt-force",
            Self::Separation => "separation",
            Self::Slip => "slip",
            Self::Embedding => "embedding",
            Self::Pressure(Under::Head) => "pressure-under-head",
            Self::Pressure(Under::Nut) => "pressure-under-nut",
            Self::Pressure(Under::HeadWasher) => "pressure-under-head-washer",
            Self::Pressure(Under::NutWasher) => "pressure-under-nut-washer",
            Self::HoleBearing(_) => "hole-bearing",
            Self::TearOut(_) => "tear-out",
            Self::NetSection(_) => "net-section",
            Self::Shear => "bolt-shear",
            Self::Tension => "bolt-tension",
            Self::Combined => "tension-and-shear",
            Self::BoltThread => "bolt-thread-strip",
            Self::NutThread => "nut-thread-strip",
            Self::Engagement => "engagement",
            Self::Length => "bolt-length",
            Self::Prying => "prying",
            Self::Fatigue => "fatigue",
        }
    }

    /// Returns what people call it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Preload => "bolt, as tightened",
            Self::BoltForce => "bolt, tightened and loaded",
            Self::Separation => "parts stay together",
            Self::Slip => "parts do not slip",
            Self::Embedding => "settling of the surfaces",
            Self::Pressure(Under::Head) => "pressure under the head",
            Self::Pressure(Under::Nut) => "pressure under the nut",
            Self::Pressure(Under::HeadWasher) => "pressure under the head's washer",
            Self::Pressure(Under::NutWasher) => "pressure under the nut's washer",
            Self::HoleBearing(_) => "bearing of the hole",
            Self::TearOut(_) => "tear-out to the edge",
            Self::NetSection(_) => "section between the holes",
            Self::Shear => "bolt in shear, should it slip",
            Self::Tension => "bolt in tension",
            Self::Combined => "tension and shear together",
            Self::BoltThread => "bolt's thread against stripping",
            Self::NutThread => "inner thread against stripping",
            Self::Engagement => "length of engaged thread",
            Self::Length => "length of the bolt",
            Self::Prying => "plate that pries",
            Self::Fatigue => "bolt under a load that comes and goes",
        }
    }

    /// Returns the clamped part it is about, from 0.
    #[must_use]
    pub const fn plate(self) -> Option<usize> {
        match self {
            Self::HoleBearing(at) | Self::TearOut(at) | Self::NetSection(at) => Some(at),
            _ => None,
        }
    }

    /// Returns the formula as text.
    #[must_use]
    pub const fn formula(self) -> &'static str {
        match self {
            Self::Preload => "F_V,max ≤ Sp · As",
            Self::BoltForce => "F_V,max + Φ F_A ≤ Sp · As",
            Self::Separation => "(1 − Φ) F_A + F_Z + ΔF_th ≤ F_V,min",
            Self::Slip => "Q S / (μ q) + (1 − Φ) F_A + F_Z + ΔF_th ≤ F_V,min, or Q ≤ the named rule's resistance",
            Self::Embedding => "F_Z = f_Z / (δ_S + δ_P) ≤ F_V,min",
            Self::Pressure(_) => "F_max / (π/4 (dw² − dh²)) ≤ p_G",
            Self::HoleBearing(_) => "Q ≤ k1 αb fu d t / γM2, or 0.75 · 2.4 d t Fu",
            Self::TearOut(_) => "Q ≤ 0.75 · 1.2 Lc t Fu",
            Self::NetSection(_) => "Σ Q ≤ 0.9 A_net fu / γM2",
            Self::Shear => "Q ≤ αv fub A / γM2, or φ Fnv Ab",
            Self::Tension => "F_A ≤ 0.9 fub As / γM2, or φ Fnt Ab",
            Self::Combined => "the named rule's sum ≤ 1",
            Self::BoltThread | Self::NutThread => "F_max ≤ Rm (τ/Rm) AS C1 C2,3",
            Self::Engagement => "J · Le ≤ L",
            Self::Length => "grip + washers + nut + 2 P ≤ length",
            Self::Prying => "F_A ≤ min(F1, F2, F3)",
            Self::Fatigue => "σ_a ≤ σ_A",
        }
    }
}

/// One item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// What was looked at.
    pub kind: ItemKind,
    /// What is asked of it.
    pub demand: f64,
    /// What it allows.
    pub allowed: f64,
    /// The unit of both.
    pub unit: &'static str,
    /// Demand over allowed: over one does not hold.
    pub use_share: f64,
    /// The bolt that governs, from 0, when they differ.
    pub bolt: Option<usize>,
    /// The load case that governs, when there are several.
    pub case: Option<&'static str>,
    /// Where the rule is printed.
    pub source: Source,
}

impl Item {
    /// Returns what the item rests on.
    #[must_use]
    pub fn basis(&self) -> Basis {
        let inputs = [("demand", self.demand), ("allowed", self.allowed), ("use_share", self.use_share)];
        Basis::new(self.kind.id(), self.kind.formula(), self.source, &inputs)
    }
}

/// An item that could not be judged. It never counts as holding.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// Which.
    pub kind: ItemKind,
    /// What is missing, or what the rule refuses.
    pub why: CalcError,
}

/// The worst of one case.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseLoads {
    /// The case.
    pub label: &'static str,
    /// What each bolt bears.
    pub bolts: Vec<BoltLoad>,
}

/// The whole assessment.
#[derive(Debug, Clone, PartialEq)]
pub struct JointReport {
    /// Every judged item, the governing one first.
    pub items: Vec<Item>,
    /// Every item that could not be judged.
    pub unknown: Vec<Unknown>,
    /// The load of every bolt in every case.
    pub cases: Vec<CaseLoads>,
    /// The share of an outside load that the bolt takes, when known.
    pub share: Option<f64>,
    /// What embedding takes, when known.
    pub embedding: Option<Force>,
    /// Whether the parts separate in any case: the bolt then bears the whole load.
    pub separates: Option<bool>,
}

impl JointReport {
    /// Returns the item with the greatest use share.
    #[must_use]
    pub fn governing(&self) -> Option<&Item> {
        self.items.first()
    }

    /// Returns whether the joint holds: `Some(false)` when an item does not, whatever else is unknown; `None` when all
    /// judged items hold but some could not be judged.
    #[must_use]
    pub fn holds(&self) -> Option<bool> {
        // A share that is exactly one holds; a hair of room for binary fractions.
        if self.items.iter().any(|item| 1.0 + 1e-9 < item.use_share || item.use_share.is_nan()) {
            return Some(false);
        }
        (self.unknown.is_empty() && !self.items.is_empty()).then_some(true)
    }

    /// Returns the item of a kind.
    #[must_use]
    pub fn item(&self, kind: ItemKind) -> Option<&Item> {
        self.items.iter().find(|item| item.kind == kind)
    }

    /// Returns what the figures rest on, the governing item first.
    #[must_use]
    pub fn basis(&self) -> Vec<Basis> {
        self.items.iter().map(Item::basis).collect()
    }
}
