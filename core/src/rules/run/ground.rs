//! Over the plan's terrains, both ways, empty and laden; and whether an off-road class is kept.

use std::{cell::RefCell, collections::BTreeMap, sync::Arc};

use super::{
    figures::{Known, Unknown},
    shape::Gear,
};
use crate::{
    calc::{
        clearance::{Point, Underside},
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
    known: Option<&Rolls>,
) -> Vec<TerrainFigures> {
    let roll = |pose: Known<Pose>, terrain: &Arc<Terrain>, index: usize| {
        let afresh = || over(&plan.vehicle, gear, pose, terrain, index);
        match (known, gear, pose) {
            (Some(known), Ok(gear), Ok(pose)) => known.over(plan, gear, pose, index, afresh),
            _ => afresh(),
        }
    };
    let each = plan.terrains.iter().enumerate().map(|(index, terrain)| TerrainFigures {
        unladen: roll(unladen, terrain, index),
        laden: roll(laden, terrain, index),
    });
    each.collect()
}

/// What came of rolling one vehicle over the terrains of one plan, by how it stood and what hung under it: many changes to
/// a plan leave both as they were.
#[derive(Debug)]
pub struct Rolls {
    vehicle: Arc<Vehicle>,
    terrains: Vec<Arc<Terrain>>,
    known: RefCell<BTreeMap<Vec<u64>, Known<Rolled>>>,
}

impl Rolls {
    /// Starts with nothing rolled.
    #[must_use]
    pub fn of(plan: &Upfit) -> Self {
        Self { vehicle: Arc::clone(&plan.vehicle), terrains: plan.terrains.clone(), known: RefCell::default() }
    }

    /// Returns what is known of the same vehicle, as it stands and with the same gear, over the same terrain; else rolls it.
    fn over(
        &self,
        plan: &Upfit,
        gear: Gear<'_>,
        pose: Pose,
        index: usize,
        afresh: impl FnOnce() -> Known<Rolled>,
    ) -> Known<Rolled> {
        let same = |one: &Arc<Terrain>| plan.terrains.get(index).is_some_and(|other| Arc::ptr_eq(one, other));
        if !Arc::ptr_eq(&self.vehicle, &plan.vehicle) || !self.terrains.get(index).is_some_and(same) {
            return afresh();
        }
        let mut key = vec![index as u64];
        key.extend(pose.numbers().map(f64::to_bits));
        let points = gear.points.iter().map(|point| Point { station: point.station, height: point.height });
        for point in points.chain(gear.mount) {
            key.extend([point.station.mm().to_bits(), point.height.mm().to_bits()]);
        }
        if let Some(rolled) = self.known.borrow().get(&key) {
            return *rolled;
        }
        let rolled = afresh();
        self.known.borrow_mut().insert(key, rolled);
        rolled
    }
}

fn over(vehicle: &Vehicle, gear: Known<Gear<'_>>, pose: Known<Pose>, terrain: &Terrain, index: usize) -> Known<Rolled> {
    let profile = vehicle.profile.as_ref().ok_or(Unknown::missing("vehicle.profile"))?;
    let gear = gear?;
    let pose = pose?;
    let underside = gear.under(profile);
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
        let underside = gear.as_ref().map_or_else(|| Underside::of(profile), |gear| gear.under(profile));
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
