//! A welded or caged nut that spins: what can be done, in order of preference, and what each way must be shown to hold.

use crate::{
    basis::{Basis, Seen, Source},
    calc::joint::{
        pressure::Ring,
        strip::{self, Around, StripInput, StripMethod},
    },
    error::CalcError,
    model::{
        fastener::{BoltClass, NutClass},
        thread::Thread,
    },
    range::Range,
    tables::{self, NutMatch, thread_limits},
    units::{Force, Length, Stress, Torque},
};

/// The order of preference.
pub const SOURCE: Source = Source::new("repair of a spun captive nut", "", Seen::CommonPractice);
/// No welding on the frame and no holes in rail flanges, except as the maker says; nothing loose, broken or missing.
pub const FRAME_SOURCE: Source = Source::new("49 CFR 393.201, frames", "", Seen::Opened);

/// Preload or load that the repair must hold.
pub const LOAD: Range = Range::new("load_n", "N", 1.0, 5.0e6);
/// Thickness of what is left to tap.
pub const THICKNESS: Range = Range::new("thickness_mm", "mm", 0.5, 100.0);

/// A spun captive nut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spun {
    /// The thread of its bolt.
    pub thread: Thread,
    /// The class of its bolt.
    pub class: BoltClass,
    /// The greatest preload that its torque makes.
    pub preload: Force,
    /// The outside load that it must hold.
    pub load: Force,
    /// The torque at which it is tightened.
    pub torque: Torque,
    /// Whether the vehicle comes under the rules for commercial frames; `None` counts as yes.
    pub commercial_frame: Option<bool>,
    /// Whether the place is a top or bottom flange of a rail; `None` counts as yes.
    pub rail_flange: Option<bool>,
    /// Whether the rail is hollow, so that a through bolt would squeeze it; `None` counts as yes.
    pub hollow: Option<bool>,
    /// Whether the far side can be reached; `None` when nobody looked.
    pub reachable: Option<bool>,
    /// The nut that would be fitted.
    pub new_nut: NutClass,
    /// The face that would bear on the frame: flange, washer or plate.
    pub face: Ring,
    /// What the frame bears under it; `None` when its material is unknown.
    pub limit: Option<Stress>,
    /// Thickness of sheet and backing that could be tapped; `None` when not measured.
    pub thickness: Option<Length>,
    /// Tensile strength of that material.
    pub tensile: Option<Stress>,
    /// A blind insert's shown pull-out load, from its own maker.
    pub insert_pull_out: Option<Force>,
    /// A blind insert's shown torque before it spins.
    pub insert_torque_out: Option<Torque>,
}

/// A way to repair.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Repair {
    /// A through bolt with a full nut and a hardened washer.
    ThroughBolt,
    /// A nut plate or backing plate that cannot turn.
    NutPlate,
    /// A new weld nut, by the vehicle maker's procedure.
    NewWeldNut,
    /// A blind threaded insert.
    BlindInsert,
    /// A thread repair insert in thick material.
    ThreadInsert,
}

impl Repair {
    /// Every way, the preferred first.
    pub const ALL: [Self; 5] =
        [Self::ThroughBolt, Self::NutPlate, Self::NewWeldNut, Self::BlindInsert, Self::ThreadInsert];

    /// Returns its stable name.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::ThroughBolt => "through-bolt",
            Self::NutPlate => "nut-plate",
            Self::NewWeldNut => "new-weld-nut",
            Self::BlindInsert => "blind-insert",
            Self::ThreadInsert => "thread-insert",
        }
    }
}

/// Something that a repair must be shown to hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// What.
    pub what: &'static str,
    /// What is asked and what is there, in one unit; `None` for what no figure tells.
    pub figures: Option<[f64; 2]>,
    /// Their unit.
    pub unit: &'static str,
    /// Whether it is shown; `None` when a figure is missing or somebody has to look.
    pub shown: Option<bool>,
    /// Where the demand comes from.
    pub source: Source,
}

/// A way to repair and what it must be shown to hold.
#[derive(Debug, Clone, PartialEq)]
pub struct RepairOption {
    /// The way.
    pub repair: Repair,
    /// What it must be shown to hold.
    pub proofs: Vec<Proof>,
    /// `Some(false)` when a demand is not met, `None` when one is not shown yet; `Some(true)` when all are.
    pub open: Option<bool>,
}

impl RepairOption {
    /// Returns what it rests on.
    #[must_use]
    pub fn basis(&self) -> Vec<Basis> {
        self.proofs
            .iter()
            .map(|proof| {
                let [demand, shown] = proof.figures.unwrap_or([f64::NAN; 2]);
                let inputs: &[_] = &[("demand", demand), ("shown", shown)];
                let known = if proof.figures.is_some() { inputs } else { &[] };
                Basis::new("captive-nut-repair", proof.what, proof.source, known)
            })
            .collect()
    }
}

/// Returns the ways to repair, the preferred first, each with what it must be shown to hold.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a load outside [`LOAD`] or a thickness outside [`THICKNESS`].
///
/// # Source
///
/// [`SOURCE`] for the order, [`FRAME_SOURCE`] for welding and drilling.
pub fn repairs(spun: &Spun) -> Result<Vec<RepairOption>, CalcError> {
    for force in [spun.preload, spun.load] {
        LOAD.check(force.n())?;
    }
    if let Some(thickness) = spun.thickness {
        THICKNESS.check(thickness.mm())?;
    }
    Ok(Repair::ALL
        .into_iter()
        .map(|repair| {
            let mut proofs = match repair {
                Repair::ThroughBolt => through(spun),
                Repair::NutPlate => {
                    let mut proofs = nut_and_face(spun);
                    proofs.push(look("the plate cannot turn: a tab or a second bolt holds it", SOURCE));
                    proofs
                }
                Repair::NewWeldNut => vec![maker("the vehicle maker's procedure for this place, in writing", spun)],
                Repair::BlindInsert => insert(spun),
                Repair::ThreadInsert => vec![engagement(spun)],
            };
            proofs.push(look("bare edges are protected against rust again", SOURCE));
            let open = proofs.iter().map(|proof| proof.shown).try_fold(true, |all, shown| match shown {
                Some(false) => Err(Some(false)),
                Some(true) => Ok(all),
                None => Ok(false),
            });
            let open = match open {
                Ok(true) => Some(true),
                Ok(false) => None,
                Err(refused) => refused,
            };
            RepairOption { repair, proofs, open }
        })
        .collect())
}

fn figure(what: &'static str, demand: f64, there: Option<f64>, unit: &'static str, source: Source) -> Proof {
    Proof { what, figures: there.map(|there| [demand, there]), unit, shown: there.map(|there| demand <= there), source }
}

fn look(what: &'static str, source: Source) -> Proof {
    Proof { what, figures: None, unit: "", shown: None, source }
}

/// What only the maker may allow: never shown by a figure.
fn maker(what: &'static str, spun: &Spun) -> Proof {
    let source = if spun.commercial_frame == Some(false) { SOURCE } else { FRAME_SOURCE };
    look(what, source)
}

fn nut_and_face(spun: &Spun) -> Vec<Proof> {
    let matched = match tables::nut_matches(spun.class, spun.new_nut) {
        NutMatch::Same | NutMatch::Stronger => Some(true),
        NutMatch::Weaker | NutMatch::OtherSystem => Some(false),
    };
    let nut = tables::nut_proof(spun.new_nut, &spun.thread).ok();
    let pressure = spun.face.pressure(spun.preload).ok();
    let limit = spun.limit.map(Stress::mpa);
    let mut proofs = vec![
        Proof {
            what: "the nut belongs to the bolt's class",
            figures: None,
            unit: "",
            shown: matched,
            source: nut.map_or(SOURCE, |nut| nut.source),
        },
        figure(
            "the nut's proof load against preload",
            spun.preload.n(),
            nut.map(|nut| nut.load.n()),
            "N",
            nut.map_or(SOURCE, |nut| nut.source),
        ),
    ];
    proofs.push(match pressure {
        Some(pressure) => figure(
            "what the frame bears under the face",
            pressure.mpa(),
            limit,
            "MPa",
            tables::limiting_pressure::SOURCE,
        ),
        None => Proof {
            what: "the face is wider than its hole",
            figures: None,
            unit: "",
            shown: Some(false),
            source: SOURCE,
        },
    });
    proofs
}

fn through(spun: &Spun) -> Vec<Proof> {
    let mut proofs = nut_and_face(spun);
    proofs.push(Proof {
        what: "the far side can be reached",
        figures: None,
        unit: "",
        shown: spun.reachable,
        source: SOURCE,
    });
    if spun.hollow != Some(false) {
        proofs.push(look("a crush sleeve takes the preload: a hollow rail collapses under it", SOURCE));
    }
    if spun.rail_flange != Some(false) {
        proofs.push(maker("the maker allows a hole in this flange", spun));
    }
    proofs
}

fn insert(spun: &Spun) -> Vec<Proof> {
    vec![
        figure(
            "the insert's own pull-out load against preload and load, whichever is greater",
            spun.preload.max(spun.load).n(),
            spun.insert_pull_out.map(Force::n),
            "N",
            SOURCE,
        ),
        figure(
            "the insert's own torque before it spins against the tightening torque",
            spun.torque.n_m(),
            spun.insert_torque_out.map(Torque::n_m),
            "N·m",
            SOURCE,
        ),
    ]
}

/// Whether tapped thread of the material at hand holds the preload, plainly: area times six tenths of its strength.
fn engagement(spun: &Spun) -> Proof {
    let held = match (spun.thickness, spun.tensile, thread_limits::limits(&spun.thread)) {
        (Some(thickness), Some(tensile), Ok(limits)) => tables::bolt_strength(spun.class, &spun.thread)
            .and_then(|bolt| {
                strip::strip(&StripInput {
                    pitch: spun.thread.pitch,
                    limits,
                    diameter: spun.thread.diameter,
                    engagement: thickness,
                    bolt: bolt.tensile_min,
                    nut: tensile,
                    shear_share: 0.6,
                    around: Around::Plate,
                    method: StripMethod::Plain,
                })
            })
            .ok(),
        _ => None,
    };
    figure(
        "the threads at hand against preload and load, whichever is greater",
        spun.preload.max(spun.load).n(),
        held.map(|held| held.governing().n()),
        "N",
        strip::AREA_SOURCE,
    )
}
