//! The states that a vehicle is looked at in: what hangs under it, empty and laden.

use baybook_core::{
    calc::{
        clearance::{Point, Underside, Wheels},
        sag::{self, AxleSpring, Pose, Sag, SagInput},
    },
    model::{
        profile::{Profile, ProfilePoint},
        receiver::Receiver,
        upfit::Upfit,
        vehicle::Axle,
    },
    units::Length,
};
use baybook_proto::v1::{self as pb, FittedGear};

use super::load::{Lack, Loads, ball_station, fit_of};

/// Returns the wheels as measured, or notes what is not known of them and of the underside.
pub(super) fn wheels(plan: &Upfit, lacks: &mut Vec<Lack>) -> Option<Wheels> {
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

/// One state: gear under the vehicle, and how it stands.
#[derive(Debug, Clone)]
pub(super) struct Standing<'a> {
    /// What is fitted.
    pub(super) gear: FittedGear,
    /// Whether it is laden.
    pub(super) laden: bool,
    /// How it stands.
    pub(super) pose: Pose,
    /// The receiver's points.
    points: &'a [ProfilePoint],
    /// The ball mount's lowest point, when it is in.
    mount: Vec<Point>,
}

impl<'a> Standing<'a> {
    /// Returns what people call it.
    pub(super) fn label(&self) -> String {
        format!("{}, {}", words(self.gear), if self.laden { "laden" } else { "unladen" })
    }

    /// Returns the points of the receiver, as measured.
    pub(super) const fn points(&self) -> &'a [ProfilePoint] {
        self.points
    }

    /// Returns the ball mount's lowest point, as measured, when it is in.
    pub(super) fn mount(&self) -> &[Point] {
        &self.mount
    }

    /// Returns what hangs under the vehicle.
    pub(super) fn underside<'s>(&'s self, profile: &'s Profile) -> Underside<'s> {
        Underside::of(profile).with_fitted(self.points).with_mount(&self.mount)
    }
}

/// A vehicle by itself, as measured.
pub(super) const fn bare(pose: Pose) -> Standing<'static> {
    Standing { gear: FittedGear::Bare, laden: false, pose, points: &[], mount: Vec::new() }
}

/// Every state of a plan that could be worked out.
#[derive(Debug)]
pub(super) struct Standings<'a> {
    /// The states: empty ones first, from nothing fitted to everything.
    pub(super) all: Vec<Standing<'a>>,
    /// How far the vehicle sinks under what the plan puts on it, with the new gear.
    pub(super) laden: Option<(SagInput, Sag)>,
    /// Why states are missing.
    pub(super) lacks: Vec<Lack>,
}

/// A receiver with the plan's ball mount, or without.
struct Gear<'a> {
    kind: FittedGear,
    /// Whether it is what comes off.
    old: bool,
    points: &'a [ProfilePoint],
    mount: Vec<Point>,
}

/// Works out every state of a plan.
///
/// The plan's loads ride in the old state too: only the receiver is another one.
pub(super) fn standings(plan: &Upfit, wheels: Wheels) -> Standings<'_> {
    let mut lacks = Vec::new();
    let mut gear = vec![Gear { kind: FittedGear::Bare, old: false, points: &[], mount: Vec::new() }];
    let before = plan.replaced_receiver.as_ref().map(|old| Upfit { receiver: Some(old.clone()), ..plan.clone() });
    if let (Some(before), Some(old)) = (&before, plan.replaced_receiver.as_deref()) {
        let kinds = (FittedGear::Replaced, FittedGear::ReplacedAndBallMount);
        gear.extend(of_receiver(before, old, "replaced_receiver", kinds, &mut lacks));
    }
    if let Some(new) = plan.receiver.as_deref() {
        let kinds = (FittedGear::Receiver, FittedGear::ReceiverAndBallMount);
        gear.extend(of_receiver(plan, new, "receiver", kinds, &mut lacks));
    }
    let unladen = Pose::as_measured(wheels);
    let mut all: Vec<Standing<'_>> = gear.iter().map(|gear| standing(gear, false, unladen)).collect();
    let mut sink = |plan: &Upfit, old: bool| match sag_of(plan, wheels) {
        Ok(found) => Some(found),
        Err(found) => {
            for lack in found {
                let field =
                    if old { lack.field.replace("receiver.fits", "replaced_receiver.fits") } else { lack.field };
                let lack = Lack { field, ..lack };
                if !lacks.contains(&lack) {
                    lacks.push(lack);
                }
            }
            None
        }
    };
    let laden = sink(plan, false);
    let old_laden = before.as_ref().and_then(|before| sink(before, true));
    for gear in &gear {
        // With a receiver in the plan, nothing rides in a vehicle without one.
        if gear.kind == FittedGear::Bare && (plan.receiver.is_some() || plan.items.is_empty()) {
            continue;
        }
        let sunk = if gear.old { &old_laden } else { &laden };
        if let Some((_, sag)) = sunk {
            all.push(standing(gear, true, Pose::rigid_body(sag)));
        }
    }
    Standings { all, laden, lacks }
}

fn standing<'a>(gear: &Gear<'a>, laden: bool, pose: Pose) -> Standing<'a> {
    Standing { gear: gear.kind, laden, pose, points: gear.points, mount: gear.mount.clone() }
}

fn of_receiver<'a>(
    plan: &Upfit,
    receiver: &'a Receiver,
    field: &str,
    (alone, with_mount): (FittedGear, FittedGear),
    lacks: &mut Vec<Lack>,
) -> Vec<Gear<'a>> {
    let old = field == "replaced_receiver";
    let points = fit_of(plan, receiver, field).and_then(|(fit, index)| {
        if fit.points.is_empty() {
            return Err(Lack::of(format!("{field}.fits[{index}].points")));
        }
        Ok(fit.points.as_slice())
    });
    let points = match points {
        Ok(points) => points,
        Err(lack) => {
            lacks.push(lack);
            return Vec::new();
        }
    };
    let mut all = vec![Gear { kind: alone, old, points, mount: Vec::new() }];
    if plan.ball_mount.is_some() {
        match mount(plan, receiver, field) {
            Ok(mount) => all.push(Gear { kind: with_mount, old, points, mount: vec![mount] }),
            Err(lack) => lacks.push(lack),
        }
    }
    all
}

/// Returns the lowest point of the ball mount.
fn mount(plan: &Upfit, receiver: &Receiver, field: &str) -> Result<Point, Lack> {
    let (fit, index) = fit_of(plan, receiver, field)?;
    let top = fit.tube_top_height.ok_or_else(|| Lack::of(format!("{field}.fits[{index}].tube_top_height_mm")))?;
    let mount = plan.ball_mount.as_deref().ok_or_else(|| Lack::of("ball_mount"))?;
    let drop = mount.drop.ok_or_else(|| Lack::of("ball_mount.drop_mm"))?;
    let depth = mount.depth_below_platform.ok_or_else(|| Lack::of("ball_mount.depth_below_platform_mm"))?;
    let height = top - drop - depth;
    if height < Length::ZERO {
        return Err(Lack { field: "ball_mount.drop_mm".to_owned(), why: "puts the mount into the ground".to_owned() });
    }
    Ok(Point { station: ball_station(plan)?, height })
}

/// Works out how far the vehicle sinks under what the plan puts on it.
fn sag_of(plan: &Upfit, wheels: Wheels) -> Result<(SagInput, Sag), Vec<Lack>> {
    let vehicle = &plan.vehicle;
    let loads = Loads::of(plan)?;
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
        wheels,
        front,
        rear,
        front_change: loads.axles.front - loads.kerb.0,
        rear_change: loads.axles.rear - loads.kerb.1,
    };
    let sag = sag::sag(&input).map_err(|error| vec![Lack::because(format!("vehicle, {}", error.field()), &error)])?;
    Ok((input, sag))
}

/// Says why states are missing.
pub(super) fn lacks_to_wire(lacks: &[Lack]) -> impl Iterator<Item = pb::Caution> {
    lacks.iter().map(|lack| {
        let why = format!("{} {}: the states that need it are missing", lack.field, lack.why);
        super::basis::caution("state-missing", &why)
    })
}

/// Returns what people call what is fitted.
pub(super) const fn words(gear: FittedGear) -> &'static str {
    match gear {
        FittedGear::Unspecified | FittedGear::Bare => "bare vehicle",
        FittedGear::Replaced => "with the old receiver",
        FittedGear::ReplacedAndBallMount => "with the old receiver and the ball mount",
        FittedGear::Receiver => "with the new receiver",
        FittedGear::ReceiverAndBallMount => "with the new receiver and its ball mount",
    }
}
