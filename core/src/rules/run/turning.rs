//! The train seen from above: how far the tail swings out, and at what articulation vehicle and trailer touch.

use super::{
    figures::{Known, Unknown},
    train::Train,
};
use crate::{
    calc::swing::{JackKnife, JackKnifeContact, PlanPoint, TailSwing, jack_knife, tail_swing},
    model::upfit::Upfit,
    units::Length,
};

/// What of the train is asked for from above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurningFigures {
    /// How far the tail swings out at full lock, the ball mount counted as a corner.
    pub swing: Option<Known<Length>>,
    /// Where vehicle and trailer first touch.
    pub contact: Option<Known<JackKnifeContact>>,
}

impl TurningFigures {
    /// Works out what the plan sets a limit for.
    pub(super) fn of(plan: &Upfit, train: &Train) -> Self {
        Self {
            swing: plan.limits.tail_swing_max.map(|_| swing(plan, train)),
            contact: plan.limits.articulation_min.map(|_| contact(plan, train)),
        }
    }
}

fn width_and_face(plan: &Upfit) -> Known<(Length, Length)> {
    let tail = plan.vehicle.tail.ok_or(Unknown::missing("vehicle.tail"))?;
    let half = tail.half_width.ok_or(Unknown::missing("vehicle.tail.width_mm"))?;
    Ok((half, tail.rear_face_station.ok_or(Unknown::missing("vehicle.tail.rear_face_station_mm"))?))
}

fn swing(plan: &Upfit, train: &Train) -> Known<Length> {
    let (half_width, face) = width_and_face(plan)?;
    let radius = plan.vehicle.tail.and_then(|tail| tail.turn_radius);
    let turn_radius = radius.ok_or(Unknown::missing("vehicle.tail.turn_radius_mm"))?;
    let end = if plan.ball_mount.is_some() { face.max(train.ball_station?) } else { face };
    let tail = TailSwing { turn_radius, half_width, overhang: end - plan.vehicle.wheelbase };
    tail_swing(&tail).map_err(|error| {
        let field = match error.field() {
            "turn_radius_mm" => "vehicle.tail.turn_radius_mm",
            "half_width_mm" => "vehicle.tail.width_mm",
            _ => "vehicle.tail.rear_face_station_mm",
        };
        Unknown::from_calc(field, &error)
    })
}

fn contact(plan: &Upfit, train: &Train) -> Known<JackKnifeContact> {
    let (half_width, face) = width_and_face(plan)?;
    let trailer = plan.trailer.as_deref().ok_or(Unknown::missing("trailer"))?;
    let nose = trailer.nose.as_ref().ok_or(Unknown::missing("trailer.nose"))?;
    let behind = nose.behind.ok_or(Unknown::missing("trailer.nose.behind_ball_mm"))?;
    let aside = nose.half_width.ok_or(Unknown::missing("trailer.nose.width_mm"))?;
    let points: Vec<PlanPoint> =
        nose.points.iter().map(|point| PlanPoint { behind: point.behind, aside: point.aside }).collect();
    let input = JackKnife {
        face_to_ball: train.ball_station? - face,
        half_width,
        corner: PlanPoint { behind, aside },
        points: &points,
    };
    jack_knife(&input).map_err(|error| {
        let field = match error.field() {
            "face_to_ball_mm" => "vehicle.tail.rear_face_station_mm",
            "half_width_mm" => "vehicle.tail.width_mm",
            _ => "trailer.nose",
        };
        Unknown::from_calc(field, &error)
    })
}
