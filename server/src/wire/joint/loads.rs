//! What loads the bolts.

use baybook_core::{
    calc::joint::{
        JointLoad,
        group::POSITION,
        hitch::{self, Axis, Bracket, HitchLoads, Method, Outline, Side},
        load_share::EXTERNAL,
    },
    units::{Area, Force, Length},
};
use baybook_proto::v1::{self as pb, joint_loads::Loads};

use super::super::{Fields, fastener::BOLTS_MAX};

pub(super) fn read(wire: &pb::JointLoads, area: Option<Area>, fields: &mut Fields) -> Option<JointLoad> {
    let bracket = match (&wire.loads, &wire.bracket) {
        (Some(Loads::PerBolt(_)), Some(_)) => {
            fields.reject("bracket", "shares a hitch's load out, but the load is given for one bolt: leave it out");
            None
        }
        (Some(Loads::PerBolt(_)) | None, _) => None,
        (Some(_), None) => {
            fields.reject("bracket", "is required: where are the bolts, and where does the load come in");
            None
        }
        (Some(_), Some(wire)) => fields.under("bracket", |fields| bracket(wire, area, fields)),
    };
    let loads = match &wire.loads {
        None => {
            fields.reject("per_bolt", "is required, or one of test_rating, road and given");
            return None;
        }
        Some(Loads::PerBolt(wire)) => {
            return fields.under("per_bolt", |fields| {
                fields.required("tension", wire.tension.as_ref());
                let tension = fields.force("tension", wire.tension.as_ref(), &EXTERNAL);
                fields.required("shear", wire.shear.as_ref());
                let shear = fields.force("shear", wire.shear.as_ref(), &EXTERNAL);
                Some(JointLoad::PerBolt { tension: tension?, shear: shear? })
            });
        }
        Some(Loads::TestRating(wire)) => {
            fields.mass("test_rating", Some(wire), &hitch::TRAILER).map(|rated| HitchLoads::Test { rated })
        }
        Some(Loads::Road(wire)) => fields.under("road", |fields| road(wire, fields)),
        Some(Loads::Given(wire)) => fields.under("given", |fields| {
            let rearward = fields.needed("rearward_n", wire.rearward_n, &hitch::FORCE);
            let right = fields.needed("right_n", wire.right_n, &hitch::FORCE);
            let up = fields.needed("up_n", wire.up_n, &hitch::FORCE);
            Some(HitchLoads::Given([rearward?, right?, up?].map(Force::from_n)))
        }),
    };
    Some(JointLoad::Hitch { loads: loads?, bracket: bracket? })
}

fn road(wire: &pb::RoadLoad, fields: &mut Fields) -> Option<HitchLoads> {
    fields.required("trailer_mass", wire.trailer_mass.as_ref());
    let trailer = fields.mass("trailer_mass", wire.trailer_mass.as_ref(), &hitch::TRAILER);
    fields.required("tongue_load", wire.tongue_load.as_ref());
    let tongue = fields.mass("tongue_load", wire.tongue_load.as_ref(), &hitch::TONGUE);
    if let (Some(trailer), Some(tongue)) = (trailer, tongue)
        && tongue.exceeds(trailer)
    {
        let why = format!("must not be above trailer_mass, is {} kg against {} kg", tongue.kg(), trailer.kg());
        fields.reject("tongue_load", why);
    }
    let lengthwise = fields.needed("pull_share", wire.pull_share, &hitch::G_SHARE);
    let crosswise = fields.needed("sway_share", wire.sway_share, &hitch::G_SHARE);
    let bounce = fields.needed("bounce_share", wire.bounce_share, &hitch::G_SHARE);
    Some(HitchLoads::Road {
        trailer: trailer?,
        tongue: tongue?,
        lengthwise_g: lengthwise?,
        crosswise_g: crosswise?,
        bounce: bounce?,
    })
}

fn bracket(wire: &pb::JointBracket, area: Option<Area>, fields: &mut Fields) -> Option<Bracket> {
    let most = usize::try_from(BOLTS_MAX).unwrap_or(usize::MAX);
    if wire.bolts.is_empty() {
        fields.reject("bolts", "is required: where is each bolt of the bracket");
    }
    let positions = fields.each("bolts", &wire.bolts, most, place);
    let axis = fields.needed_choice("axis", wire.axis, |axis| match axis {
        pb::BoltAxis::Unspecified => None,
        pb::BoltAxis::Lengthwise => Some(Axis::Lengthwise),
        pb::BoltAxis::Crosswise => Some(Axis::Crosswise),
        pb::BoltAxis::Upright => Some(Axis::Upright),
    });
    let side = fields.needed_choice("side", wire.side, |side| match side {
        pb::FrameSide::Unspecified => None,
        pb::FrameSide::RearRightTop => Some(Side::Positive),
        pb::FrameSide::FrontLeftGround => Some(Side::Negative),
    });
    fields.required("ball", wire.ball.as_ref());
    let mut at = |name: &'static str, wire: &Option<pb::BracketPlace>| {
        wire.as_ref().and_then(|wire| fields.under(name, |fields| place(wire, fields)))
    };
    let ball = at("ball", &wire.ball);
    let (least, greatest) = (at("contact_least", &wire.contact_least), at("contact_most", &wire.contact_most));
    let share = fields.needed("taken_share", wire.taken_share, &hitch::SHARE);
    for (name, one, other) in [
        ("contact_most", &wire.contact_least, &wire.contact_most),
        ("contact_least", &wire.contact_most, &wire.contact_least),
    ] {
        if one.is_some() && other.is_none() {
            fields.reject(name, "is required with the other corner of the contact");
        }
    }
    let method = match (least, greatest) {
        (Some(least), Some(most)) => Method::Plate(Outline { least, most }),
        _ => Method::Springs,
    };
    if positions.len() != wire.bolts.len() {
        return None;
    }
    Some(Bracket { positions, axis: axis?, side: side?, load_at: ball?, share: share?, method, area: area? })
}

fn place(wire: &pb::BracketPlace, fields: &mut Fields) -> Option<[Length; 3]> {
    let rearward = fields.needed("rearward_mm", wire.rearward_mm, &POSITION);
    let right = fields.needed("right_mm", wire.right_mm, &POSITION);
    let up = fields.needed("up_mm", wire.up_mm, &POSITION);
    Some([rearward?, right?, up?].map(Length::from_mm))
}
