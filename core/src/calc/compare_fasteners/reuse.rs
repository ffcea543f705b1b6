//! Whether a used bolt may be used again.

use super::{Reason, ReasonKind, Verdict, Weight};
use crate::{
    calc::torque::prevailing::{self, Lock},
    error::CalcError,
    model::fastener::{Bolt, Nut},
    units::Torque,
};

/// What an inspection found. Nobody having looked is never a good finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Inspection {
    /// Whether threads are deformed or damaged.
    pub threads_damaged: Option<bool>,
    /// Whether there is rust that cannot be wiped off.
    pub rust_stays: Option<bool>,
    /// Whether the surface is pitted.
    pub pitted: Option<bool>,
    /// Whether the shank is visibly drawn out.
    pub stretched: Option<bool>,
    /// Whether it locks: patch, insert, deformed thread.
    pub locks: Option<bool>,
    /// Whether it was ever tightened beyond proof, or shows it.
    pub over_proof: Option<bool>,
    /// Whether it was tightened into yield by its specification.
    pub into_yield: Option<bool>,
    /// Whether it is a tensioned structural bolt.
    pub structural: Option<bool>,
}

/// Adds what an inspection says.
pub(super) fn judge(found: &Inspection, bolt: &Bolt, reasons: &mut Vec<Reason>) {
    let into_yield = if bolt.single_use == Some(true) { Some(true) } else { found.into_yield };
    let looked = [
        (found.threads_damaged, ReasonKind::ThreadsDamaged),
        (found.rust_stays, ReasonKind::RustStays),
        (found.pitted, ReasonKind::Pitted),
        (found.stretched, ReasonKind::Stretched),
        (found.locks, ReasonKind::LockingUsed),
        (found.over_proof, ReasonKind::Overtightened),
        (into_yield, ReasonKind::SingleUse),
        (found.structural, ReasonKind::StructuralUsed),
    ];
    for (seen, kind) in looked {
        if seen == Some(true) {
            reasons.push(Reason::bare(kind));
        }
    }
    if looked.iter().any(|(seen, _)| seen.is_none()) {
        reasons.push(Reason::bare(ReasonKind::NotInspected));
    } else if looked.iter().all(|(seen, _)| *seen == Some(false)) {
        reasons.push(Reason::bare(ReasonKind::GoodUsed));
    }
}

/// A nut that has been tightened before.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct UsedNut {
    /// What locks it.
    pub lock: Option<Lock>,
    /// Its prevailing torque, measured while it runs down.
    pub prevailing: Option<Torque>,
}

/// Adds what a used nut says: one that locks must still prevail with the least that is printed for its size.
pub(super) fn judge_nut(used: &UsedNut, nut: &Nut, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    let locks = used.lock.is_some() || nut.prevailing_torque.is_some_and(|torque| Torque::ZERO < torque);
    if !locks {
        return Ok(());
    }
    let (Some(lock), Some(measured)) = (used.lock, used.prevailing) else {
        reasons.push(Reason::bare(ReasonKind::NutLockUnmeasured));
        return Ok(());
    };
    prevailing::PREVAILING.check(measured.n_m())?;
    let Ok(least) = prevailing::least_for_reuse(&nut.thread, lock) else {
        reasons.push(Reason::bare(ReasonKind::NutLeastUnprinted));
        return Ok(());
    };
    let kind = match prevailing::may_be_used_again(&nut.thread, lock, measured)? {
        true => ReasonKind::NutStillLocks,
        false => ReasonKind::NutLocksNoMore,
    };
    reasons.push(Reason::with(kind, measured.n_m(), least.n_m(), "N·m"));
    Ok(())
}

/// Whether a used bolt may be used again.
#[derive(Debug, Clone, PartialEq)]
pub struct Reuse {
    /// `Some(true)`: it may; `Some(false)`: discard; `None`: not everything was looked at.
    pub may: Option<bool>,
    /// Why.
    pub reasons: Vec<Reason>,
}

/// Returns whether a used bolt may be used again, by itself.
///
/// # Source
///
/// US Army TB 43-0218, sections III to V; each reason names its own.
#[must_use]
pub fn may_be_used_again(found: &Inspection, bolt: &Bolt) -> Reuse {
    let mut reasons = Vec::new();
    judge(found, bolt, &mut reasons);
    let worst = reasons.iter().map(|reason| reason.kind.weight()).max().unwrap_or(Weight::Unknown);
    let may = match worst.verdict() {
        Verdict::Same | Verdict::BetterKeepTorque => Some(true),
        Verdict::Unknown => None,
        Verdict::WorseRefuse => Some(false),
    };
    Reuse { may, reasons }
}
