//! Trailers.

use baybook_core::{
    model::trailer::{DrawbarKind, Trailer, TrailerBrakes},
    units::Length,
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, fields::LABEL_MAX, ranges, spec::name_of};

fn drawbar(wire: pb::DrawbarKind) -> Option<DrawbarKind> {
    match wire {
        pb::DrawbarKind::Unspecified => None,
        pb::DrawbarKind::Free => Some(DrawbarKind::Free),
        pb::DrawbarKind::CentreAxle => Some(DrawbarKind::CentreAxle),
        pb::DrawbarKind::FifthWheel => Some(DrawbarKind::FifthWheel),
    }
}

fn brakes(wire: pb::TrailerBrakes) -> Option<TrailerBrakes> {
    match wire {
        pb::TrailerBrakes::Unspecified => None,
        pb::TrailerBrakes::None => Some(TrailerBrakes::None),
        pb::TrailerBrakes::Electric => Some(TrailerBrakes::Electric),
        pb::TrailerBrakes::Overrun => Some(TrailerBrakes::Overrun),
        pb::TrailerBrakes::ElectricHydraulic => Some(TrailerBrakes::ElectricHydraulic),
        pb::TrailerBrakes::Air => Some(TrailerBrakes::Air),
    }
}

impl FromWire for Trailer {
    type Wire = pb::Trailer;

    fn from_wire(wire: &pb::Trailer, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let gvwr = fields.mass("gvwr", wire.gvwr.as_ref(), &ranges::MASS);
        let gawr = fields.mass("gawr", wire.gawr.as_ref(), &ranges::MASS);
        let axle_count = fields.count("axle_count", wire.axle_count, 1, 6);
        let to_axle = fields.number("coupler_to_axle_mm", wire.coupler_to_axle_mm, &ranges::COUPLER_TO_AXLE);
        let level = fields.number("coupler_height_level_mm", wire.coupler_height_level_mm, &ranges::HEIGHT);
        let coupler = name_of(pb::EntryKind::Coupler, "coupler", &wire.coupler, fields);
        let drawbar = fields.choice("drawbar", wire.drawbar, drawbar);
        let brakes = fields.choice("brakes", wire.brakes, brakes);
        let chains = fields.message("chains", wire.chains.as_ref());
        let jack_rating = fields.mass("jack_rating", wire.jack_rating.as_ref(), &ranges::MASS);
        let plug = fields.socket("plug", wire.plug);
        let tyres = fields.tyres(wire.tyres.as_ref(), (1, 24));
        let (tongue_share_min, tongue_share_max) = fields.tongue_window(wire.tongue_min_share, wire.tongue_max_share);
        let nose = fields.message("nose", wire.nose.as_ref());
        let king_pin = fields.message("king_pin", wire.king_pin.as_ref());
        let underside_above_coupling = fields.underside(wire.underside_above_coupling_mm);
        let v_value_needed = fields.coupling_value("v_value_needed_kn", wire.v_value_needed_kn);
        Some(Self {
            name: String::new(),
            label,
            gvwr,
            gawr,
            axle_count,
            coupler_to_axle: to_axle.map(Length::from_mm),
            coupler_height_level: level.map(Length::from_mm),
            coupler,
            drawbar,
            brakes,
            breakaway: wire.breakaway,
            chains,
            jack_rating,
            plug,
            tyres,
            tongue_share_min,
            tongue_share_max,
            v_value_needed,
            nose,
            king_pin,
            underside_above_coupling,
        })
    }
}
