//! Over the plan's terrains, both ways, empty and laden; and whether an off-road class is kept.

use super::{
    figures::{Known, Unknown},
    shape::Gear,
};
use crate::{
    calc::{
        clearance::Underside,
        off_road::{Class, Criterion, class_test, lost, measures},
        roll_over::{Place, RollInput, Stance, Touching, reversed, roll_over},
        sag::Pose,
    },
    error::CalcError,
    model::{terrain::Terrain, upfit::Upfit, vehicle::Vehicle},
    units::{Angle, Length},
};

/// What comes of rolling over one terrain, the worse of both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rolled {
    /// The least gap; below zero the ground is in the way.
    pub gap: Length,
    /// Whether anything touches.
    pub touches: bool,
    /// What comes nearest.
    pub touching: Touching,
    /// The pitch there, nose up.
    pub pitch: Angle,
    /// Where that is.
    pub at: Place,
    /// How the vehicle stands there.
    pub stance: Stance,
    /// Whether it is the way back that is worse.
    pub back: bool,
}

/// One terrain of a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TerrainFigures {
    /// Empty, with receiver and ball mount in.
    pub unladen: Known<Rolled>,
    /// Laden and hitched; the trailer itself is not rolled.
    pub laden: Known<Rolled>,
}

/// Whether a vehicle keeps its off-road class with the gear on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassFigures {
    /// Whether the gear costs it the class; `None` while what nobody measured could decide it.
    pub lost: Option<bool>,
    /// How many measures hold with the gear on.
    pub held: usize,
    /// How many must.
    pub needed: usize,
    /// The first measure that held before and does not any more.
    pub criterion: Option<Criterion>,
}

pub(super) fn over_terrains(
    plan: &Upfit,
    gear: Known<Gear<'_>>,
    unladen: Known<Pose>,
    laden: Known<Pose>,
) -> Vec<TerrainFigures> {
    let each = plan.terrains.iter().enumerate().map(|(index, terrain)| TerrainFigures {
        unladen: over(&plan.vehicle, gear, unladen, terrain, index),
        laden: over(&plan.vehicle, gear, laden, terrain, index),
    });
    each.collect()
}

fn over(vehicle: &Vehicle, gear: Known<Gear<'_>>, pose: Known<Pose>, terrain: &Terrain, index: usize) -> Known<Rolled> {
    let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
    let gear = gear?;
    let pose = pose?;
    let mount = [gear.mount];
    let underside = Underside::of(profile).with_fitted(gear.points).with_mount(&mount);
    let back = reversed(terrain);
    let one = |terrain: &Terrain, back: bool| {
        let rolled = roll_over(&RollInput { underside: &underside, pose: &pose, terrain }).map_err(|error| {
            let field = match error {
                CalcError::Conflict { field: "rise_mm" | "run_mm", .. } => "terrains[]",
                CalcError::OutOfRange { field: "rise_mm" | "run_mm" | "points_count", .. } => "terrains[]",
                _ => return Unknown::from_calc("vehicle.profile", &error),
            };
            Unknown { index: Some(index), ..Unknown::from_calc(field, &error) }
        })?;
        let least = rolled.least;
        let touches = rolled.first_touch.is_some();
        Ok(Rolled {
            gap: least.gap,
            touches,
            touching: least.touching,
            pitch: least.stance.pitch,
            at: least.at,
            stance: least.stance,
            back,
        })
    };
    let (there, home) = (one(terrain, false)?, one(&back, true)?);
    Ok(if home.gap < there.gap { home } else { there })
}

pub(super) fn class_kept(
    vehicle: &Vehicle,
    class: Class,
    before: Option<Gear<'_>>,
    after: Gear<'_>,
    pose: &Pose,
) -> Known<ClassFigures> {
    let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
    let blame = |error: CalcError| Unknown::from_calc("vehicle.profile", &error);
    let with = |gear: Option<Gear<'_>>| {
        let mount = gear.map(|gear| [gear.mount]);
        let mut underside = Underside::of(profile);
        if let (Some(gear), Some(mount)) = (&gear, &mount) {
            underside = underside.with_fitted(gear.points).with_mount(mount);
        }
        measures(&underside, pose).map_err(blame)
    };
    let (was, is) = (with(before)?, with(Some(after))?);
    let (old, new) = (class_test(class, &was).map_err(blame)?, class_test(class, &is).map_err(blame)?);
    let fell =
        old.items.iter().zip(&new.items).find(|(old, new)| old.holds() == Some(true) && new.holds() == Some(false));
    Ok(ClassFigures {
        lost: lost(class, &was, &is).map_err(blame)?,
        held: new.held(),
        needed: new.needed,
        criterion: fell.map(|(_, new)| new.criterion),
    })
}
