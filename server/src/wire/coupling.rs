//! Ball mounts, balls, couplers and chains.

use baybook_core::{
    model::{
        LinkRating,
        coupling::{Ball, BallMount, ChainRatingKind, Chains, Coupler},
    },
    units::{Force, Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, fields::LABEL_MAX, ranges};

impl Fields {
    /// Reads the mass of a single part.
    pub fn part_mass(&mut self, value: Option<f64>) -> Option<Mass> {
        self.number("mass_kg", value, &ranges::PART_MASS).map(Mass::from_kg)
    }

    /// Reads a certified D- or V-value.
    pub fn coupling_value(&mut self, name: &'static str, value: Option<f64>) -> Option<Force> {
        self.number(name, value, &ranges::COUPLING_VALUE).map(Force::from_kn)
    }

    /// Reads a certified static vertical load.
    pub fn s_value(&mut self, value: Option<f64>) -> Option<Mass> {
        self.number("s_value_kg", value, &ranges::MASS).map(Mass::from_kg)
    }
}

fn chain_rating_kind(wire: pb::ChainRatingKind) -> Option<ChainRatingKind> {
    match wire {
        pb::ChainRatingKind::Unspecified => None,
        pb::ChainRatingKind::Breaking => Some(ChainRatingKind::Breaking),
        pb::ChainRatingKind::WorkingLoad => Some(ChainRatingKind::WorkingLoad),
    }
}

impl FromWire for LinkRating {
    type Wire = pb::LinkRating;

    fn from_wire(wire: &pb::LinkRating, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            trailer: fields.mass("trailer", wire.trailer.as_ref(), &ranges::MASS),
            tongue: fields.mass("tongue", wire.tongue.as_ref(), &ranges::MASS),
        })
    }
}

impl FromWire for BallMount {
    type Wire = pb::BallMount;

    fn from_wire(wire: &pb::BallMount, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let mass = fields.part_mass(wire.mass_kg);
        let shank = fields.length("shank", wire.shank.as_ref(), &ranges::SIZE);
        let drop = fields.number("drop_mm", wire.drop_mm, &ranges::DROP).map(Length::from_mm);
        let length = fields.number("length_mm", wire.length_mm, &ranges::REACH).map(Length::from_mm);
        let depth = fields.number("depth_below_platform_mm", wire.depth_below_platform_mm, &ranges::REACH);
        let ball_hole = fields.length("ball_hole", wire.ball_hole.as_ref(), &ranges::SIZE);
        let rating = fields.message("rating", wire.rating.as_ref()).unwrap_or_default();
        Some(Self {
            name: String::new(),
            label,
            mass,
            shank,
            drop,
            length,
            depth_below_platform: depth.map(Length::from_mm),
            ball_hole,
            rating,
        })
    }
}

impl FromWire for Ball {
    type Wire = pb::Ball;

    fn from_wire(wire: &pb::Ball, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            mass: fields.part_mass(wire.mass_kg),
            diameter: fields.length("diameter", wire.diameter.as_ref(), &ranges::SIZE),
            shank: fields.length("shank", wire.shank.as_ref(), &ranges::SIZE),
            height: fields.number("height_mm", wire.height_mm, &ranges::BALL_HEIGHT).map(Length::from_mm),
            rating: fields.message("rating", wire.rating.as_ref()).unwrap_or_default(),
            d_value: fields.coupling_value("d_value_kn", wire.d_value_kn),
            s_value: fields.s_value(wire.s_value_kg),
        })
    }
}

impl FromWire for Coupler {
    type Wire = pb::Coupler;

    fn from_wire(wire: &pb::Coupler, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            ball: fields.length("ball", wire.ball.as_ref(), &ranges::SIZE),
            rating: fields.message("rating", wire.rating.as_ref()).unwrap_or_default(),
            d_value: fields.coupling_value("d_value_kn", wire.d_value_kn),
            s_value: fields.s_value(wire.s_value_kg),
            forbids_spring_bars: wire.forbids_spring_bars,
        })
    }
}

impl FromWire for Chains {
    type Wire = pb::Chains;

    fn from_wire(wire: &pb::Chains, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            count: fields.count("chain_count", wire.chain_count, 0, 8),
            rating_each: fields.force("rating_each", wire.rating_each.as_ref(), &ranges::FORCE),
            rating_kind: fields.choice("rating_kind", wire.rating_kind, chain_rating_kind),
        })
    }
}
