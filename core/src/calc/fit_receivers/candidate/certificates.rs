//! What the plate of a receiver must say where the UN/EU coupling rules apply: D, S, V and an approval number.

use super::{Bare, Reason};
use crate::{
    calc::coupling::{V_FROM, d_value},
    model::{receiver::Receiver, trailer::DrawbarKind},
};

/// Notes what the plate lacks. D goes by the gross ratings of vehicle and trailer, as the regulation asks, and so does V.
pub(super) fn check(bare: &Bare<'_>, receiver: &Receiver, reasons: &mut Vec<Reason>) {
    let input = bare.input;
    if !input.european {
        return;
    }
    let unknown = |path| Reason::UnknownFigure { path };
    if receiver.approval_mark.as_deref().is_none_or(|mark| mark.trim().is_empty()) {
        reasons.push(unknown("receiver.approval_mark"));
    }
    if receiver.s_value.is_none() {
        // One that is known is a link of the tongue load.
        reasons.push(unknown("receiver.s_value_kg"));
    }
    let trailer_gross = input.trailer.and_then(|trailer| trailer.gvwr);
    match (input.vehicle.gvwr, trailer_gross, receiver.d_value) {
        (None, _, _) => reasons.push(unknown("vehicle.gvwr")),
        (_, None, _) => reasons.push(unknown("trailer.gvwr")),
        (_, _, None) => reasons.push(unknown("receiver.d_value_kn")),
        (Some(vehicle), Some(trailer), Some(certified)) => match d_value(vehicle, trailer) {
            Ok(needed) if needed <= certified => {}
            Ok(needed) => {
                reasons.push(Reason::CouplingShort { path: "receiver.d_value_kn", value: "D", needed, certified });
            }
            Err(_) => reasons.push(unknown("trailer.gvwr")),
        },
    }
    let Some(trailer) = input.trailer.filter(|_| trailer_gross.is_some_and(|gross| V_FROM < gross)) else { return };
    match (trailer.drawbar, trailer.v_value_needed, receiver.v_value) {
        (Some(DrawbarKind::Free | DrawbarKind::FifthWheel), _, _) => {}
        (None, _, _) => reasons.push(unknown("trailer.drawbar")),
        (Some(DrawbarKind::CentreAxle), None, _) => reasons.push(unknown("trailer.v_value_needed_kn")),
        (Some(DrawbarKind::CentreAxle), Some(_), None) => reasons.push(unknown("receiver.v_value_kn")),
        (Some(DrawbarKind::CentreAxle), Some(needed), Some(certified)) => {
            if certified < needed {
                reasons.push(Reason::CouplingShort { path: "receiver.v_value_kn", value: "V", needed, certified });
            }
        }
    }
}
