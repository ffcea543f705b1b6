//! Shapes: angles and heights, unladen, laden, and before a swap.

use super::{
    figures::{ClearanceFigures, Known, SagFigures, Unknown},
    ground::{self, ClassFigures, TerrainFigures},
    train::{Train, ball_station_on, fit},
    tyres::{self, TyrePaths},
};
use crate::{
    calc::{
        clearance::{Governed, Point, Underside, Wheels, clearances, departure},
        drop::{DropInput, MountInput, level_drop, mount_heights},
        sag::{AxleSpring, Pose, Sag, SagInput, sag},
    },
    error::CalcError,
    model::{
        profile::ProfilePoint,
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
}

impl Shape {
    pub(super) fn of(plan: &Upfit, train: &Train) -> Self {
        let vehicle = &*plan.vehicle;
        let wheels = wheels(vehicle);
        let sag = wheels.and_then(|wheels| laden(vehicle, wheels, train));
        let gear = fit(plan.receiver.as_deref(), &vehicle.name, "receiver")
            .and_then(|(_, fit, index)| Gear::of(plan, fit, index));
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
                let mount = [gear.mount];
                let underside = Underside::of(profile).with_fitted(gear.points).with_mount(&mount);
                departure(&underside, &as_measured?)
                    .map_err(|error| Unknown::from_calc("replaced_receiver.fits", &error))
            }),
            sag: sag.and_then(|sag| {
                Ok(SagFigures { front: sag.front, rear: sag.rear, at_ball: at_ball()?, pitch: sag.pitch })
            }),
            hitch_lowest: gear.and_then(|gear| Ok(gear.lowest(&laden_pose?))),
            ball_height: at_ball().and_then(|sag| ball_height(plan, sag)),
            drop_to_level: at_ball().and_then(|sag| drop_to_level(plan, sag)),
            terrains: ground::over_terrains(plan, gear, as_measured, laden_pose),
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
    pub(super) mount: Point,
}

impl<'a> Gear<'a> {
    fn of(plan: &Upfit, fit: &'a Fit, index: usize) -> Known<Self> {
        if fit.points.is_empty() {
            return Err(Unknown::missing_at("receiver.fits[].points", index));
        }
        let station = ball_station_on(plan, fit, index)?;
        let top = fit.tube_top_height.ok_or(Unknown::missing_at("receiver.fits[].tube_top_height_mm", index))?;
        let mount = plan.ball_mount.as_deref().ok_or(Unknown::missing("ball_mount"))?;
        let drop = mount.drop.ok_or(Unknown::missing("ball_mount.drop_mm"))?;
        let depth = mount.depth_below_platform.ok_or(Unknown::missing("ball_mount.depth_below_platform_mm"))?;
        Ok(Self { points: &fit.points, mount: Point { station, height: top - drop - depth } })
    }

    fn lowest(&self, pose: &Pose) -> Length {
        let fitted = self.points.iter().map(|point| Point { station: point.station, height: point.height });
        fitted.map(|point| pose.place(point).height).fold(pose.place(self.mount).height, Length::min)
    }
}

fn angles(vehicle: &Vehicle, gear: Known<Gear<'_>>, pose: Known<Pose>) -> ClearanceFigures {
    let all = || {
        let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
        let mount = gear.map(|gear| [gear.mount]);
        let mut underside = Underside::of(profile);
        if let (Ok(gear), Ok(mount)) = (&gear, &mount) {
            underside = underside.with_fitted(gear.points).with_mount(mount);
        }
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
