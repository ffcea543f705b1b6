//! How a receiver hangs, and whether that is as wished.

use super::{Bare, Reason};
use crate::{
    calc::{
        axles::AxleLoads,
        clearance::{Underside, departure, lowest},
        sag::{Pose, SagInput, sag},
    },
    model::{profile::ProfileJoin, receiver::Fit},
    units::{Angle, Length},
};

/// How a candidate hangs.
#[derive(Default)]
pub(super) struct Clear {
    pub(super) departure: Option<Angle>,
    pub(super) lowest: Option<Length>,
    pub(super) departure_laden: Option<Angle>,
    pub(super) height_laden: Option<Length>,
}

/// Returns how it hangs, empty and laden, as far as that is known.
pub(super) fn clearance(bare: &Bare<'_>, fit: Option<&Fit>, loads: Option<&AxleLoads>) -> Clear {
    let (Some(fit), Some(wheels), Some(profile)) = (fit, bare.wheels, bare.input.vehicle.profile.as_ref()) else {
        return Clear::default();
    };
    // A receiver whose points nobody measured may hang anywhere.
    if fit.points.is_empty() {
        return Clear::default();
    }
    let under = Underside::of(profile).with_fitted(&fit.points);
    let alone = Underside { body: &[], join: ProfileJoin::SeparatePoints, fitted: &fit.points, mount: &[] };
    let measured = Pose::as_measured(wheels);
    let vehicle = bare.input.vehicle;
    let laden = || -> Option<Pose> {
        let (front, rear) = bare.springs?;
        let loads = loads?;
        let (front_change, rear_change) = (loads.front - vehicle.front.kerb?, loads.rear - vehicle.rear.kerb?);
        Some(Pose::rigid_body(&sag(&SagInput { wheels, front, rear, front_change, rear_change }).ok()?))
    };
    let laden = laden();
    Clear {
        departure: departure(&under, &measured).ok().map(|governed| governed.angle),
        lowest: lowest(&under, &measured).ok().map(|low| low.at.height),
        departure_laden: laden.as_ref().and_then(|pose| departure(&under, pose).ok()).map(|governed| governed.angle),
        height_laden: laden.as_ref().and_then(|pose| lowest(&alone, pose).ok()).map(|low| low.at.height),
    }
}

/// Notes which wishes it does not meet.
pub(super) fn wishes(bare: &Bare<'_>, clear: &Clear, reasons: &mut Vec<Reason>) {
    let wish = bare.input.wish;
    for (laden, angle, wished, path) in [
        (false, clear.departure, wish.departure_min, "departure_deg"),
        (true, clear.departure_laden, wish.departure_laden_min, "departure_laden_deg"),
    ] {
        match (angle, wished) {
            (Some(angle), Some(wished)) if angle < wished => {
                reasons.push(Reason::DepartureShort { laden, angle, wished });
            }
            (None, Some(_)) => reasons.push(Reason::UnknownFigure { path }),
            _ => {}
        }
    }
    match (clear.height_laden, wish.hitch_height_min) {
        (Some(height), Some(wished)) if height < wished => reasons.push(Reason::TooLow { height, wished }),
        (None, Some(_)) => reasons.push(Reason::UnknownFigure { path: "hitch_height_laden_mm" }),
        _ => {}
    }
}
