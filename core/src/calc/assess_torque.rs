//! A torque was applied: what it did to the bolt.

use super::{
    adapter::{ACCURACY, Adapter},
    condition::{Arm, Condition, Face, Screw, WasherSeat},
    torque::{
        BoltLoads, Capacity, Mate, PreloadRange, TORQUE, adjust,
        caution::{Caution, Cautions},
        prevailing,
    },
};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::{fastener::BoltClass, finish::Band, thread::Thread},
    units::{Force, Torque},
};

/// Where the share of proof to aim at is printed: 0.75 for a joint that is opened again, 0.90 for one that is not.
pub const TARGET_SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, eq. (8-31)", "", Seen::FromMemory);
/// Where bands from harmless to broken come from.
pub const BAND_SOURCE: Source =
    Source::new("bands between target, proof, yield with torsion, and tensile load", "", Seen::CommonPractice);
/// The share of yield to aim at when no proof stress is published for the class (common practice, no source).
pub const TARGET_SHARE_OF_YIELD: f64 = 0.65;

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

impl Service {
    /// Returns the share of proof to aim at.
    #[must_use]
    pub const fn target_share(self) -> f64 {
        match self {
            Self::Reusable => 0.75,
            Self::Permanent => 0.90,
        }
    }
}

impl Outcome {
    /// Returns what becomes of bolt and nut.
    #[must_use]
    pub const fn verdict(self) -> Verdict {
        match self {
            Self::Ok | Self::High => Verdict::Keep,
            Self::ProofExceeded => Verdict::ReplaceBolt,
            Self::Yielded | Self::FractureRisk => Verdict::DiscardBoth,
        }
    }
}

/// Says what an applied torque did to the bolt.
///
/// The preload is taken at both ends of the friction band and put into bands:
///
/// | outcome        | when                                                                             |
/// |----------------|----------------------------------------------------------------------------------|
/// | ok             | preload at most the target share of proof; 0.65 of yield where no proof is printed |
/// | high           | at most proof; below yield where no proof is printed                             |
/// | proof exceeded | over proof                                                                       |
/// | yielded        | tension and torsion together at yield or over                                    |
/// | fracture risk  | at the tensile load or over                                                      |
///
/// The bands overlap: with torsion a bolt can yield below its proof load. The worst that applies is the answer, and
/// the worse of both ends of the friction band.
///
/// # Errors
///
/// [`CalcError::Missing`] when the bearing face is not known: torsion could then not be told, and unknown is never
/// taken for fine. [`CalcError::Conflict`] when the prevailing torque leaves nothing to clamp with.
/// [`CalcError::OutOfRange`] for the first input outside its range; what [`crate::tables::bolt_strength`] refuses.
///
/// # Source
///
/// [`BAND_SOURCE`], [`TARGET_SOURCE`]; see [`basis`].
pub fn assess_torque(input: &AppliedInput) -> Result<Assessment, CalcError> {
    let mut cautions = Cautions::of(&[Caution::MakerOverrides, Caution::PreloadIsABand]);
    let screw = Screw::new(&input.thread, input.face, input.washer)?;
    let arms = screw.arms(&input.actual)?;
    let capacity = Capacity::of(input.class, &input.thread)?.mated(
        input.class,
        &input.thread,
        input.mate,
        input.hot_dip_galvanised,
        &mut cautions,
    );
    let reading = Torque::from_n_m(TORQUE.check(input.reading.n_m())?);
    let fastener = input.adapter.map_or(Ok(reading), |adapter| adapter.torque_at(reading))?;
    let prevailing = input.prevailing.unwrap_or(Torque::ZERO);
    let clamping = prevailing::clamping(fastener, prevailing)?;
    let deviation = input.accuracy_share.map_or(Ok(0.0), |share| ACCURACY.check(share))?;
    let least = (fastener * (1.0 - deviation) - prevailing).max(Torque::ZERO);
    let greatest = fastener * (1.0 + deviation) - prevailing;

    let preload = adjust::range(&capacity, &arms, least, clamping, greatest);
    let worst_yield_share = adjust::worst_yield_share(&capacity, &arms, greatest)
        .ok_or(CalcError::Missing { field: "bearing_diameter_mm", by: "what a torque did to a bolt" })?;
    let end = |torque: Torque, arm: &Arm| {
        let force = arm.preload(torque);
        let share = capacity.yield_share(force, arm).unwrap_or(f64::INFINITY);
        outcome(&capacity.loads, force, share, input.service)
    };
    let at_high_friction = end(least, &arms.high);
    let at_low_friction = outcome(&capacity.loads, preload.max.force, worst_yield_share, input.service);
    let worst = at_high_friction.max(at_low_friction).max(end(clamping, &arms.nominal));

    adjust::judge(&preload, &preload, Some(worst_yield_share), &capacity, &mut cautions);
    cautions.add_if(!input.actual.is_known(), Caution::UnknownFinish);
    cautions.add_if(screw.face_from_tables, Caution::FaceFromTables);
    cautions.add_if(input.washer.is_some_and(|washer| washer.turns.is_none()), Caution::WasherMayTurn);
    cautions.add_if(input.accuracy_share.is_none(), Caution::AccuracyUnknown);
    Ok(Assessment {
        fastener,
        clamping,
        nut_factor: screw.nut_factor(&arms),
        preload,
        at_high_friction,
        at_low_friction,
        outcome: worst,
        verdict: worst.verdict(),
        worst_yield_share,
        loads: capacity.loads,
        cautions,
    })
}

/// Returns the worst band that applies.
fn outcome(loads: &BoltLoads, force: Force, yield_share: f64, service: Service) -> Outcome {
    let target = loads.proof.map_or(loads.yielding * TARGET_SHARE_OF_YIELD, |proof| proof * service.target_share());
    if loads.tensile <= force {
        Outcome::FractureRisk
    } else if 1.0 <= yield_share {
        Outcome::Yielded
    } else if loads.proof.is_some_and(|proof| proof < force) {
        Outcome::ProofExceeded
    } else if target < force {
        Outcome::High
    } else {
        Outcome::Ok
    }
}

/// Returns what the figures of this assessment rest on.
#[must_use]
pub fn basis(input: &AppliedInput, assessment: &Assessment) -> Vec<Basis> {
    let share = match assessment.loads.proof {
        Some(_) => input.service.target_share(),
        None => TARGET_SHARE_OF_YIELD,
    };
    let k = assessment.nut_factor;
    let relation = match input.actual.form() {
        super::condition::TorqueForm::Short => super::condition::SHORT_SOURCE,
        super::condition::TorqueForm::Long => super::condition::LONG_SOURCE,
    };
    let mut loads = vec![("stress_area_mm2", input.thread.stress_area().mm2())];
    loads.extend(assessment.loads.proof.map(|proof| ("proof_load_n", proof.n())));
    loads.push(("yield_load_n", assessment.loads.yielding.n()));
    loads.push(("tensile_load_n", assessment.loads.tensile.n()));
    vec![
        Basis::new("bolt-loads", "load = stress · As", assessment.loads.source, &loads),
        Basis::new(
            "preload-from-torque",
            "F = (T − T_prevailing) / (K d)",
            relation,
            &[
                ("torque_n_m", assessment.fastener.n_m()),
                ("clamping_n_m", assessment.clamping.n_m()),
                ("diameter_mm", input.thread.diameter.mm()),
                ("nut_factor_low", k.low),
                ("nut_factor", k.nominal),
                ("nut_factor_high", k.high),
            ],
        ),
        Basis::new(
            "tension-and-torsion",
            "√(σ² + 3 τ²) / Rp0.2, τ = M_thread / (π/12 · d0³)",
            super::torque::COMBINED_SOURCE,
            &[("preload_n", assessment.preload.max.force.n()), ("yield_share", assessment.worst_yield_share)],
        ),
        Basis::new("torque-target", "F ≤ share · proof load", TARGET_SOURCE, &[("target_share", share)]),
        Basis::new("torque-bands", "the worst band that applies", BAND_SOURCE, &[]),
    ]
}

#[cfg(test)]
mod handbook;
#[cfg(test)]
mod laws;
