//! From what the tightening aims at to what the wrench is set to.

use super::{
    Capacity, Conversion, PreloadRange, Setting, Target, TorqueAdvice, TorqueInput, Window,
    caution::{Caution, Cautions},
    prevailing, scatter,
};
use crate::{
    calc::{
        adapter,
        condition::{Arms, Condition, Screw, TorqueForm},
        passes::Passes,
    },
    error::CalcError,
    model::joint::TighteningMethod,
    range::Range,
    units::{Force, Torque},
};

/// A torque at the fastener.
pub const TORQUE: Range = Range::new("torque_n_m", "N·m", 0.1, 20_000.0);
/// A preload.
pub const PRELOAD: Range = Range::new("preload_n", "N", 10.0, 5_000_000.0);
/// A share of proof to aim at.
pub const PROOF_SHARE: Range = Range::new("proof_share", "", 0.05, 1.0);
/// A share of yield to aim at.
pub const YIELD_SHARE: Range = Range::new("yield_share", "", 0.05, 1.0);
/// A window as a share of torque.
pub const WINDOW: Range = Range::new("window_share", "", 0.0, 0.50);

/// What the target comes to.
struct Aim {
    /// The torque that makes preload.
    clamping: Torque,
    /// The prevailing torque that a printed torque already contains.
    contained: Torque,
    conversion: Option<Conversion>,
}

/// Returns what to set the wrench to, in the condition the joint is really in, and what preload results.
///
/// ```text
/// T = F · arm + T_prevailing
/// arm = K d                                             short form
///     = P/2π + μ_thread d2 / (2 cos 30°) + μ_face D/2   long form
/// ```
///
/// A specified torque is converted at constant preload, at likely friction: by the ratio of the two arms. When either
/// condition is unknown it is handed on unchanged, with a caution. Least and greatest preload come from the ends of
/// the friction band; the extremes take window and wrench deviation in at their worst.
///
/// | input               | range                                      |
/// |---------------------|--------------------------------------------|
/// | torque              | [`TORQUE`]                                 |
/// | preload             | [`PRELOAD`]                                |
/// | share of proof      | [`PROOF_SHARE`]                            |
/// | share of yield      | [`YIELD_SHARE`]                            |
/// | window              | [`WINDOW`]                                 |
/// | nut factor          | [`NUT_FACTOR`](crate::calc::condition::NUT_FACTOR) |
/// | friction            | [`FRICTION`](crate::calc::condition::FRICTION)     |
///
/// # Errors
///
/// [`CalcError::Conflict`] for a specification by angle or into yield, which is never scaled, and for inputs that
/// cannot occur together; [`CalcError::Missing`] for what the asked form needs; [`CalcError::OutOfRange`] for the first
/// input outside its range; what [`crate::tables::bolt_strength`] refuses.
///
/// # Source
///
/// See [`super::basis`].
pub fn adjust_torque(input: &TorqueInput) -> Result<TorqueAdvice, CalcError> {
    refuse_angle_and_yield(input.method)?;
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
    let prevailing = match input.prevailing {
        Some(prevailing) => Torque::from_n_m(prevailing::PREVAILING.check(prevailing.n_m())?),
        None => Torque::ZERO,
    };
    let aim = aim(input, &screw, &arms, &capacity, prevailing, &mut cautions)?;
    let fastener = window(input, &aim, prevailing)?;
    TORQUE.check(fastener.nominal.n_m())?;

    let ratio = input.adapter.map_or(Ok(1.0), |adapter| adapter.ratio())?;
    let wrench = fastener.scaled(ratio);
    if let Some(scale) = &input.wrench {
        adapter::check_scale(scale, wrench.nominal, &mut cautions)?;
    } else {
        cautions.add(Caution::AccuracyUnknown);
    }
    let deviation = input.wrench.and_then(|wrench| wrench.accuracy_share).unwrap_or(0.0);

    let least = (fastener.low.unwrap_or(fastener.nominal) * (1.0 - deviation) - prevailing).max(Torque::ZERO);
    let greatest = fastener.high.unwrap_or(fastener.nominal) * (1.0 + deviation) - prevailing;
    let preload = range(&capacity, &arms, aim.clamping, aim.clamping, aim.clamping);
    let extremes = range(&capacity, &arms, least, aim.clamping, greatest);
    let worst_yield_share = worst_yield_share(&capacity, &arms, greatest);

    let nut_factor = screw.nut_factor(&arms);
    let window_share = fastener.window_share();
    let scatter_share =
        scatter::combined(&[window_share, deviation, scatter::share_of_factor(arms.high.total / arms.low.total)]);

    cautions.add_if(!input.actual.is_known(), Caution::UnknownFinish);
    cautions.add_if(screw.face_from_tables, Caution::FaceFromTables);
    cautions.add_if(!screw.knows_face(), Caution::FaceUnknown);
    cautions.add_if(input.washer.is_some_and(|washer| washer.turns.is_none()), Caution::WasherMayTurn);
    cautions.add_if(fastener.low.is_none(), Caution::WindowUnknown);
    cautions.add_if(input.adapter.is_some(), Caution::GripAtLoadPoint);
    cautions.add_if(input.prevailing.is_some(), Caution::PrevailingAdded);
    judge(&preload, &extremes, worst_yield_share, &capacity, &mut cautions);

    Ok(TorqueAdvice {
        fastener,
        wrench,
        clamping: aim.clamping,
        nut_factor,
        form: input.actual.form(),
        conversion: aim.conversion,
        preload,
        extremes,
        worst_yield_share,
        scatter_share,
        loads: capacity.loads,
        passes: input.passes.map(|plan| Passes::split(fastener.nominal, plan)),
        cautions,
    })
}

/// Refuses what is never scaled.
fn refuse_angle_and_yield(method: TighteningMethod) -> Result<(), CalcError> {
    let why = match method {
        TighteningMethod::Torque => return Ok(()),
        TighteningMethod::TorqueAndAngle => {
            "a torque-and-angle specification is never scaled: its torque only snugs, its angle makes the preload; \
             follow the maker"
        }
        TighteningMethod::TorqueToYield => {
            "a bolt tightened into yield is never set by a calculated torque: follow the maker and fit a new bolt"
        }
    };
    Err(CalcError::Conflict { field: "method", other: "target", why })
}

/// Returns the torque that makes preload at likely friction.
fn aim(
    input: &TorqueInput,
    screw: &Screw,
    arms: &Arms,
    capacity: &Capacity,
    prevailing: Torque,
    cautions: &mut Cautions,
) -> Result<Aim, CalcError> {
    let preload = match input.target {
        Target::Specified { torque, condition, includes_prevailing } => {
            let torque = Torque::from_n_m(TORQUE.check(torque.n_m())?);
            let contained = match (input.prevailing, includes_prevailing) {
                (None, _) | (_, Some(false)) => Torque::ZERO,
                (Some(_), Some(true)) => prevailing,
                (Some(_), None) => {
                    return Err(CalcError::Missing {
                        field: "includes_prevailing",
                        by: "a printed torque on a nut with prevailing torque",
                    });
                }
            };
            let clamping = prevailing::clamping(torque, contained)?;
            if let Some(conversion) = conversion(screw, arms, condition, input.actual)? {
                cautions.add_if(conversion.factor != 1.0, Caution::Converted);
                let clamping = clamping * conversion.factor;
                return Ok(Aim { clamping, contained, conversion: Some(conversion) });
            }
            cautions.add_if(!condition.is_known(), Caution::SpecifiedConditionUnknown);
            return Ok(Aim { clamping, contained, conversion: None });
        }
        Target::ShareOfProof(share) => {
            let proof = capacity.loads.proof.ok_or(CalcError::Missing { field: "proof", by: "a share of proof" })?;
            proof * PROOF_SHARE.check(share)?
        }
        Target::ShareOfYield(share) => capacity.preload_at_yield_share(YIELD_SHARE.check(share)?, &arms.nominal)?,
        Target::Preload(preload) => Force::from_n(PRELOAD.check(preload.n())?),
    };
    Ok(Aim { clamping: arms.nominal.torque(preload), contained: Torque::ZERO, conversion: None })
}

/// Returns the conversion from the specified to the actual condition, when both are known.
fn conversion(
    screw: &Screw,
    arms: &Arms,
    specified: Condition,
    actual: Condition,
) -> Result<Option<Conversion>, CalcError> {
    if !specified.is_known() || !actual.is_known() {
        return Ok(None);
    }
    let from = screw.arms(&specified)?;
    let form = match (specified.form(), actual.form()) {
        (TorqueForm::Short, TorqueForm::Short) => TorqueForm::Short,
        _ => TorqueForm::Long,
    };
    Ok(Some(Conversion { factor: arms.nominal.total / from.nominal.total, form, specified: screw.nut_factor(&from) }))
}

/// Returns the torque at the fastener with its window.
fn window(input: &TorqueInput, aim: &Aim, prevailing: Torque) -> Result<Setting, CalcError> {
    let nominal = aim.clamping + prevailing;
    let (low, high) = match (input.window, input.target) {
        (None, _) => return Ok(Setting { low: None, nominal, high: None }),
        (Some(Window::Share(share)), _) => {
            let share = WINDOW.check(share)?;
            (nominal * (1.0 - share), nominal * (1.0 + share))
        }
        (Some(Window::Printed { low, high }), Target::Specified { torque, .. }) => {
            TORQUE.check(low.n_m())?;
            TORQUE.check(high.n_m())?;
            if torque < low || high < torque {
                return Err(CalcError::Conflict {
                    field: "window",
                    other: "torque_n_m",
                    why: "a printed window holds its torque",
                });
            }
            let factor = aim.conversion.map_or(1.0, |conversion| conversion.factor);
            let carry = |end: Torque| (end - aim.contained) * factor + prevailing;
            (carry(low), carry(high))
        }
        (Some(Window::Printed { .. }), _) => {
            return Err(CalcError::Conflict {
                field: "window",
                other: "target",
                why: "a printed window belongs to a printed torque; give the window as a share",
            });
        }
    };
    Ok(Setting { low: Some(low), nominal, high: Some(high) })
}

/// Returns least, likely and greatest preload for these clamping torques.
pub(in crate::calc) fn range(
    capacity: &Capacity,
    arms: &Arms,
    least: Torque,
    nominal: Torque,
    greatest: Torque,
) -> PreloadRange {
    PreloadRange {
        min: capacity.point(arms.high.preload(least), &arms.high),
        nominal: capacity.point(arms.nominal.preload(nominal), &arms.nominal),
        max: capacity.point(arms.low.preload(greatest), &arms.low),
    }
}

/// Returns the greatest share of yield over every corner of the friction band.
///
/// More friction in the threads lowers the preload but raises the twist, so the worst corner is not always the
/// slipperiest.
pub(in crate::calc) fn worst_yield_share(capacity: &Capacity, arms: &Arms, clamping: Torque) -> Option<f64> {
    [arms.low, arms.nominal, arms.high, arms.twisting]
        .iter()
        .map(|arm| capacity.yield_share(arm.preload(clamping), arm))
        .try_fold(0.0, |worst: f64, share| Some(worst.max(share?)))
}

/// Says what the preload does to bolt and nut.
pub(in crate::calc) fn judge(
    preload: &PreloadRange,
    extremes: &PreloadRange,
    worst_yield_share: Option<f64>,
    capacity: &Capacity,
    cautions: &mut Cautions,
) {
    let over = |share: Option<f64>| share.is_some_and(|share| 1.0 < share);
    cautions.add_if(over(preload.nominal.proof_share), Caution::NominalOverProof);
    cautions.add_if(over(extremes.max.proof_share), Caution::OverProof);
    cautions.add_if(worst_yield_share.is_some_and(|share| 1.0 <= share), Caution::OverYield);
    cautions.add_if(1.0 <= extremes.max.tension_share, Caution::OverYield);
    let nut = capacity.loads.nut_proof;
    cautions.add_if(nut.is_some_and(|nut| nut < extremes.max.force), Caution::OverNutProof);
    cautions.add_if(extremes.max.force > extremes.min.force * 2.0, Caution::WidePreload);
    let breaking = extremes.max.force > capacity.loads.tensile * 0.75;
    cautions.add_if(breaking, Caution::BreaksEarlier);
}

impl Setting {
    /// Returns it as set on a wrench with this ratio.
    fn scaled(self, ratio: f64) -> Self {
        let scale = |torque: Torque| torque * ratio;
        Self { low: self.low.map(scale), nominal: scale(self.nominal), high: self.high.map(scale) }
    }

    /// Returns the window as plus or minus a share of its middle; nothing without a window.
    #[must_use]
    pub fn window_share(&self) -> f64 {
        match (self.low, self.high) {
            (Some(low), Some(high)) => (high - low) / (high + low),
            _ => 0.0,
        }
    }
}
