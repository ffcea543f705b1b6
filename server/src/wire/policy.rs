//! A shop's policy.

use baybook_core::{
    model::{
        policy::Policy,
        upfit::{Limits, Upfit},
    },
    units::{Angle, Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, fields::LABEL_MAX, ranges};

impl FromWire for Policy {
    type Wire = pb::Policy;

    fn from_wire(wire: &pb::Policy, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let mut angle = |name, value| fields.number(name, value, &ranges::ANGLE).map(Angle::from_deg);
        let approach_min = angle("approach_min_deg", wire.approach_min_deg);
        let departure_min = angle("departure_min_deg", wire.departure_min_deg);
        let departure_laden_min = angle("departure_laden_min_deg", wire.departure_laden_min_deg);
        let ramp_min = angle("ramp_min_deg", wire.ramp_min_deg);
        let (tongue_share_min, tongue_share_max) = fields.tongue_window(wire.tongue_min_share, wire.tongue_max_share);
        let mut length = |name, value, range| fields.number(name, value, range).map(Length::from_mm);
        let hitch_height_min = length("hitch_height_min_mm", wire.hitch_height_min_mm, &ranges::HEIGHT);
        let level_tolerance = length("level_tolerance_mm", wire.level_tolerance_mm, &ranges::TOLERANCE);
        let terrain_margin = length("terrain_margin_mm", wire.terrain_margin_mm, &ranges::GROUND_MARGIN);
        let tail_swing_max = length("tail_swing_max_mm", wire.tail_swing_max_mm, &ranges::SWING);
        let drop_max = length("drop_max_mm", wire.drop_max_mm, &ranges::REACH);
        let rise_max = length("rise_max_mm", wire.rise_max_mm, &ranges::REACH);
        let ball_height_min = length("ball_height_min_mm", wire.ball_height_min_mm, &ranges::HEIGHT);
        let ball_height_max = length("ball_height_max_mm", wire.ball_height_max_mm, &ranges::HEIGHT);
        if let (Some(low), Some(high)) = (ball_height_min, ball_height_max)
            && high < low
        {
            let why = format!("must not be above ball_height_max_mm, is {} mm against {} mm", low.mm(), high.mm());
            fields.reject("ball_height_min_mm", why);
        }
        let articulation = fields.number("articulation_min_deg", wire.articulation_min_deg, &ranges::ARTICULATION);
        let (cab_gap_min, rail_gap_min) = fields.bed_room(wire.cab_gap_min_mm, wire.rail_gap_min_mm);
        let limits = Limits {
            approach_min,
            departure_min,
            departure_laden_min,
            ramp_min,
            hitch_height_min,
            tongue_share_min,
            tongue_share_max,
            level_tolerance,
            terrain_margin,
            tail_swing_max,
            articulation_min: articulation.map(Angle::from_deg),
            cab_gap_min,
            rail_gap_min,
        };
        Some(Self {
            name: String::new(),
            label,
            revision: 0,
            limits,
            drop_max,
            rise_max,
            ball_height_min,
            ball_height_max,
            rating_margin: fields.number("rating_margin_share", wire.rating_margin_share, &ranges::MARGIN),
            front_loss_max: fields.share("front_loss_max_share", wire.front_loss_max_share),
            departure_loss_max: fields.share("departure_loss_max_share", wire.departure_loss_max_share),
            brakes_above: fields.number("brakes_above_kg", wire.brakes_above_kg, &ranges::MASS).map(Mass::from_kg),
            near_share: fields.number("near_limit_share", wire.near_limit_share, &ranges::NEAR),
        })
    }
}

/// Writes which policy a plan was held against.
#[must_use]
pub fn policy_used(plan: &Upfit) -> Option<pb::PolicyUsed> {
    let policy = plan.policy.as_deref()?;
    Some(pb::PolicyUsed { name: policy.name.clone(), label: policy.label.clone(), revision: policy.revision })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{fixture::paths, read};

    #[test]
    fn every_number_out_of_range_is_named() {
        let bad = pb::Policy {
            approach_min_deg: Some(91.0),
            tongue_min_share: Some(0.2),
            tongue_max_share: Some(0.1),
            ball_height_min_mm: Some(430.0),
            ball_height_max_mm: Some(420.0),
            rating_margin_share: Some(1.0),
            brakes_above_kg: Some(f64::NAN),
            near_limit_share: Some(0.001),
            ..pb::Policy::default()
        };
        let error = read::<Policy>(&bad).unwrap_err();
        assert_eq!(
            paths(&error),
            [
                "approach_min_deg",
                "tongue_min_share",
                "ball_height_min_mm",
                "rating_margin_share",
                "brakes_above_kg",
                "near_limit_share"
            ]
        );
        assert_eq!(read::<Policy>(&pb::Policy::default()), Ok(Policy::default()));
    }
}
