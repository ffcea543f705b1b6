//! The train seen from above: how far the tail swings out, and at what articulation vehicle and trailer touch.

use super::{
    figures::{Known, Unknown},
    train::{Train, bed_fit},
};
use crate::{
    calc::{
        bed::{CabGap, cab_gap},
        swing::{JackKnife, JackKnifeContact, PlanPoint, TailSwing, jack_knife, tail_swing},
    },
    error::CalcError,
    model::{bed::Bed, plan_view::Nose, upfit::Upfit},
    units::Length,
};

/// What of the train is asked for from above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurningFigures {
    /// How far the tail swings out at full lock, the ball mount counted as a corner.
    pub swing: Option<Known<Length>>,
    /// Where vehicle and trailer first touch.
    pub contact: Option<Known<JackKnifeContact>>,
    /// The room between the cab and a nose that turns above the bed; absent when the trailer hangs on a ball.
    pub cab_gap: Option<Known<CabGap>>,
}

impl TurningFigures {
    /// Works out what the plan sets a limit for.
    pub(super) fn of(plan: &Upfit, train: &Train) -> Self {
        Self {
            swing: plan.limits.tail_swing_max.map(|_| swing(plan, train)),
            contact: plan.limits.articulation_min.map(|_| contact(plan, train)),
            cab_gap: plan.hangs_in_bed().then(|| behind_cab(plan, train)),
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
    let end = if plan.ball_mount.is_some() && !plan.hangs_in_bed() { face.max(train.ball_station?) } else { face };
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

fn nose(plan: &Upfit) -> Known<(&Nose, PlanPoint)> {
    let trailer = plan.trailer.as_deref().ok_or(Unknown::missing("trailer"))?;
    let nose = trailer.nose.as_ref().ok_or(Unknown::missing("trailer.nose"))?;
    let behind = nose.behind.ok_or(Unknown::missing("trailer.nose.behind_ball_mm"))?;
    let aside = nose.half_width.ok_or(Unknown::missing("trailer.nose.width_mm"))?;
    Ok((nose, PlanPoint { behind, aside }))
}

fn points(nose: &Nose) -> Vec<PlanPoint> {
    nose.points.iter().map(|point| PlanPoint { behind: point.behind, aside: point.aside }).collect()
}

fn bed(plan: &Upfit) -> Known<Bed> {
    plan.vehicle.bed.ok_or(Unknown::missing("vehicle.bed"))
}

/// Where the back of the cab stands, and the pin in tight turns.
fn cab_and_pin(plan: &Upfit, train: &Train) -> Known<(Length, Length)> {
    let cab = bed(plan)?.cab_back_station.ok_or(Unknown::missing("vehicle.bed.cab_back_station_mm"))?;
    let slid = match plan.bed_coupling.as_deref() {
        Some(coupling) => bed_fit(plan, coupling)?.0.turning_pin_station,
        None => None,
    };
    let pin = match slid {
        Some(pin) => pin,
        None => train.ball_station?,
    };
    Ok((cab, pin))
}

fn contact(plan: &Upfit, train: &Train) -> Known<JackKnifeContact> {
    let in_bed = plan.hangs_in_bed();
    let (half_width, face, pin) = if in_bed {
        let half = bed(plan)?.cab_half_width.ok_or(Unknown::missing("vehicle.bed.cab_width_mm"))?;
        let (cab, pin) = cab_and_pin(plan, train)?;
        (half, cab, pin)
    } else {
        let (half, face) = width_and_face(plan)?;
        (half, face, train.ball_station?)
    };
    let (nose, corner) = nose(plan)?;
    let points = points(nose);
    jack_knife(&JackKnife { face_to_ball: pin - face, half_width, corner, points: &points }).map_err(|error| {
        let field = match error.field() {
            "face_to_ball_mm" if in_bed => "vehicle.bed.cab_back_station_mm",
            "half_width_mm" if in_bed => "vehicle.bed.cab_width_mm",
            "face_to_ball_mm" => "vehicle.tail.rear_face_station_mm",
            "half_width_mm" => "vehicle.tail.width_mm",
            _ => "trailer.nose",
        };
        Unknown::from_calc(field, &error)
    })
}

fn behind_cab(plan: &Upfit, train: &Train) -> Known<CabGap> {
    let (cab, pin) = cab_and_pin(plan, train)?;
    let (nose, corner) = nose(plan)?;
    cab_gap(pin - cab, corner, &points(nose)).map_err(|error: CalcError| {
        let field = if error.field() == "cab_to_pin_mm" { "vehicle.bed.cab_back_station_mm" } else { "trailer.nose" };
        Unknown::from_calc(field, &error)
    })
}
