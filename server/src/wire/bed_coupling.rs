//! Couplings in the bed, the bed itself and king pins.

use baybook_core::{
    calc::bed::ABOVE_FACE,
    model::bed::{Bed, BedCoupling, BedCouplingKind, BedFit, KingPin},
    units::{Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    fields::{LABEL_MAX, LIST_MAX},
    ranges,
    receiver::JOINTS_MAX,
};

const fn kind(wire: pb::BedCouplingKind) -> Option<BedCouplingKind> {
    match wire {
        pb::BedCouplingKind::Unspecified => None,
        pb::BedCouplingKind::FifthWheel => Some(BedCouplingKind::FifthWheel),
        pb::BedCouplingKind::GooseneckBall => Some(BedCouplingKind::GooseneckBall),
    }
}

impl Fields {
    /// Reads the room that a shop asks for behind the cab and above the rails.
    pub(super) fn bed_room(&mut self, cab: Option<f64>, rail: Option<f64>) -> (Option<Length>, Option<Length>) {
        let mut mm = |name, value| self.number(name, value, &ranges::GROUND_MARGIN).map(Length::from_mm);
        (mm("cab_gap_min_mm", cab), mm("rail_gap_min_mm", rail))
    }

    /// Reads how far the underside of a nose lies above its coupling.
    pub(super) fn underside(&mut self, value: Option<f64>) -> Option<Length> {
        self.number("underside_above_coupling_mm", value, &ABOVE_FACE).map(Length::from_mm)
    }
}

impl FromWire for BedFit {
    type Wire = pb::BedFit;

    fn from_wire(wire: &pb::BedFit, fields: &mut Fields) -> Option<Self> {
        let vehicle = fields.fitted_vehicle(&wire.vehicle);
        let mut station = |name, value| fields.number(name, value, &ranges::STATION).map(Length::from_mm);
        let mass_station = station("mass_station_mm", wire.mass_station_mm);
        let pin_station = station("pin_station_mm", wire.pin_station_mm);
        let turning_pin_station = station("turning_pin_station_mm", wire.turning_pin_station_mm);
        if let (Some(road), Some(turn)) = (pin_station, turning_pin_station)
            && turn < road
        {
            let why = format!("must not be ahead of pin_station_mm, is {} mm against {} mm", turn.mm(), road.mm());
            fields.reject("turning_pin_station_mm", why);
        }
        let face_height = fields.number("face_height_mm", wire.face_height_mm, &ranges::HEIGHT).map(Length::from_mm);
        Some(Self { vehicle: vehicle?, mass_station, pin_station, turning_pin_station, face_height })
    }
}

impl FromWire for BedCoupling {
    type Wire = pb::BedCoupling;

    fn from_wire(wire: &pb::BedCoupling, fields: &mut Fields) -> Option<Self> {
        let coupling = Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            kind: fields.choice("kind", wire.kind, kind),
            mass: fields.part_mass(wire.mass_kg),
            size: fields.length("size", wire.size.as_ref(), &ranges::SIZE),
            rating: fields.message("rating", wire.rating.as_ref()).unwrap_or_default(),
            mounting: fields.message("mounting", wire.mounting.as_ref()).unwrap_or_default(),
            d_value: fields.coupling_value("d_value_kn", wire.d_value_kn),
            u_value: fields.number("u_value_kg", wire.u_value_kg, &ranges::MASS).map(Mass::from_kg),
            approval_mark: fields.optional_text("approval_mark", &wire.approval_mark, LABEL_MAX),
            fits: fields.list("fits", &wire.fits, LIST_MAX),
            joints: fields.list("joints", &wire.joints, JOINTS_MAX),
        };
        fields.fits_and_joints_once(wire.fits.iter().map(|fit| fit.vehicle.as_str()), &wire.joints);
        Some(coupling)
    }
}

impl FromWire for Bed {
    type Wire = pb::VehicleBed;

    fn from_wire(wire: &pb::VehicleBed, fields: &mut Fields) -> Option<Self> {
        let towing = fields.message("towing", wire.towing.as_ref()).unwrap_or_default();
        let pin_share_min = fields.share("pin_min_share", wire.pin_min_share);
        let pin_share_max = fields.share("pin_max_share", wire.pin_max_share);
        if let (Some(low), Some(high)) = (pin_share_min, pin_share_max)
            && high < low
        {
            fields.reject("pin_min_share", format!("must not be above pin_max_share, is {low} against {high}"));
        }
        let mut mm = |name, value, range| fields.number(name, value, range).map(Length::from_mm);
        let cab_back_station = mm("cab_back_station_mm", wire.cab_back_station_mm, &ranges::STATION);
        let cab_width = mm("cab_width_mm", wire.cab_width_mm, &ranges::BODY_WIDTH);
        let rail_height = mm("rail_height_mm", wire.rail_height_mm, &ranges::HEIGHT);
        let rail_end_station = mm("rail_end_station_mm", wire.rail_end_station_mm, &ranges::STATION);
        if let (Some(cab), Some(end)) = (cab_back_station, rail_end_station)
            && end <= cab
        {
            let why = format!("must be behind cab_back_station_mm, is {} mm against {} mm", end.mm(), cab.mm());
            fields.reject("rail_end_station_mm", why);
        }
        let cab_half_width = cab_width.map(|width| width / 2.0);
        Some(Self {
            towing,
            pin_share_min,
            pin_share_max,
            cab_back_station,
            cab_half_width,
            rail_height,
            rail_end_station,
        })
    }
}

impl FromWire for KingPin {
    type Wire = pb::KingPin;

    fn from_wire(wire: &pb::KingPin, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            diameter: fields.length("diameter", wire.diameter.as_ref(), &ranges::SIZE),
            rating: fields.message("rating", wire.rating.as_ref()).unwrap_or_default(),
            d_value: fields.coupling_value("d_value_kn", wire.d_value_kn),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{fixture::paths, read};

    #[test]
    fn what_contradicts_itself_is_named() {
        let bed = pb::VehicleBed {
            pin_min_share: Some(0.25),
            pin_max_share: Some(0.15),
            cab_back_station_mm: Some(2000.0),
            rail_end_station_mm: Some(2000.0),
            rail_height_mm: Some(-1.0),
            ..pb::VehicleBed::default()
        };
        let error = read::<Bed>(&bed).unwrap_err();
        assert_eq!(paths(&error), ["pin_min_share", "rail_height_mm", "rail_end_station_mm"]);
        assert_eq!(read::<Bed>(&pb::VehicleBed::default()), Ok(Bed::default()));
    }

    #[test]
    fn a_coupling_that_slides_forward_for_turns_is_refused() {
        let fit = pb::BedFit {
            vehicle: "vehicles/pickup-7".into(),
            pin_station_mm: Some(3500.0),
            turning_pin_station_mm: Some(3400.0),
            ..pb::BedFit::default()
        };
        let coupling = pb::BedCoupling { fits: vec![fit.clone(), fit], kind: 9, ..pb::BedCoupling::default() };
        let error = read::<BedCoupling>(&coupling).unwrap_err();
        assert_eq!(
            paths(&error),
            ["kind", "fits[0].turning_pin_station_mm", "fits[1].turning_pin_station_mm", "fits[1].vehicle"]
        );
        let nothing = read::<BedCoupling>(&pb::BedCoupling::default()).unwrap();
        assert!(nothing.kind.is_none() && nothing.rating.trailer.is_none() && nothing.fits.is_empty());
    }
}
