//! Clearances: the question from the wire, the answer to it.

use baybook_core::{
    basis::Basis,
    calc::{
        clearance::{
            self, Clearances as Found, Governed, Lowest, Point, Underside, Wheels, sensitivity, tape_uncertainty,
        },
        measurement,
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
    height, off_road,
    plan::required_plan,
    ranges,
    standing::{Standing, Standings, lacks_to_wire, standings, wheels},
};

mod side_view;

/// A question how much clearance there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Clearances {
    /// The plan.
    pub plan: Upfit,
    /// The wheels as measured unladen.
    pub wheels: Wheels,
    /// How well heights were measured.
    pub tape: Option<Length>,
    /// Free radius of the front wheels.
    pub front_free: Option<Length>,
    /// Free radius of the rear wheels.
    pub rear_free: Option<Length>,
    /// How well the sag is known.
    pub sag_off: Option<Length>,
    /// Whether a drawing is wanted.
    pub drawing: bool,
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
        let mut mm = |name, value, range| fields.number(name, value, range).map(Length::from_mm);
        let front_free = mm("front_free_radius_mm", wire.front_free_radius_mm, &ranges::LOADED_RADIUS);
        let rear_free = mm("rear_free_radius_mm", wire.rear_free_radius_mm, &ranges::LOADED_RADIUS);
        let sag_off = mm("sag_uncertainty_mm", wire.sag_uncertainty_mm, &ranges::TAPE);
        let mut lacks = Vec::new();
        let wheels = plan.as_ref().and_then(|plan| wheels(plan, &mut lacks));
        fields.lacking("plan", &lacks);
        let asked = plan.zip(wheels).map(|(plan, wheels)| Self {
            plan,
            wheels,
            tape: tape.map(Length::from_mm),
            front_free,
            rear_free,
            sag_off,
            drawing: wire.drawing,
        });
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
    let states: Vec<pb::ClearanceState> =
        all.iter().filter_map(|standing| state(asked, standing, &mut cautions)).collect();
    let drawing_svg = if asked.drawing { side_view::draw(asked, &all, &states) } else { String::new() };
    let sag = laden.map(|(_, sag)| sag);
    let heights = height::Heights::of(plan, sag.as_ref());
    let windows = off_road::windows(plan, heights.ball, &mut steps);
    steps.extend(off_road::basis());
    let unsure = heights.unsure(plan, asked.tape, asked.sag_off);
    if asked.tape.is_some() {
        steps.extend(asked.tape.into_iter().flat_map(measurement::basis));
        if asked.sag_off.is_none() {
            let text = "a ± is that of the tape: what springs and tyres do under load is not in it";
            cautions.push(caution("tape-alone", text));
        }
    }
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
        trailer_pitch_uncertainty_deg: unsure.0,
        drop_uncertainty_mm: unsure.1,
        ball_windows: windows,
        basis: basis_to_wire(&steps),
        cautions,
        revision,
        drawing_svg,
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
    // Laden, a point is as high as the tape and the sag say, each off by its own.
    let sunk = asked.sag_off.filter(|_| standing.laden).unwrap_or(Length::ZERO);
    let mut angle = |what: &str, found: Result<Governed, CalcError>, side: Side| match found {
        Ok(found) => Some(pb::ClearanceAngle {
            angle_deg: Some(found.angle.deg()),
            uncertainty_deg: asked.tape.and_then(|tape| side.unsure(wheels, found.at, tape, sunk)).map(Angle::deg),
            at: Some(point(&underside, found.index, found.at)),
            free_radius_deg: side.by_free_radius(asked, &underside, pose).map(Angle::deg),
        }),
        Err(error) => {
            cautions.push(caution("angle-missing", &format!("{label}, {what}: {}", told(&error))));
            None
        }
    };
    let approach = angle("approach angle", approach, Side::Front);
    let departure = angle("departure angle", departure, Side::Rear);
    let ramp = angle("ramp angle", ramp, Side::Both);
    Some(pb::ClearanceState {
        laden: standing.laden,
        gear: standing.gear.into(),
        approach,
        departure,
        ramp,
        lowest: lowest.ok().map(|Lowest { at, index }| point(&underside, index, at)),
        off_road: off_road::tests(&underside, pose),
        label,
    })
}

/// Which tyres an angle is tangent to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Front,
    Rear,
    Both,
}

impl Side {
    /// Returns how far off an angle may be, every measure off the wrong way: distance, height and radius by the tape, the
    /// height by the sag too.
    ///
    /// The ramp angle is the sum of its two; where an edge governs it does not change with the place on the edge.
    fn unsure(self, wheels: &Wheels, at: Point, tape: Length, sunk: Length) -> Option<Angle> {
        let one = |u: Length, r: Length| {
            let by_tape = tape_uncertainty(u, at.height, r, tape).ok()?;
            let slopes = sensitivity(u, at.height, r).ok()?;
            Some(by_tape + (slopes.height * sunk.mm()).abs())
        };
        let front = |u: Length| one(u, wheels.front_radius);
        let rear = |u: Length| one(u, wheels.rear_radius);
        match self {
            Self::Front => front(-at.station),
            Self::Rear => rear(at.station - wheels.wheelbase),
            Self::Both => Some(front(at.station)? + rear(wheels.wheelbase - at.station)?),
        }
    }

    /// Returns the angle by the free radius, where it was given.
    fn by_free_radius(self, asked: &Clearances, underside: &Underside<'_>, pose: &Pose) -> Option<Angle> {
        let found = match self {
            Self::Front => clearance::approach_two_radius(underside, pose, asked.front_free?),
            Self::Rear => clearance::departure_two_radius(underside, pose, asked.rear_free?),
            Self::Both => return None,
        };
        found.ok().map(|found| found.angle)
    }
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
