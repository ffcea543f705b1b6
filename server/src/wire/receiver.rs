//! Receivers and how they sit on vehicles.

use baybook_core::{
    model::receiver::{Fit, Receiver},
    units::Length,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    fields::{LABEL_MAX, LIST_MAX},
    ranges,
    spec::name_of,
};

/// The most joints of one receiver.
pub const JOINTS_MAX: usize = 64;

impl FromWire for Fit {
    type Wire = pb::ReceiverFit;

    fn from_wire(wire: &pb::ReceiverFit, fields: &mut Fields) -> Option<Self> {
        let vehicle = fields.fitted_vehicle(&wire.vehicle);
        let mut station = |name, value| fields.number(name, value, &ranges::STATION).map(Length::from_mm);
        let mass_station = station("mass_station_mm", wire.mass_station_mm);
        let pin_station = station("pin_station_mm", wire.pin_station_mm);
        let tube_top_height =
            fields.number("tube_top_height_mm", wire.tube_top_height_mm, &ranges::HEIGHT).map(Length::from_mm);
        let points = fields.list("points", &wire.points, LIST_MAX);
        Some(Self { vehicle: vehicle?, mass_station, pin_station, tube_top_height, points })
    }
}

impl FromWire for Receiver {
    type Wire = pb::Receiver;

    fn from_wire(wire: &pb::Receiver, fields: &mut Fields) -> Option<Self> {
        let receiver = Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            mass: fields.part_mass(wire.mass_kg),
            opening: fields.length("opening", wire.opening.as_ref(), &ranges::SIZE),
            hitch_class: fields.count("hitch_class_code", wire.hitch_class_code, 1, 5),
            carrying: fields.message("carrying", wire.carrying.as_ref()).unwrap_or_default(),
            spring_bars: fields.message("spring_bars", wire.spring_bars.as_ref()),
            d_value: fields.coupling_value("d_value_kn", wire.d_value_kn),
            s_value: fields.s_value(wire.s_value_kg),
            v_value: fields.coupling_value("v_value_kn", wire.v_value_kn),
            approval_mark: fields.optional_text("approval_mark", &wire.approval_mark, LABEL_MAX),
            fits: fields.list("fits", &wire.fits, LIST_MAX),
            joints: fields.list("joints", &wire.joints, JOINTS_MAX),
        };
        fields.fits_and_joints_once(wire.fits.iter().map(|fit| fit.vehicle.as_str()), &wire.joints);
        Some(receiver)
    }
}

impl Fields {
    /// Reads the vehicle that a part fits; it must be named.
    pub(super) fn fitted_vehicle(&mut self, name: &str) -> Option<String> {
        if name.is_empty() {
            self.reject("vehicle", "is required: name the vehicle it fits, such as vehicles/van-7");
        }
        name_of(pb::EntryKind::Vehicle, "vehicle", name, self)
    }

    /// Notes a vehicle that a part is said to fit twice, and a joint that it lists twice.
    pub(super) fn fits_and_joints_once<'a>(&mut self, vehicles: impl Iterator<Item = &'a str>, joints: &[pb::Joint]) {
        self.no_twins("fits", "vehicle", &vehicles.collect::<Vec<_>>());
        let ids: Vec<&str> = joints.iter().map(|joint| joint.id.as_str()).collect();
        self.no_twins("joints", "id", &ids);
    }

    /// Notes every element of a repeated field whose key an element before it has too.
    pub fn no_twins(&mut self, list: &'static str, key: &'static str, keys: &[&str]) {
        if keys.len() > LIST_MAX {
            return;
        }
        let mut seen = std::collections::BTreeMap::new();
        for (index, text) in keys.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            if let Some(first) = seen.insert(*text, index) {
                let why = format!("is the same as {list}[{first}].{key}: each must differ");
                self.at(list, index, |fields| fields.reject(key, why));
            }
        }
    }
}
