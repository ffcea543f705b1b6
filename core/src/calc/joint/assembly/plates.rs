//! The clamped parts as sheets around the bolt.

use super::{Assembly, Check, Plate};
use crate::{
    calc::joint::{
        Said, Sheet,
        item::{ItemKind, Unknown},
        sheet::{Ahead, Place, Seat},
    },
    error::CalcError,
};

/// Lists the parts as sheets. A part that lacks thickness, hole or strength makes its items unknown; it keeps its number.
pub(super) fn of(assembly: &Assembly, unknown: &mut Vec<Unknown>) -> Said<Vec<Sheet>> {
    if assembly.leaves_out(Check::Plates) {
        return Said::NotThere;
    }
    if assembly.plates.is_empty() {
        return Said::Nothing;
    }
    let mut sheets = Vec::new();
    for (at, plate) in assembly.plates.iter().enumerate() {
        match seat(assembly, plate) {
            Ok(seat) => sheets.push(sheet(assembly, plate, seat, at)),
            Err(field) => {
                let mut kinds = vec![ItemKind::HoleBearing(at), ItemKind::TearOut(at)];
                if !assembly.leaves_out(Check::NetSection) {
                    kinds.push(ItemKind::NetSection(at));
                }
                unknown.extend(
                    kinds.into_iter().map(|kind| Unknown { kind, why: CalcError::Missing { field, by: kind.id() } }),
                );
            }
        }
    }
    Said::Given(sheets)
}

fn seat(assembly: &Assembly, plate: &Plate) -> Result<Seat, &'static str> {
    Ok(Seat {
        diameter: assembly.bolt.thread.diameter,
        hole: plate.hole.ok_or("plates[].hole_diameter_mm")?,
        thickness: plate.thickness.ok_or("plates[].thickness_mm")?,
        tensile: plate.tensile.ok_or("plates[].tensile_mpa")?,
    })
}

fn sheet(assembly: &Assembly, plate: &Plate, seat: Seat, number: usize) -> Sheet {
    let place = plate.end.zip(plate.side).map(|(end, side)| Place { end, side, pitch: plate.pitch });
    Sheet {
        number,
        seat,
        ahead: plate.end.map_or(Said::Nothing, |end| Said::Given(Ahead::Edge(end))),
        place: place.map_or(Said::Nothing, Said::Given),
        strip: match plate.strip {
            _ if assembly.leaves_out(Check::NetSection) => Said::NotThere,
            Some(strip) => Said::Given(strip),
            None => Said::Nothing,
        },
    }
}
