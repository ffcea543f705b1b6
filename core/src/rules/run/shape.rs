//! Shapes: angles and heights, unladen, laden, and before a swap.

use super::{
    figures::{ClearanceFigures, Known, SagFigures, Unknown},
    ground::{self, ClassFigures, Rolls, TerrainFigures},
    train::{Train, ball_station_on, bed_fit, fit},
    tyres::{self, TyrePaths},
};
use crate::{
    calc::{
        bed::{OverRails, RailGap, rail_gap},
        clearance::{Governed, Point, Underside, Wheels, clearances, departure},
        drop::{DropInput, MountInput, level_drop, mount_heights},
        sag::{AxleSpring, Pose, Sag, SagInput, sag},
    },
    error::CalcError,
    model::{
        bed::BedCoupling,
        profile::{Profile, ProfilePoint},
        receiver::Fit,
        upfit::Upfit,
        vehicle::{Axle, Vehicle},
    },
    units::Length,
};

/// The angles and heights of a plan.
pub(super) struct Shape {
    pub(super) unladen: ClearanceFigures,
    pub(super) laden: ClearanceFigures,
    pub(super) before: Option<Known<Governed>>,
    pub(super) sag: Known<SagFigures>,
    pub(super) hitch_lowest: Known<Length>,
    pub(super) ball_height: Known<Length>,
    pub(super) drop_to_level: Known<Length>,
    pub(super) terrains: Vec<TerrainFigures>,
    pub(super) off_road: Option<Known<ClassFigures>>,
    pub(super) rail_gap: Option<Known<RailGap>>,
}

impl Shape {
    pub(super) fn of(plan: &Upfit, train: &Train, rolls: Option<&Rolls>) -> Self {
        let vehicle = &*plan.vehicle;
        let wheels = wheels(vehicle);
        let sag = wheels.and_then(|wheels| laden(vehicle, wheels, train));
        let gear = if plan.receiver.is_none() && plan.hangs_in_bed() {
            Ok(Gear { points: &[], mount: None })
        } else {
            fit(plan.receiver.as_deref(), &vehicle.name, "receiver")
                .and_then(|(_, fit, index)| Gear::of(plan, fit, index))
        };
        let as_measured = wheels.map(Pose::as_measured);
        let laden_pose = sag.map(|sag| Pose::rigid_body(&sag));
        let at_ball = || Ok(sag?.at(train.ball_station?));
        Self {
            unladen: angles(vehicle, gear, as_measured),
            laden: angles(vehicle, gear, laden_pose),
            before: plan.replaced_receiver.as_deref().map(|old| {
                let (_, fit, index) = fit(Some(old), &vehicle.name, "replaced_receiver")?;
                let gear = Gear::of(plan, fit, index).map_err(|unknown| Unknown {
                    field: if unknown.index.is_some() { "replaced_receiver.fits" } else { unknown.field },
                    index: None,
                    ..unknown
                })?;
                let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
                let underside = gear.under(profile);
                departure(&underside, &as_measured?)
                    .map_err(|error| Unknown::from_calc("replaced_receiver.fits", &error))
            }),
            sag: sag.and_then(|sag| {
                Ok(SagFigures { front: sag.front, rear: sag.rear, at_ball: at_ball()?, pitch: sag.pitch })
            }),
            hitch_lowest: gear.and_then(|gear| gear.lowest(&laden_pose?).ok_or(Unknown::missing("receiver"))),
            ball_height: match plan.bed_coupling.as_deref() {
                Some(coupling) => laden_pose.and_then(|pose| Ok(face(plan, coupling, train, pose)?.height)),
                None => at_ball().and_then(|sag| ball_height(plan, sag)),
            },
            drop_to_level: at_ball().and_then(|sag| drop_to_level(plan, sag)),
            rail_gap: plan.hangs_in_bed().then(|| over_rails(plan, train, laden_pose)),
            terrains: ground::over_terrains(plan, gear, as_measured, laden_pose, rolls),
            off_road: plan.off_road_class.map(|class| {
                let old = plan.replaced_receiver.as_deref();
                let before = old.map(|old| {
                    let (_, fit, index) = fit(Some(old), &vehicle.name, "replaced_receiver")?;
                    Gear::of(plan, fit, index)
                });
                ground::class_kept(vehicle, class, before.transpose()?, gear?, &as_measured?)
            }),
        }
    }
}

/// The points of what is fitted.
#[derive(Clone, Copy)]
pub(super) struct Gear<'a> {
    pub(super) points: &'a [ProfilePoint],
    /// The ball mount's lowest point, when it is in.
    pub(super) mount: Option<Point>,
}

impl<'a> Gear<'a> {
    fn of(plan: &Upfit, fit: &'a Fit, index: usize) -> Known<Self> {
        if fit.points.is_empty() {
            return Err(Unknown::missing_at("receiver.fits[].points", index));
        }
        if plan.hangs_in_bed() {
            return Ok(Self { points: &fit.points, mount: None });
        }
        let station = ball_station_on(plan, fit, index)?;
        let top = fit.tube_top_height.ok_or(Unknown::missing_at("receiver.fits[].tube_top_height_mm", index))?;
        let mount = plan.ball_mount.as_deref().ok_or(Unknown::missing("ball_mount"))?;
        let drop = mount.drop.ok_or(Unknown::missing("ball_mount.drop_mm"))?;
        let depth = mount.depth_below_platform.ok_or(Unknown::missing("ball_mount.depth_below_platform_mm"))?;
        let mount = Some(Point { station, height: top - drop - depth });
        Ok(Self { points: &fit.points, mount })
    }

    /// Hangs it under a vehicle.
    pub(super) fn under<'s>(&'s self, profile: &'s Profile) -> Underside<'s> {
        Underside::of(profile).with_fitted(self.points).with_mount(self.mount.as_slice())
    }

    fn lowest(&self, pose: &Pose) -> Option<Length> {
        let fitted = self.points.iter().map(|point| Point { station: point.station, height: point.height });
        fitted.chain(self.mount).map(|point| pose.place(point).height).reduce(Length::min)
    }
}

fn angles(vehicle: &Vehicle, gear: Known<Gear<'_>>, pose: Known<Pose>) -> ClearanceFigures {
    let all = || {
        let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
        let underside = gear.as_ref().map_or_else(|_| Underside::of(profile), |gear| gear.under(profile));
        let blame = |error: CalcError| Unknown::from_calc("vehicle.profile", &error);
        let found = clearances(&underside, &pose?).map_err(blame)?;
        Ok(ClearanceFigures {
            approach: found.approach.map_err(blame),
            // Without the gear's points the angle would be the bare vehicle's, which is too good.
            departure: gear.and_then(|_| found.departure.map_err(blame)),
            ramp: found.ramp.map_err(blame),
        })
    };
    all().unwrap_or_else(|unknown| ClearanceFigures {
        approach: Err(unknown),
        departure: Err(unknown),
        ramp: Err(unknown),
    })
}

fn wheels(vehicle: &Vehicle) -> Known<Wheels> {
    let radius = |axle: &Axle, paths: &TyrePaths| {
        let tyres = axle.tyres.as_ref().ok_or(Unknown::missing(paths.whole))?;
        tyres.loaded_radius.ok_or(Unknown::missing(paths.loaded_radius))
    };
    Ok(Wheels {
        wheelbase: vehicle.wheelbase,
        front_radius: radius(&vehicle.front, &tyres::FRONT)?,
        rear_radius: radius(&vehicle.rear, &tyres::REAR)?,
    })
}

/// The paths of one axle's springs on the wire.
struct SpringPaths {
    rate: &'static str,
    levelling: &'static str,
    tyres: TyrePaths,
}

/// Why a ball that sinks past [`SAG`](crate::calc::drop::SAG) has no height.
const SINKS_TOO_FAR: &str =
    "lets the ball sink, or rise, more than 500 mm under this load: past what a spring without its stops tells";

const FRONT: SpringPaths = SpringPaths {
    rate: "vehicle.front.suspension_rate_n_per_mm",
    levelling: "vehicle.front.self_levelling",
    tyres: tyres::FRONT,
};
const REAR: SpringPaths = SpringPaths {
    rate: "vehicle.rear.suspension_rate_n_per_mm",
    levelling: "vehicle.rear.self_levelling",
    tyres: tyres::REAR,
};

fn spring(axle: &Axle, paths: &SpringPaths) -> Known<AxleSpring> {
    if axle.self_levelling == Some(true) {
        return Err(Unknown::because(
            paths.levelling,
            "says that the axle levels itself, so its height does not follow its load",
        ));
    }
    AxleSpring::of(axle).map_err(|error| {
        let field = match error.field() {
            "suspension_rate_n_per_mm" => paths.rate,
            "self_levelling" => paths.levelling,
            "tyres.rate_n_per_mm" => paths.tyres.rate,
            "tyres.tyre_count" => paths.tyres.count,
            _ => paths.tyres.whole,
        };
        Unknown::from_calc(field, &error)
    })
}

fn laden(vehicle: &Vehicle, wheels: Wheels, train: &Train) -> Known<Sag> {
    let (front, rear) = (spring(&vehicle.front, &FRONT)?, spring(&vehicle.rear, &REAR)?);
    let axles = train.axles?;
    let kerb_front = vehicle.front.kerb.ok_or(Unknown::missing("vehicle.front.kerb_kg"))?;
    let kerb_rear = vehicle.rear.kerb.ok_or(Unknown::missing("vehicle.rear.kerb_kg"))?;
    let input =
        SagInput { wheels, front, rear, front_change: axles.front - kerb_front, rear_change: axles.rear - kerb_rear };
    sag(&input).map_err(|error| Unknown::from_calc("vehicle.rear.suspension_rate_n_per_mm", &error))
}

/// What the heights of the ball hang on: tube top, and the ball's own height.
fn tube_and_ball(plan: &Upfit) -> Known<(Length, Length)> {
    let (_, fit, index) = fit(plan.receiver.as_deref(), &plan.vehicle.name, "receiver")?;
    let top = fit.tube_top_height.ok_or(Unknown::missing_at("receiver.fits[].tube_top_height_mm", index))?;
    let ball = plan.ball.as_deref().ok_or(Unknown::missing("ball"))?;
    Ok((top, ball.height.ok_or(Unknown::missing("ball.height_mm"))?))
}

/// The face of the coupling in the bed, as the laden vehicle stands.
fn face(plan: &Upfit, coupling: &BedCoupling, train: &Train, pose: Pose) -> Known<Point> {
    let (fit, index) = bed_fit(plan, coupling)?;
    let height = fit.face_height.ok_or(Unknown::missing_at("bed_coupling.fits[].face_height_mm", index))?;
    Ok(pose.place(Point { station: train.ball_station?, height }))
}

fn over_rails(plan: &Upfit, train: &Train, pose: Known<Pose>) -> Known<RailGap> {
    let coupling = plan.bed_coupling.as_deref().ok_or(Unknown::missing("bed_coupling"))?;
    let bed = plan.vehicle.bed.ok_or(Unknown::missing("vehicle.bed"))?;
    let height = bed.rail_height.ok_or(Unknown::missing("vehicle.bed.rail_height_mm"))?;
    let cab = bed.cab_back_station.ok_or(Unknown::missing("vehicle.bed.cab_back_station_mm"))?;
    let end = bed.rail_end_station.ok_or(Unknown::missing("vehicle.bed.rail_end_station_mm"))?;
    let trailer = plan.trailer.as_deref().ok_or(Unknown::missing("trailer"))?;
    let above = trailer.underside_above_coupling;
    let above_face = above.ok_or(Unknown::missing("trailer.underside_above_coupling_mm"))?;
    let behind = trailer.nose.as_ref().and_then(|nose| nose.behind);
    let behind = behind.ok_or(Unknown::missing("trailer.nose.behind_ball_mm"))?;
    let level = trailer.coupler_height_level.ok_or(Unknown::missing("trailer.coupler_height_level_mm"))?;
    let to_axle = trailer.coupler_to_axle.ok_or(Unknown::missing("trailer.coupler_to_axle_mm"))?;
    let pose = pose?;
    let rails = [cab, end].map(|station| pose.place(Point { station, height }));
    let face = face(plan, coupling, train, pose)?;
    rail_gap(&OverRails { face, rails, ahead: -behind, above_face, level, to_axle }).map_err(|error| {
        let field = match error.field() {
            "underside_above_coupling_mm" => "trailer.underside_above_coupling_mm",
            "coupler_to_axle_mm" => "trailer.coupler_to_axle_mm",
            _ => "vehicle.bed.rail_end_station_mm",
        };
        Unknown::from_calc(field, &error)
    })
}

fn ball_height(plan: &Upfit, sag: Length) -> Known<Length> {
    let (tube_top, ball_height) = tube_and_ball(plan)?;
    let mount = plan.ball_mount.as_deref().ok_or(Unknown::missing("ball_mount"))?;
    let drop = mount.drop.ok_or(Unknown::missing("ball_mount.drop_mm"))?;
    let input = MountInput { tube_top, sag, drop, ball_height };
    let heights = mount_heights(&input).map_err(|error| out_of_reach(plan, "ball_mount.drop_mm", &error))?;
    Ok(heights.ball_top)
}

fn drop_to_level(plan: &Upfit, sag: Length) -> Known<Length> {
    let (tube_top, ball_height) = tube_and_ball(plan)?;
    let level = plan.trailer.as_deref().and_then(|trailer| trailer.coupler_height_level);
    let coupler_level = level.ok_or(Unknown::missing("trailer.coupler_height_level_mm"))?;
    let input = DropInput { tube_top, sag, coupler_level, ball_height };
    let level = level_drop(&input).map_err(|error| out_of_reach(plan, "trailer.coupler_height_level_mm", &error))?;
    Ok(level.drop)
}

/// Blames the field that put a height out of the calculator's ranges; how far the tail sinks is nobody's input, so that is
/// told of the axle that lets it.
fn out_of_reach(plan: &Upfit, own: &'static str, error: &CalcError) -> Unknown {
    let index = fit(plan.receiver.as_deref(), &plan.vehicle.name, "receiver").map_or(0, |(_, _, index)| index);
    match error.field() {
        "sag_mm" => Unknown::because(REAR.rate, SINKS_TOO_FAR),
        "tube_top_height_mm" => {
            Unknown { index: Some(index), ..Unknown::from_calc("receiver.fits[].tube_top_height_mm", error) }
        }
        "ball_height_mm" => Unknown::from_calc("ball.height_mm", error),
        _ => Unknown::from_calc(own, error),
    }
}
