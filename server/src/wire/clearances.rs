//! Clearances: the question from the wire, the answer to it.

use baybook_core::{
    basis::Basis,
    calc::{
        clearance::{self, Clearances as Found, Governed, Lowest, Point, Underside, Wheels, tape_uncertainty},
        sag::{self, Pose},
    },
    error::CalcError,
    model::upfit::Upfit,
    units::{Angle, Length},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    height,
    plan::required_plan,
    ranges,
    standing::{Standing, Standings, lacks_to_wire, standings, wheels},
};

/// A question how much clearance there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Clearances {
    /// The plan.
    pub plan: Upfit,
    /// The wheels as measured unladen.
    pub wheels: Wheels,
    /// How well heights were measured.
    pub tape: Option<Length>,
}

impl Clearances {
    /// Reads the question: the vehicle needs its profile and its loaded radii.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::ClearancesRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let plan = required_plan(wire.plan.as_ref(), lookup, &mut fields);
        let tape = fields.number("tape_uncertainty_mm", wire.tape_uncertainty_mm, &ranges::TAPE);
        let mut lacks = Vec::new();
        let wheels = plan.as_ref().and_then(|plan| wheels(plan, &mut lacks));
        fields.lacking("plan", &lacks);
        let asked = plan.zip(wheels).map(|(plan, wheels)| Self { plan, wheels, tape: tape.map(Length::from_mm) });
        fields.finish(asked)
    }
}

/// Writes the clearances in every state that could be worked out; a caution says why one is missing.
#[must_use]
pub fn clearances_to_wire(asked: &Clearances, revision: i64) -> pb::ClearancesResponse {
    let plan = &asked.plan;
    let mut cautions =
        vec![caution("measure-on-site", "heights differ between units, loads and tyres: measure on this unit, laden")];
    let Standings { all, laden, lacks } = standings(plan, asked.wheels);
    let mut steps: Vec<Basis> = clearance::basis(&Pose::as_measured(asked.wheels));
    if let Some((input, sag)) = &laden {
        steps.extend(sag::basis(input));
        steps.extend(clearance::basis(&Pose::rigid_body(sag)));
    }
    let states = all.iter().filter_map(|standing| state(asked, standing, &mut cautions)).collect();
    let sag = laden.map(|(_, sag)| sag);
    let heights = height::Heights::of(plan, sag.as_ref());
    steps.extend(heights.basis);
    cautions.extend(lacks_to_wire(&lacks));
    let mm = |length: Option<Length>| length.map(Length::mm);
    pb::ClearancesResponse {
        states,
        front_sag_mm: sag.map(|sag| sag.front.mm()),
        rear_sag_mm: sag.map(|sag| sag.rear.mm()),
        pitch_deg: sag.map(|sag| sag.pitch.deg()),
        ball_height_laden_mm: mm(heights.ball),
        ball_off_level_mm: mm(heights.off_level),
        drop_to_level_mm: mm(heights.drop),
        drop_without_sag_mm: mm(heights.drop_without_sag),
        trailer_pitch_deg: heights.attitude.map(Angle::deg),
        basis: basis_to_wire(&steps),
        cautions,
        revision,
    }
}

/// Writes one state; what of it cannot be told becomes a caution.
fn state(asked: &Clearances, standing: &Standing<'_>, cautions: &mut Vec<pb::Caution>) -> Option<pb::ClearanceState> {
    let profile = asked.plan.vehicle.profile.as_ref()?;
    let pose = &standing.pose;
    let underside = standing.underside(profile);
    let label = standing.label();
    let found = match clearance::clearances(&underside, pose) {
        Ok(found) => found,
        Err(error) => {
            cautions.push(caution("state-missing", &format!("{label}: {}", told(&error))));
            return None;
        }
    };
    let Found { approach, departure, ramp, lowest } = found;
    let wheels = pose.wheels();
    let mut angle = |what: &str, found: Result<Governed, CalcError>, lever: Option<(f64, Length)>| match found {
        Ok(found) => Some(pb::ClearanceAngle {
            angle_deg: Some(found.angle.deg()),
            uncertainty_deg: lever.zip(asked.tape).and_then(|((sign, radius), tape)| {
                let wheel = if sign < 0.0 { Length::ZERO } else { wheels.wheelbase };
                let off = tape_uncertainty((found.at.station - wheel) * sign, found.at.height, radius, tape);
                off.ok().map(Angle::deg)
            }),
            at: Some(point(&underside, found.index, found.at)),
        }),
        Err(error) => {
            cautions.push(caution("angle-missing", &format!("{label}, {what}: {}", told(&error))));
            None
        }
    };
    let approach = angle("approach angle", approach, Some((-1.0, wheels.front_radius)));
    let departure = angle("departure angle", departure, Some((1.0, wheels.rear_radius)));
    let ramp = angle("ramp angle", ramp, None);
    Some(pb::ClearanceState {
        laden: standing.laden,
        gear: standing.gear.into(),
        approach,
        departure,
        ramp,
        lowest: lowest.ok().map(|Lowest { at, index }| point(&underside, index, at)),
        label,
    })
}

/// Says why a figure is missing, with the field that is to blame.
fn told(error: &CalcError) -> String {
    format!("{} {error}", error.field())
}

fn point(underside: &Underside<'_>, index: usize, at: Point) -> pb::ClearancePoint {
    pb::ClearancePoint {
        label: underside.label(index).unwrap_or_default().to_owned(),
        station_mm: Some(at.station.mm()),
        height_mm: Some(at.height.mm()),
    }
}
