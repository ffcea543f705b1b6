//! The bolt: thread, class, face, head, length.

use super::{Around, CompareInput, LENGTH, Reason, ReasonKind};
use crate::{
    calc::joint::grip::{Stack, Standing},
    error::CalcError,
    model::{
        fastener::{Bolt, BoltClass, ClassSystem, IsoClass, SaeGrade},
        thread::Thread,
    },
    tables,
    units::Length,
};

pub(super) fn compare(input: &CompareInput, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    let (specified, offered) = (&input.specified.bolt, &input.offered.bolt);
    reasons.push(Reason::bare(ReasonKind::MakerOverrides));
    if let Some(kind) = thread_clash(&specified.thread, &offered.thread) {
        reasons.push(Reason::with(kind, offered.thread.diameter.mm(), specified.thread.diameter.mm(), "mm"));
    }
    class(input, reasons)?;
    if let (Some(wanted), Some(got)) = (specified.bearing_diameter, offered.bearing_diameter)
        && got.mm() + 1e-9 < wanted.mm()
    {
        reasons.push(Reason::with(ReasonKind::SmallerFace, got.mm(), wanted.mm(), "mm"));
    }
    if let (Some(wanted), Some(got)) = (specified.head, offered.head)
        && wanted != got
    {
        reasons.push(Reason::bare(ReasonKind::OtherHead));
    }
    length(input, reasons)?;
    metals(input, reasons);
    Ok(())
}

/// Returns how two threads clash, `None` when they are one and the same.
pub(super) fn thread_clash(one: &Thread, other: &Thread) -> Option<ReasonKind> {
    if one.mates(other) {
        None
    } else if one.is_mistaken_for(other) {
        Some(ReasonKind::ThreadsLookAlike)
    } else if one.system == other.system && (one.diameter - other.diameter).abs().mm() < 1e-4 {
        Some(ReasonKind::OtherPitch)
    } else {
        Some(ReasonKind::OtherThread)
    }
}

fn class(input: &CompareInput, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    let (specified, offered) = (&input.specified.bolt, &input.offered.bolt);
    let Some(wanted) = specified.class else {
        reasons.push(Reason::bare(ReasonKind::SpecifiedUnknown));
        return Ok(());
    };
    let Some(got) = offered.class else {
        reasons.push(Reason::bare(ReasonKind::ClassUnknown));
        return Ok(());
    };
    if hard(got) {
        match input.electroplated {
            _ if very_hard(got) => reasons.push(Reason::bare(ReasonKind::Embrittlement)),
            Some(true) => reasons.push(Reason::bare(ReasonKind::Embrittlement)),
            None => reasons.push(Reason::bare(ReasonKind::PlatingUnknown)),
            Some(false) => {}
        }
    }
    if wanted.system() != got.system() {
        reasons.push(Reason::bare(ReasonKind::OtherFamily));
        return Ok(());
    }
    let (needs, has) = (strength(specified, wanted)?, strength(offered, got)?);
    // Every figure counts: 9.8 breaks later than 8.8 and both must do so; a class lower in any is lower.
    let pair = |at: usize| (needs.get(at).copied().unwrap_or(f64::NAN), has.get(at).copied().unwrap_or(f64::NAN));
    let first = (0..needs.len()).map(pair).find(|(needs, has)| has + 1e-9 < *needs);
    if let Some((needs, has)) = first {
        reasons.push(Reason::with(ReasonKind::LowerClass, has, needs, "MPa"));
    } else if let Some((needs, has)) = (0..needs.len()).map(pair).find(|(needs, has)| needs + 1e-9 < *has) {
        reasons.push(Reason::with(ReasonKind::HigherClass, has, needs, "MPa"));
        reasons.push(Reason::bare(ReasonKind::SheetMayYield));
    }
    Ok(())
}

/// Returns proof (yield where there is none), yield and tensile strength, MPa.
fn strength(bolt: &Bolt, class: BoltClass) -> Result<[f64; 3], CalcError> {
    let row = match bolt.length {
        Some(length) => tables::bolt_strength_at(class, &bolt.thread, length)?,
        None => tables::bolt_strength(class, &bolt.thread)?,
    };
    Ok([row.proof.unwrap_or(row.yield_min).mpa(), row.yield_min.mpa(), row.tensile_min.mpa()])
}

/// Whether plating can embrittle it.
const fn hard(class: BoltClass) -> bool {
    matches!(class, BoltClass::Iso(IsoClass::C10_9 | IsoClass::C12_9) | BoltClass::Sae(SaeGrade::G8 | SaeGrade::G8_2))
}

/// Whether it is above the hardness where cracks come without plating too.
const fn very_hard(class: BoltClass) -> bool {
    matches!(class, BoltClass::Iso(IsoClass::C12_9))
}

fn length(input: &CompareInput, reasons: &mut Vec<Reason>) -> Result<(), CalcError> {
    let offered = &input.offered;
    let Some(nut) = &offered.nut else { return Ok(()) };
    let washers = match &offered.washer {
        Some(washer) => washer.thickness,
        None => Some(Length::ZERO),
    };
    let height = nut.height.or_else(|| tables::nut_height(&nut.thread));
    let (Some(grip), Some(length), Some(washers), Some(height)) = (input.grip, offered.bolt.length, washers, height)
    else {
        reasons.push(Reason::bare(ReasonKind::LengthUnknown));
        return Ok(());
    };
    LENGTH.check(length.mm())?;
    let stack = Stack { grip, washers, nut: height, pitch: offered.bolt.thread.pitch };
    let kind = match stack.protrusion(length)?.standing {
        Standing::Short | Standing::NutNotFilled | Standing::UnderOneThread | Standing::UnderTwoThreads => {
            ReasonKind::TooShort
        }
        Standing::Long => ReasonKind::TooLong,
        Standing::Good => return Ok(()),
    };
    reasons.push(Reason::with(kind, length.mm(), stack.least_length()?.mm(), "mm"));
    Ok(())
}

fn metals(input: &CompareInput, reasons: &mut Vec<Reason>) {
    let Some(class) = input.offered.bolt.class else { return };
    let stainless = class.system() == ClassSystem::Stainless;
    let kind = match (stainless, input.around) {
        (true, Some(Around::Aluminium)) => Some(ReasonKind::StainlessInAluminium),
        (false, Some(Around::Stainless)) => Some(ReasonKind::SteelInStainless),
        (false, Some(Around::Aluminium)) => Some(ReasonKind::SteelInAluminium),
        _ => None,
    };
    reasons.extend(kind.map(Reason::bare));
    let nut = input.offered.nut.as_ref().and_then(|nut| nut.class).map(crate::model::fastener::NutClass::system);
    if stainless && (nut == Some(ClassSystem::Stainless) || input.around == Some(Around::Stainless)) {
        reasons.push(Reason::bare(ReasonKind::Galling));
    }
}
