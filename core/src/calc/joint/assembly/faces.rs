//! Every face that bears: head, nut and washers.

use super::{Assembly, Plate};
use crate::{
    calc::joint::{
        Face, Under,
        item::{ItemKind, Unknown},
        pressure::Ring,
    },
    error::CalcError,
    model::fastener::{HeadKind, NutKind, Washer},
    tables,
    units::Length,
};

/// Lists the faces whose ring is known; the others become unknown.
pub(super) fn of(assembly: &Assembly, unknown: &mut Vec<Unknown>) -> Vec<Face> {
    let mut faces = Vec::new();
    let mut keep = |under: Under, face: Result<Face, CalcError>| match face {
        Ok(face) => faces.push(face),
        Err(why) => unknown.push(Unknown { kind: ItemKind::Pressure(under), why }),
    };
    let head = Side {
        under: [Under::Head, Under::HeadWasher],
        outer: head(assembly).ok_or("bolt.bearing_diameter_mm"),
        washer: assembly.head_washer.as_deref().map(|washer| (washer, "head_washer")),
        plate: assembly.plates.first(),
    };
    head.faces(assembly, &mut keep);
    if assembly.tapped != Some(true) {
        let nut = Side {
            under: [Under::Nut, Under::NutWasher],
            outer: nut(assembly),
            washer: assembly.nut_washer.as_deref().map(|washer| (washer, "nut_washer")),
            plate: assembly.plates.last(),
        };
        nut.faces(assembly, &mut keep);
    }
    faces
}

/// Returns whether a bearing diameter comes from the tables.
pub(super) fn from_tables(assembly: &Assembly) -> bool {
    let nut = assembly.nut.as_ref().is_some_and(|nut| nut.bearing_diameter.is_none());
    assembly.bolt.bearing_diameter.is_none() || nut
}

/// The outer diameter of the head's bearing face: as known, or by the table of hexagon heads.
fn head(assembly: &Assembly) -> Option<Length> {
    let bolt = &assembly.bolt;
    let tabled = || match bolt.head {
        Some(HeadKind::Hex) | None => tables::bearing_diameter(&bolt.thread),
        Some(_) => None,
    };
    bolt.bearing_diameter.or_else(tabled)
}

fn nut(assembly: &Assembly) -> Result<Length, &'static str> {
    let nut = assembly.nut.as_ref().ok_or("nut")?;
    let tabled = || match nut.kind {
        Some(NutKind::Regular | NutKind::Thin) | None => tables::bearing_diameter(&nut.thread),
        Some(_) => None,
    };
    nut.bearing_diameter.or_else(tabled).ok_or("nut.bearing_diameter_mm")
}

/// One end of the bolt.
struct Side<'a> {
    /// The face itself, and that of its washer.
    under: [Under; 2],
    outer: Result<Length, &'static str>,
    washer: Option<(&'a Washer, &'static str)>,
    plate: Option<&'a Plate>,
}

impl Side<'_> {
    fn faces(&self, assembly: &Assembly, keep: &mut impl FnMut(Under, Result<Face, CalcError>)) {
        let [own, through] = self.under;
        let missing = |under: Under, field| CalcError::Missing { field, by: ItemKind::Pressure(under).id() };
        let hole = |under: Under| {
            let plate = self.plate.ok_or(missing(under, "plates"))?;
            Ok((plate.hole.ok_or(missing(under, "plates[].hole_diameter_mm"))?, plate.limit))
        };
        let Some((washer, field)) = self.washer else {
            let face = hole(own).and_then(|(hole, limit)| {
                let outer = self.outer.map_err(|field| missing(own, field))?;
                Ok(Face { under: own, ring: Ring { outer, hole }, limit })
            });
            keep(own, face);
            return;
        };
        let lacks = |field: &'static str| match field {
            "head_washer" => "head_washer.inner_diameter",
            _ => "nut_washer.inner_diameter",
        };
        let inner = washer.inner_diameter;
        let face = inner.ok_or(missing(own, lacks(field))).and_then(|inner| {
            let outer = self.outer.map_err(|field| missing(own, field))?;
            let rim = washer.outer_diameter.map_or(outer, |rim| rim.min(outer));
            Ok(Face { under: own, ring: Ring { outer: rim, hole: inner }, limit: assembly.washer_limit })
        });
        keep(own, face);
        let face = hole(through).and_then(|(hole, limit)| {
            let outer = washer.outer_diameter.ok_or(missing(
                through,
                match field {
                    "head_washer" => "head_washer.outer_diameter",
                    _ => "nut_washer.outer_diameter",
                },
            ))?;
            let hole = inner.map_or(hole, |inner| inner.max(hole));
            Ok(Face { under: through, ring: Ring { outer, hole }, limit })
        });
        keep(through, face);
    }
}
