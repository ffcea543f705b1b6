//! The washer: room around the bolt, bearing area, hardness.

use super::{CompareInput, Reason, ReasonKind};
use crate::{
    calc::joint::pressure::Ring,
    model::fastener::{Bolt, BoltClass, IsoClass, SaeGrade, StainlessClass, Washer},
    units::Length,
};

/// How much room a washer needs, mm over the bolt (common practice): a 3/8 in washer on M10 has 0.32 mm and may sit on
/// the fillet.
pub const LEAST_GAP_MM: f64 = 0.35;
pub(super) fn compare(input: &CompareInput, reasons: &mut Vec<Reason>) {
    let washer = match (&input.specified.washer, &input.offered.washer) {
        (None, None) => return,
        (Some(_), None) => return reasons.push(Reason::bare(ReasonKind::WasherMissing)),
        (None, Some(washer)) => {
            reasons.push(Reason::bare(ReasonKind::WasherAdded));
            washer
        }
        (Some(_), Some(washer)) => washer,
    };
    let bolt = &input.offered.bolt;
    let (Some(inner), Some(outer)) = (washer.inner_diameter, washer.outer_diameter) else {
        return reasons.push(Reason::bare(ReasonKind::WasherUnknown));
    };
    let gap = (inner - bolt.thread.diameter).mm();
    let room = |kind| Reason::with(kind, gap, LEAST_GAP_MM, "mm");
    if gap <= 0.0 {
        reasons.push(room(ReasonKind::WasherDoesNotFit));
    } else if gap < LEAST_GAP_MM {
        reasons.push(room(ReasonKind::WasherOnFillet));
    }
    area(input, Ring { outer, hole: inner }, reasons);
    hardness(bolt, washer, reasons);
}

/// Bearing area on the part: the washer's outside, and the larger of its own hole and the part's.
fn area(input: &CompareInput, ring: Ring, reasons: &mut Vec<Reason>) {
    let hole = input.specified.bolt.hole_diameter.unwrap_or(Length::ZERO);
    let area = |outer: Length, inner: Length| Ring { outer, hole: inner.max(hole) }.area().ok();
    let got = area(ring.outer, ring.hole);
    let Some(specified) = &input.specified.washer else { return };
    let (Some(inner), Some(outer)) = (specified.inner_diameter, specified.outer_diameter) else {
        return reasons.push(Reason::bare(ReasonKind::WasherUnknown));
    };
    match (got, area(outer, inner)) {
        (None, _) => reasons.push(Reason::bare(ReasonKind::SmallerWasher)),
        (Some(got), Some(wanted)) => {
            let figures = |kind| Reason::with(kind, got.mm2(), wanted.mm2(), "mm²");
            if got.mm2() + 1e-6 < wanted.mm2() {
                reasons.push(figures(ReasonKind::SmallerWasher));
            } else if wanted.mm2() + 1e-6 < got.mm2() {
                reasons.push(figures(ReasonKind::LargerWasher));
            }
        }
        (Some(_), None) => reasons.push(Reason::bare(ReasonKind::WasherUnknown)),
    }
}

fn hardness(bolt: &Bolt, washer: &Washer, reasons: &mut Vec<Reason>) {
    let Some(needed) = bolt.class.and_then(least_hardness) else { return };
    match washer.hardness_hv {
        None => reasons.push(Reason::bare(ReasonKind::HardnessUnknown)),
        Some(hv) if needed <= hv => {}
        Some(hv) => reasons.push(Reason::with(ReasonKind::SoftWasher, hv, needed, "HV")),
    }
}

/// Returns the least hardness of a washer under a bolt of this class, where there is a rule.
pub(super) const fn least_hardness(class: BoltClass) -> Option<f64> {
    match class {
        BoltClass::Iso(IsoClass::C10_9 | IsoClass::C12_9) | BoltClass::Sae(SaeGrade::G8 | SaeGrade::G8_2) => {
            Some(300.0)
        }
        BoltClass::Iso(IsoClass::C8_8 | IsoClass::C9_8)
        | BoltClass::Sae(SaeGrade::G4 | SaeGrade::G5 | SaeGrade::G5_2) => Some(200.0),
        BoltClass::Iso(_)
        | BoltClass::Sae(_)
        | BoltClass::Stainless(StainlessClass::C50 | StainlessClass::C70 | StainlessClass::C80) => None,
    }
}
