//! Faces, sheets and plates that pry.

use super::{Known, Sheaf, Spot};
use crate::{
    calc::joint::{ItemKind, Said, sheet},
    error::CalcError,
    tables::limiting_pressure,
    units::Force,
};

/// Pressure under every face.
pub(super) fn pressures(known: &Known<'_>, sheaf: &mut Sheaf) {
    match &known.input.faces {
        Said::NotThere => {}
        Said::Nothing => sheaf.nobody_said(ItemKind::Pressure(crate::calc::joint::Under::Head), "faces"),
        Said::Given(faces) => {
            for face in faces {
                let kind = ItemKind::Pressure(face.under);
                let pair = known.greatest_bolt_force().and_then(|force| {
                    let limit =
                        face.limit.ok_or(CalcError::Missing { field: "limiting_pressure_mpa", by: kind.id() })?;
                    Ok([face.ring.pressure(force)?.mpa(), limit.mpa()])
                });
                sheaf.whole(kind, "MPa", limiting_pressure::SOURCE, pair);
            }
        }
    }
}

/// Bearing, tear-out and net section of every sheet.
pub(super) fn sheets(known: &Known<'_>, sheaf: &mut Sheaf) {
    let sheets = match &known.input.sheets {
        Said::NotThere => return,
        Said::Nothing => {
            for kind in [ItemKind::HoleBearing(0), ItemKind::TearOut(0), ItemKind::NetSection(0)] {
                sheaf.nobody_said(kind, "sheets");
            }
            return;
        }
        Said::Given(sheets) => sheets,
    };
    for sheet in sheets {
        let at = sheet.number;
        let bearing = ItemKind::HoleBearing(at);
        match sheet.place {
            Said::Given(place) => {
                // Only caps a ratio at one when the sheet is the stronger, so that nominal and least strength serve alike.
                let bolt = known.capacity.loads.tensile / known.capacity.area;
                sheaf.worst(bearing, "N", sheet::EC3_SOURCE, &known.spots, |spot| {
                    Ok([spot.shear.n(), sheet::ec3(&sheet.seat, &place, bolt)?.n()])
                });
            }
            Said::NotThere | Said::Nothing => match sheet.ahead {
                Said::Given(ahead) => sheaf.worst(bearing, "N", sheet::AISC_SOURCE, &known.spots, |spot| {
                    Ok([spot.shear.n(), sheet::aisc(&sheet.seat, ahead)?.bearing.n() * sheet::PHI])
                }),
                _ => sheaf.nobody_said(bearing, "end_distance_mm"),
            },
        }
        let torn = ItemKind::TearOut(at);
        match sheet.ahead {
            Said::NotThere => {}
            Said::Nothing => sheaf.nobody_said(torn, "end_distance_mm"),
            Said::Given(ahead) => sheaf.worst(torn, "N", sheet::AISC_SOURCE, &known.spots, |spot| {
                Ok([spot.shear.n(), sheet::aisc(&sheet.seat, ahead)?.tear_out.n() * sheet::PHI])
            }),
        }
        let net = ItemKind::NetSection(at);
        match sheet.strip {
            Said::NotThere => {}
            Said::Nothing => sheaf.nobody_said(net, "strip_width_mm"),
            Said::Given((width, holes)) => {
                let pair = sheet::net_section(width, holes, sheet.seat.hole, sheet.seat.thickness)
                    .map(|area| [all_shear(&known.spots).n(), (sheet.seat.tensile * area).n() * 0.9 / sheet::GAMMA_M2]);
                sheaf.whole(net, "N", sheet::NET_SOURCE, pair);
            }
        }
    }
}

/// Returns the greatest sum of all bolts' shear in one case, which a strip carries at most.
fn all_shear(spots: &[Spot]) -> Force {
    let mut most = Force::ZERO;
    for spot in spots {
        most = most.max(spots.iter().filter(|other| other.case == spot.case).map(|other| other.shear).sum());
    }
    most
}

/// A plate that bends between bolts and web.
pub(super) fn pried(known: &Known<'_>, sheaf: &mut Sheaf) {
    let kind = ItemKind::Prying;
    match known.input.stub {
        Said::NotThere => {}
        Said::Nothing => sheaf.nobody_said(kind, "stub"),
        Said::Given((stub, bolts)) => {
            let count = f64::from(bolts);
            let pair = |spot: &Spot| {
                super::super::group::BOLTS.check(count)?;
                Ok([(spot.tension * count).n(), stub.resistance()?.resistance.n()])
            };
            sheaf.worst(kind, "N", crate::calc::joint::prying::SOURCE, &known.spots, pair);
        }
    }
}
