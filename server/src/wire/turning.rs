//! The train seen from above: the question from the wire, the answer to it.

use baybook_core::{
    basis::Basis,
    calc::{
        bed::{cab_gap, cab_gap_basis},
        measurement::{of_jack_knife, of_tail_swing},
        swing::{
            JackKnife, JackKnifeContact, Meets, PlanPoint, TailSwing, jack_knife, jack_knife_basis, swing_basis,
            tail_swing,
        },
    },
    error::CalcError,
    model::{
        plan_view::{Nose, Tail},
        upfit::Upfit,
    },
    units::{Angle, Length},
};
use baybook_proto::v1::{self as pb, TurnContact};

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    load::{Lack, ball_station, bed_fit_of},
    plan::required_plan,
    ranges,
};

/// A question how the train turns.
#[derive(Debug, Clone, PartialEq)]
pub struct Turning {
    /// The plan.
    pub plan: Upfit,
    /// The vehicle's tail.
    pub tail: Tail,
    /// The trailer's nose; absent when nobody asks for a trailer.
    pub nose: Option<Nose>,
    /// How well lengths were measured.
    pub tape: Option<Length>,
    /// How well the turning radius is known.
    pub turn_off: Option<Length>,
}

impl Turning {
    /// Reads the question; what was measured on this unit replaces what the entries say.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::TurningRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let plan = required_plan(wire.plan.as_ref(), lookup, &mut fields);
        let own: Option<Tail> = fields.message("tail", wire.tail.as_ref());
        let own_nose: Option<Nose> = fields.message("nose", wire.nose.as_ref());
        let mut mm = |name, value| fields.number(name, value, &ranges::TAPE).map(Length::from_mm);
        let tape = mm("tape_uncertainty_mm", wire.tape_uncertainty_mm);
        let turn_range = &ranges::TURN_UNCERTAINTY;
        let turn_off = fields.number("turn_radius_uncertainty_mm", wire.turn_radius_uncertainty_mm, turn_range);
        let tail = tail(plan.as_ref().and_then(|plan| plan.vehicle.tail), own);
        if wire.tape_uncertainty_mm.is_some() && wire.turn_radius_uncertainty_mm.is_none() && tail.turn_radius.is_some()
        {
            fields.reject(
                "turn_radius_uncertainty_mm",
                "is required with tape_uncertainty_mm where a turning radius is given: no tape measures a turning circle",
            );
        }
        let entry = plan.as_ref().and_then(|plan| plan.trailer.as_ref()).map(|trailer| trailer.nose.clone());
        let nose = match (entry, own_nose) {
            (None, None) => None,
            (entry, own) => Some(nose(entry.flatten().unwrap_or_default(), own)),
        };
        let turn_off = turn_off.map(Length::from_mm);
        fields.finish(plan.map(|plan| Self { plan, tail, nose, tape, turn_off }))
    }
}

fn tail(entry: Option<Tail>, own: Option<Tail>) -> Tail {
    let (entry, own) = (entry.unwrap_or_default(), own.unwrap_or_default());
    Tail {
        half_width: own.half_width.or(entry.half_width),
        rear_face_station: own.rear_face_station.or(entry.rear_face_station),
        turn_radius: own.turn_radius.or(entry.turn_radius),
    }
}

fn nose(entry: Nose, own: Option<Nose>) -> Nose {
    let Some(own) = own else { return entry };
    Nose {
        behind: own.behind.or(entry.behind),
        half_width: own.half_width.or(entry.half_width),
        points: if own.points.is_empty() { entry.points } else { own.points },
    }
}

/// Writes what can be worked out; a caution says why a figure is missing.
#[must_use]
pub fn turning_to_wire(asked: &Turning, revision: i64) -> pb::TurningResponse {
    let mut reply = pb::TurningResponse {
        cautions: vec![
            caution("low-speed", "at a crawl, without tyre slip, on level ground; leave room beyond these figures"),
            caution("doors-and-gates", "open tailgates, doors and jack handles are further points: give them too"),
        ],
        revision,
        ..pb::TurningResponse::default()
    };
    let mut steps = Vec::new();
    let mut lacks = Vec::new();
    swings(asked, &mut reply, &mut steps, &mut lacks);
    if let Some(nose) = &asked.nose {
        contact(asked, nose, &mut reply, &mut steps, &mut lacks);
    } else {
        reply.cautions.push(caution("no-trailer", "no trailer was given: at what angle one touches is not known"));
    }
    let mut said: Vec<Lack> = Vec::new();
    for lack in lacks {
        if !said.contains(&lack) {
            let why = format!("{} {}: the figures that need it are missing", lack.field, lack.why);
            reply.cautions.push(caution("figure-missing", &why));
            said.push(lack);
        }
    }
    reply.basis = basis_to_wire(&steps);
    reply
}

fn swings(asked: &Turning, reply: &mut pb::TurningResponse, steps: &mut Vec<Basis>, lacks: &mut Vec<Lack>) {
    let Some((half_width, face)) = width_and_face(asked, lacks) else { return };
    let Some(turn_radius) = asked.tail.turn_radius else {
        return lacks.push(Lack::of("tail.turn_radius_mm"));
    };
    let wheelbase = asked.plan.vehicle.wheelbase;
    let of = |end: Length| TailSwing { turn_radius, half_width, overhang: end - wheelbase };
    let blame = |error: CalcError| Lack::because(format!("tail, {}", error.field()), &error);
    let unsure = |tail: &TailSwing| {
        let off = asked.tape.zip(asked.turn_off).and_then(|(tape, turn)| of_tail_swing(tail, tape, turn).ok());
        off.map(|off| off.worst)
    };
    let body = of(face);
    match tail_swing(&body) {
        Ok(swing) => {
            reply.body_swing_mm = Some(swing.mm());
            reply.body_swing_uncertainty_mm = unsure(&body);
            steps.extend(swing_basis(&body));
        }
        Err(error) => return lacks.push(blame(error)),
    }
    if asked.plan.ball_mount.is_none() || asked.plan.hangs_in_bed() {
        return;
    }
    let ball = match ball_station(&asked.plan) {
        Ok(ball) => ball,
        Err(lack) => return lacks.push(lack),
    };
    let mount = of(face.max(ball));
    match tail_swing(&mount) {
        Ok(swing) => {
            reply.ball_mount_swing_mm = Some(swing.mm());
            reply.ball_mount_swing_uncertainty_mm = unsure(&mount);
            reply.swing_gain_mm = reply.body_swing_mm.map(|body| swing.mm() - body);
            steps.extend(swing_basis(&mount));
        }
        Err(error) => lacks.push(blame(error)),
    }
}

fn width_and_face(asked: &Turning, lacks: &mut Vec<Lack>) -> Option<(Length, Length)> {
    let Tail { half_width, rear_face_station, .. } = asked.tail;
    if half_width.is_none() {
        lacks.push(Lack::of("tail.width_mm"));
    }
    if rear_face_station.is_none() {
        lacks.push(Lack::of("tail.rear_face_station_mm"));
    }
    half_width.zip(rear_face_station)
}

/// Returns half the width and the place of what the nose may strike: the vehicle's rear face, or the back of its cab when
/// the trailer hangs in the bed.
fn facing(asked: &Turning, lacks: &mut Vec<Lack>) -> Option<(Length, Length)> {
    if !asked.plan.hangs_in_bed() {
        return width_and_face(asked, lacks);
    }
    let bed = asked.plan.vehicle.bed.unwrap_or_default();
    if bed.cab_half_width.is_none() {
        lacks.push(Lack::of("plan.vehicle.bed.cab_width_mm"));
    }
    if bed.cab_back_station.is_none() {
        lacks.push(Lack::of("plan.vehicle.bed.cab_back_station_mm"));
    }
    bed.cab_half_width.zip(bed.cab_back_station)
}

/// Returns where the ball sits, or the pin in a tight turn.
fn pin_in_turn(plan: &Upfit) -> Result<Length, Lack> {
    let slid = match plan.bed_coupling.as_deref() {
        Some(coupling) => bed_fit_of(plan, coupling)?.0.turning_pin_station,
        None => None,
    };
    slid.map_or_else(|| ball_station(plan), Ok)
}

fn contact(
    asked: &Turning,
    nose: &Nose,
    reply: &mut pb::TurningResponse,
    steps: &mut Vec<Basis>,
    lacks: &mut Vec<Lack>,
) {
    let Some((half_width, face)) = facing(asked, lacks) else { return };
    let ball = match pin_in_turn(&asked.plan) {
        Ok(ball) => ball,
        Err(lack) => return lacks.push(lack),
    };
    reply.face_to_ball_mm = Some((ball - face).mm());
    if nose.behind.is_none() {
        lacks.push(Lack::of("nose.behind_ball_mm"));
    }
    if nose.half_width.is_none() {
        lacks.push(Lack::of("nose.width_mm"));
    }
    let Some((behind, aside)) = nose.behind.zip(nose.half_width) else { return };
    let points: Vec<PlanPoint> =
        nose.points.iter().map(|point| PlanPoint { behind: point.behind, aside: point.aside }).collect();
    let corner = PlanPoint { behind, aside };
    if asked.plan.hangs_in_bed() {
        match cab_gap(ball - face, corner, &points) {
            Ok(found) => {
                reply.cab_gap_mm = Some(found.gap.mm());
                steps.push(cab_gap_basis(ball - face, &found));
            }
            Err(error) => lacks.push(Lack::because(format!("nose, {}", error.field()), &error)),
        }
    }
    let input = JackKnife { face_to_ball: ball - face, half_width, corner, points: &points };
    let JackKnifeContact { corner_reaches, corner_meets, first } = match jack_knife(&input) {
        Ok(found) => found,
        Err(error) => return lacks.push(Lack::because(format!("nose, {}", error.field()), &error)),
    };
    reply.corner_reaches_deg = corner_reaches.map(Angle::deg);
    reply.corner_meets = Some(corner_meets);
    let off = asked.tape.and_then(|tape| of_jack_knife(&input, tape).ok().flatten());
    reply.corner_reaches_uncertainty_deg = off.map(|off| off.worst);
    reply.contact_deg = first.map(|(angle, _)| angle.deg());
    let meets = match first.map(|(_, meets)| meets) {
        None => TurnContact::None,
        Some(Meets::CornerOnFace) => TurnContact::CornerOnRear,
        Some(Meets::VehicleCornerOnFront) => TurnContact::VehicleOnFront,
        Some(Meets::CornerOnSide) => TurnContact::CornerOnSide,
        Some(Meets::VehicleCornerOnSide) => TurnContact::VehicleOnSide,
        Some(Meets::Point(index)) => {
            reply.point = nose.points.get(index).map(|point| point.label.clone()).unwrap_or_default();
            TurnContact::Point
        }
    };
    reply.set_contact(meets);
    steps.extend(jack_knife_basis(&input));
}
