//! Clearances: the question from the wire, the answer to it.

use baybook_core::{
    basis::Basis,
    calc::{
        clearance::{self, Clearances as Found, Governed, Lowest, Point, Underside, Wheels, tape_uncertainty},
        sag::{self, AxleSpring, Pose, Sag, SagInput},
    },
    error::CalcError,
    model::{profile::ProfilePoint, receiver::Receiver, upfit::Upfit, vehicle::Axle},
    units::{Angle, Length},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    height,
    load::{Lack, Loads, ball_station, fit_of},
    plan::required_plan,
    ranges,
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

fn wheels(plan: &Upfit, lacks: &mut Vec<Lack>) -> Option<Wheels> {
    let vehicle = &plan.vehicle;
    if vehicle.profile.is_none() {
        lacks.push(Lack::of("vehicle.profile"));
    }
    let mut radius = |axle: &Axle, field: &str| {
        let radius = axle.tyres.as_ref().and_then(|tyres| tyres.loaded_radius);
        if radius.is_none() {
            lacks.push(Lack::of(format!("vehicle.{field}.tyres.loaded_radius_mm")));
        }
        radius
    };
    let (front, rear) = (radius(&vehicle.front, "front"), radius(&vehicle.rear, "rear"));
    Some(Wheels { wheelbase: vehicle.wheelbase, front_radius: front?, rear_radius: rear? })
}

/// Gear under the vehicle.
struct Gear<'a> {
    kind: pb::FittedGear,
    points: &'a [ProfilePoint],
    mount: Vec<Point>,
}

/// Writes the clearances in every state that could be worked out; a caution says why one is missing.
#[must_use]
pub fn clearances_to_wire(asked: &Clearances, revision: i64) -> pb::ClearancesResponse {
    let plan = &asked.plan;
    let mut cautions =
        vec![caution("measure-on-site", "heights differ between units, loads and tyres: measure on this unit, laden")];
    let mut lacks = Vec::new();
    let gear = gear(plan, &mut lacks);
    let laden = laden(asked);
    let unladen = Pose::as_measured(asked.wheels);
    let mut steps: Vec<Basis> = clearance::basis(&unladen);
    let mut poses = vec![(false, unladen)];
    if let Ok((input, sag)) = &laden {
        let pose = Pose::rigid_body(sag);
        steps.extend(sag::basis(input));
        steps.extend(clearance::basis(&pose));
        poses.push((true, pose));
    }
    let mut states = Vec::new();
    for (laden, pose) in &poses {
        for gear in &gear {
            // The loads are those of the plan: what comes off is never laden with them.
            if *laden && matches!(gear.kind, pb::FittedGear::Bare | pb::FittedGear::Replaced) {
                continue;
            }
            states.extend(state(asked, gear, *laden, pose, &mut cautions));
        }
    }
    let sag = laden.as_ref().ok().map(|(_, sag)| *sag);
    let heights = height::Heights::of(plan, sag.as_ref());
    steps.extend(heights.basis);
    lacks.extend(laden.err().unwrap_or_default());
    for lack in lacks {
        let why = format!("{} {}: the states that need it are missing", lack.field, lack.why);
        cautions.push(caution("state-missing", &why));
    }
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

/// Lists what may hang under the vehicle, from nothing to everything.
fn gear<'a>(plan: &'a Upfit, lacks: &mut Vec<Lack>) -> Vec<Gear<'a>> {
    let mut all = vec![Gear { kind: pb::FittedGear::Bare, points: &[], mount: Vec::new() }];
    if let Some(old) = plan.replaced_receiver.as_deref() {
        match points(plan, old, "replaced_receiver") {
            Ok(points) => all.push(Gear { kind: pb::FittedGear::Replaced, points, mount: Vec::new() }),
            Err(lack) => lacks.push(lack),
        }
    }
    let Some(receiver) = plan.receiver.as_deref() else { return all };
    let points = match points(plan, receiver, "receiver") {
        Ok(points) => points,
        Err(lack) => {
            lacks.push(lack);
            return all;
        }
    };
    all.push(Gear { kind: pb::FittedGear::Receiver, points, mount: Vec::new() });
    if plan.ball_mount.is_some() {
        let kind = pb::FittedGear::ReceiverAndBallMount;
        match mount(plan, receiver) {
            Ok(mount) => all.push(Gear { kind, points, mount: vec![mount] }),
            Err(lack) => lacks.push(lack),
        }
    }
    all
}

fn points<'a>(plan: &Upfit, receiver: &'a Receiver, field: &str) -> Result<&'a [ProfilePoint], Lack> {
    let (fit, index) = fit_of(plan, receiver, field)?;
    if fit.points.is_empty() {
        return Err(Lack::of(format!("{field}.fits[{index}].points")));
    }
    Ok(&fit.points)
}

/// Returns the lowest point of the ball mount.
fn mount(plan: &Upfit, receiver: &Receiver) -> Result<Point, Lack> {
    let (fit, index) = fit_of(plan, receiver, "receiver")?;
    let top = fit.tube_top_height.ok_or_else(|| Lack::of(format!("receiver.fits[{index}].tube_top_height_mm")))?;
    let mount = plan.ball_mount.as_deref().ok_or_else(|| Lack::of("ball_mount"))?;
    let drop = mount.drop.ok_or_else(|| Lack::of("ball_mount.drop_mm"))?;
    let depth = mount.depth_below_platform.ok_or_else(|| Lack::of("ball_mount.depth_below_platform_mm"))?;
    Ok(Point { station: ball_station(plan)?, height: top - drop - depth })
}

/// Works out how far the vehicle sinks under what the plan puts on it.
fn laden(asked: &Clearances) -> Result<(SagInput, Sag), Vec<Lack>> {
    let vehicle = &asked.plan.vehicle;
    let loads = Loads::of(&asked.plan)?;
    let mut lacks = Vec::new();
    let mut spring = |axle: &Axle, which: &str| match AxleSpring::of(axle) {
        Ok(spring) => Some(spring),
        Err(error) => {
            lacks.push(Lack::of(format!("vehicle.{which}.{}", error.field())));
            None
        }
    };
    let (front, rear) = (spring(&vehicle.front, "front"), spring(&vehicle.rear, "rear"));
    let (Some(front), Some(rear)) = (front, rear) else { return Err(lacks) };
    let input = SagInput {
        wheels: asked.wheels,
        front,
        rear,
        front_change: loads.axles.front - loads.kerb.0,
        rear_change: loads.axles.rear - loads.kerb.1,
    };
    let sag = sag::sag(&input).map_err(|error| vec![Lack::because(format!("vehicle, {}", error.field()), &error)])?;
    Ok((input, sag))
}

/// Writes one state; what of it cannot be told becomes a caution.
fn state(
    asked: &Clearances,
    gear: &Gear<'_>,
    laden: bool,
    pose: &Pose,
    cautions: &mut Vec<pb::Caution>,
) -> Option<pb::ClearanceState> {
    let profile = asked.plan.vehicle.profile.as_ref()?;
    let underside = Underside::of(profile).with_fitted(gear.points).with_mount(&gear.mount);
    let label = format!("{}, {}", words(gear.kind), if laden { "laden" } else { "unladen" });
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
        laden,
        gear: gear.kind.into(),
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

const fn words(gear: pb::FittedGear) -> &'static str {
    match gear {
        pb::FittedGear::Unspecified | pb::FittedGear::Bare => "bare vehicle",
        pb::FittedGear::Replaced => "with the old receiver",
        pb::FittedGear::Receiver => "with the new receiver",
        pb::FittedGear::ReceiverAndBallMount => "with the new receiver and its ball mount",
    }
}

fn point(underside: &Underside<'_>, index: usize, at: Point) -> pb::ClearancePoint {
    pb::ClearancePoint {
        label: underside.label(index).unwrap_or_default().to_owned(),
        station_mm: Some(at.station.mm()),
        height_mm: Some(at.height.mm()),
    }
}
