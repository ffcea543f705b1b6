//! The nut: thread, class, height, galvanising, locking.

use super::{CompareInput, Reason, ReasonKind, bolt::thread_clash};
use crate::{
    error::CalcError,
    model::fastener::{BoltClass, Nut, NutClass, NutKind},
    tables::{self, NutMatch, iso_10684},
    units::Torque,
};

pub(super) fn compare(input: &CompareInput, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    let Some(nut) = &input.offered.nut else {
        if input.specified.nut.is_some() {
            reasons.push(Reason::bare(ReasonKind::NutMissing));
        }
        return Ok(());
    };
    match thread_clash(&input.offered.bolt.thread, &nut.thread) {
        Some(ReasonKind::ThreadsLookAlike) => reasons.push(Reason::bare(ReasonKind::ThreadsLookAlike)),
        Some(_) => reasons.push(Reason::bare(ReasonKind::NutDoesNotMate)),
        None => {}
    }
    class(input, nut, reasons);
    galvanised(input, nut, reasons)?;
    locking(input, nut, reasons);
    Ok(())
}

fn class(input: &CompareInput, nut: &Nut, reasons: &mut Vec<Reason>) {
    let specified = input.specified.nut.as_ref();
    let thin = nut.kind == Some(NutKind::Thin) || nut.class.is_some_and(NutClass::is_thin);
    let thin_wanted =
        specified.is_some_and(|nut| nut.kind == Some(NutKind::Thin) || nut.class.is_some_and(NutClass::is_thin));
    if thin && !thin_wanted {
        reasons.push(Reason::bare(ReasonKind::ThinNut));
        return;
    }
    let (Some(got), Some(_)) = (nut.class, nut.kind) else {
        reasons.push(Reason::bare(ReasonKind::NutClassUnknown));
        return;
    };
    if let Some(bolt) = input.specified.bolt.class
        && !thin_wanted
    {
        match tables::nut_matches(bolt, got) {
            NutMatch::Weaker | NutMatch::OtherSystem => return reasons.push(weaker(bolt, got)),
            NutMatch::Same | NutMatch::Stronger => {}
        }
    }
    if let Some(bolt) = input.offered.bolt.class
        && !thin_wanted
        && matches!(tables::nut_matches(bolt, got), NutMatch::Weaker)
    {
        reasons.push(Reason::bare(ReasonKind::NutLimits));
    }
    if let Some(wanted) = specified.and_then(|nut| nut.class) {
        let like = wanted.system() == got.system();
        if !like || got.number() < wanted.number() {
            let (got, wanted) = (f64::from(got.number()), f64::from(wanted.number()));
            reasons.push(Reason::with(ReasonKind::WeakerNut, got, wanted, "class"));
        } else if wanted.number() < got.number() {
            let (got, wanted) = (f64::from(got.number()), f64::from(wanted.number()));
            reasons.push(Reason::with(ReasonKind::StrongerNut, got, wanted, "class"));
        }
    }
}

fn weaker(bolt: BoltClass, nut: NutClass) -> Reason {
    let needed = match bolt {
        BoltClass::Iso(class) => tables::iso_898_2::least_nut(class),
        BoltClass::Sae(grade) => grade.number(),
        BoltClass::Stainless(class) => class.number(),
    };
    Reason::with(ReasonKind::WeakerNut, f64::from(nut.number()), f64::from(needed), "class")
}

/// Galvanised M8 and M10 nuts hold less; against the specified nut, or the bolt's own proof load.
fn galvanised(input: &CompareInput, nut: &Nut, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    if !iso_10684::is_weakened(&nut.thread) {
        return Ok(());
    }
    let wanted_too = input.specified.bolt.hot_dip_galvanised == Some(true);
    match input.offered.bolt.hot_dip_galvanised {
        None => reasons.push(Reason::bare(ReasonKind::GalvanisingUnknown)),
        Some(true) if !wanted_too => {
            let Some(class) = nut.class else { return Ok(()) };
            let full = tables::nut_proof(class, &nut.thread)?.load.kn();
            let left = tables::nut_proof_galvanised(class, &nut.thread).map_or(0.0, |proof| proof.load.kn());
            let needed = match input.specified.nut.as_ref().and_then(|nut| nut.class) {
                Some(class) => tables::nut_proof(class, &nut.thread)?.load.kn(),
                None => full,
            };
            if left < needed {
                reasons.push(Reason::with(ReasonKind::GalvanisedNut, left, needed, "kN"));
            }
        }
        Some(_) => {}
    }
    Ok(())
}

fn locking(input: &CompareInput, nut: &Nut, reasons: &mut Vec<Reason>) {
    let locks = |nut: &Nut| nut.prevailing_torque.is_some_and(|torque| Torque::ZERO < torque);
    let specified = input.specified.nut.as_ref().is_some_and(locks);
    let kind = match (input.specified_locks.or(specified.then_some(true)), locks(nut)) {
        (Some(true), false) => Some(ReasonKind::LockLost),
        (Some(false), true) => Some(ReasonKind::LockGained),
        (None, _) => Some(ReasonKind::LockUnknown),
        _ => None,
    };
    reasons.extend(kind.map(Reason::bare));
}
