//! What was read or weighed on the very unit, in the place of the entries' figures.

use std::sync::Arc;

use baybook_core::{
    calc::tyres::Designation,
    model::{
        trailer::Trailer,
        tyre::{Marking, Tyres},
        upfit::MakerTyres,
        vehicle::Axle,
        vehicle::Vehicle,
    },
    units::{Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{Fields, fields::LABEL_MAX, ranges};

/// Puts what was read on the very unit in the place of the entries' figures; returns what the entry said of the tyres.
pub(super) fn unit_figures(
    wire: Option<&pb::UnitFigures>,
    vehicle: Option<Arc<Vehicle>>,
    trailer: Option<Arc<Trailer>>,
    fields: &mut Fields,
) -> (Option<Arc<Vehicle>>, Option<Arc<Trailer>>, MakerTyres) {
    let mut maker = MakerTyres::default();
    let Some(wire) = wire else { return (vehicle, trailer, maker) };
    fields.under("unit_figures", |fields| {
        let mut mass = |name, wire: &Option<pb::Mass>| fields.mass(name, wire.as_ref(), &ranges::MASS);
        let gvwr = mass("gvwr", &wire.gvwr);
        let gcwr = mass("gcwr", &wire.gcwr);
        let front_gawr = mass("front_gawr", &wire.front_gawr);
        let rear_gawr = mass("rear_gawr", &wire.rear_gawr);
        let front_kerb = fields.number("front_kerb_kg", wire.front_kerb_kg, &ranges::MASS).map(Mass::from_kg);
        let rear_kerb = fields.number("rear_kerb_kg", wire.rear_kerb_kg, &ranges::MASS).map(Mass::from_kg);
        let front_tyres = designation("front_tyre_designation", &wire.front_tyre_designation, fields);
        let rear_tyres = designation("rear_tyre_designation", &wire.rear_tyre_designation, fields);
        let trailer_gvwr = fields.mass("trailer_gvwr", wire.trailer_gvwr.as_ref(), &ranges::MASS);
        let level = fields.number("coupler_height_level_mm", wire.coupler_height_level_mm, &ranges::HEIGHT);
        let vehicle = vehicle.map(|mut entry| {
            let vehicle = Arc::make_mut(&mut entry);
            vehicle.gvwr = gvwr.or(vehicle.gvwr);
            vehicle.gcwr = gcwr.or(vehicle.gcwr);
            vehicle.front.gawr = front_gawr.or(vehicle.front.gawr);
            vehicle.rear.gawr = rear_gawr.or(vehicle.rear.gawr);
            vehicle.front.kerb = front_kerb.or(vehicle.front.kerb);
            vehicle.rear.kerb = rear_kerb.or(vehicle.rear.kerb);
            maker.front = front_tyres.and_then(|tyres| other_tyres(&mut vehicle.front, &tyres));
            maker.rear = rear_tyres.and_then(|tyres| other_tyres(&mut vehicle.rear, &tyres));
            entry
        });
        if wire.trailer_gvwr.is_none() && wire.coupler_height_level_mm.is_none() {
            return (vehicle, trailer, maker);
        }
        let trailer = trailer.map(|mut entry| {
            let trailer = Arc::make_mut(&mut entry);
            trailer.gvwr = trailer_gvwr.or(trailer.gvwr);
            trailer.coupler_height_level = level.map(Length::from_mm).or(trailer.coupler_height_level);
            entry
        });
        if trailer.is_none() && fields.is_clean() {
            let field = if wire.trailer_gvwr.is_some() { "trailer_gvwr" } else { "coupler_height_level_mm" };
            fields.reject(field, "is a figure of the trailer, but the plan has none: name the trailer");
        }
        (vehicle, trailer, maker)
    })
}

/// A designation as written, and what it says.
struct Fitted {
    text: String,
    read: Designation,
}

fn designation(name: &'static str, text: &str, fields: &mut Fields) -> Option<Fitted> {
    let text = fields.optional_text(name, text, LABEL_MAX)?;
    if text.is_empty() {
        return None;
    }
    let read = Designation::read(&text).map_err(|error| fields.reject_calc(name, &error)).ok()?;
    Some(Fitted { text, read })
}

/// Puts other tyres on an axle; returns the designation of those that the entry names, where it names them.
fn other_tyres(axle: &mut Axle, fitted: &Fitted) -> Option<String> {
    let nothing = Tyres {
        designation: Marking::default(),
        kind: None,
        count: None,
        load_index: None,
        load_index_dual: None,
        loaded_radius: None,
        rate: None,
        wheel_rating: None,
        temporary_spare: None,
        same_across_axle: None,
    };
    let tyres = axle.tyres.get_or_insert(nothing);
    let old = std::mem::replace(&mut tyres.designation, fitted.text.as_str().into());
    if old.trim().eq_ignore_ascii_case(fitted.text.trim()) {
        return Some(old.to_string());
    }
    tyres.kind = fitted.read.kind();
    // They come from the designation; one that prints none leaves them unknown.
    (tyres.load_index, tyres.load_index_dual) = (None, None);
    let same_size = old
        .designation()
        .is_some_and(|old| (old.overall_diameter() - fitted.read.overall_diameter()).abs() < Length::from_mm(0.05));
    if !same_size {
        tyres.loaded_radius = None;
    }
    (!old.trim().is_empty()).then(|| old.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{
        fixture::{Book, paths, plan},
        read_plan,
    };

    fn with(figures: pb::UnitFigures) -> Result<baybook_core::model::upfit::Upfit, crate::wire::WireError> {
        read_plan(&pb::UpfitPlan { unit_figures: Some(figures), ..plan() }, Book::demo())
    }

    #[test]
    fn other_tyres_take_radius_and_index_with_them() {
        let entry = with(pb::UnitFigures::default()).unwrap();
        let old = entry.vehicle.rear.tyres.clone().unwrap();
        let larger = "275/65R18C 123/120R".to_owned();
        let plan = with(pb::UnitFigures { rear_tyre_designation: larger.clone(), ..Default::default() }).unwrap();
        let new = plan.vehicle.rear.tyres.as_ref().unwrap();
        assert_eq!((plan.maker_tyres.rear.as_deref(), &*new.designation), (Some(&*old.designation), &*larger));
        assert_eq!((new.load_index, new.loaded_radius), (None, None));
        assert_eq!((new.count, plan.maker_tyres.front.is_none()), (old.count, true));
        // The same tyres are no others.
        let same = pb::UnitFigures { rear_tyre_designation: old.designation.to_string(), ..Default::default() };
        assert_eq!(with(same).unwrap().vehicle.rear.tyres, Some(old));
    }

    #[test]
    fn a_designation_that_cannot_be_read_is_told() {
        let bad = pb::UnitFigures { front_tyre_designation: "big ones".to_owned(), ..Default::default() };
        assert_eq!(paths(&with(bad).unwrap_err()), ["unit_figures.front_tyre_designation"]);
    }
}
