//! Spring bars as they are set, and the tilt weighing: what further may stand in a question of axle loads.

use baybook_core::{
    basis::Basis,
    calc::{
        axles::{
            KERB_FRONT, KERB_REAR,
            centre::{TILT, TiltWeighing},
        },
        spring_bars::{
            self, BAR, MOMENT, RESTORATION, SpringBarInput, bar_pull,
            check::{ARCH, ThreeStates, check, couple_of_bars, restoration_by_height, restoration_by_load},
            moment_for,
        },
    },
    error::CalcError,
    model::upfit::Upfit,
    units::{Angle, Force, Length, Mass, Torque},
};
use baybook_proto::v1::{self as pb, spring_bar_setting::Setting as Wire};

use super::super::{
    Fields,
    load::{Lack, Loads},
    ranges,
};

/// How the bars are set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Setting {
    /// By what they give back.
    Restoration(f64),
    /// By the couple they put in.
    Couple(Torque),
}

/// Bars as set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bars {
    setting: Setting,
    bar: Option<Length>,
}

impl Bars {
    /// Bars that give back a share, of no known length.
    pub const fn giving_back(share: f64) -> Self {
        Self { setting: Setting::Restoration(share), bar: None }
    }

    /// Reads how the bars are set.
    pub fn read(wire: &pb::SpringBarSetting, fields: &mut Fields) -> Option<Self> {
        let bar = fields.number("bar_length_mm", wire.bar_length_mm, &BAR).map(Length::from_mm);
        let setting = match &wire.setting {
            None => {
                fields.reject_here(
                    "says nothing: give restoration_share, couple_n_m, bar_pull, weighings or arch_heights",
                );
                None
            }
            Some(Wire::RestorationShare(share)) => {
                fields.number("restoration_share", Some(*share), &RESTORATION).map(Setting::Restoration)
            }
            Some(Wire::CoupleNM(couple)) => {
                fields.number("couple_n_m", Some(*couple), &MOMENT).map(|it| Setting::Couple(Torque::from_n_m(it)))
            }
            Some(Wire::BarPull(pull)) => {
                let pull = fields.force("bar_pull", Some(pull), &ranges::FORCE);
                if wire.bar_length_mm.is_none() {
                    fields.reject("bar_length_mm", "is required with bar_pull: a pull is a couple by the bar's length");
                }
                pull.zip(bar).and_then(|(pull, bar)| couple(pull, bar, fields))
            }
            Some(Wire::Weighings(three)) => weighed(three, fields),
            Some(Wire::ArchHeights(three)) => measured(three, fields),
        };
        Some(Self { setting: setting?, bar })
    }

    /// Works out what the bars do to a loaded train; or what is missing for it.
    pub fn on<'a>(&self, plan: &'a Upfit, loads: &Loads) -> Result<Set<'a>, Vec<Lack>> {
        let mut lacks = Vec::new();
        let to_axle = plan.trailer.as_deref().and_then(|trailer| trailer.coupler_to_axle);
        if to_axle.is_none() {
            lacks.push(Lack::of("trailer.coupler_to_axle_mm"));
        }
        if loads.tongue.is_none() {
            lacks.push(Lack::of("tongue_load"));
        }
        let (Some(coupler_to_axle), Some(tongue)) = (to_axle, loads.tongue) else { return Err(lacks) };
        let wheelbase = plan.vehicle.wheelbase;
        let input =
            SpringBarInput { wheelbase, overhang: tongue.station - wheelbase, coupler_to_axle, tongue: tongue.mass };
        let blame = |error: &CalcError| vec![Lack::because("tongue_load", error)];
        let couple = match self.setting {
            Setting::Couple(couple) => couple,
            Setting::Restoration(share) => moment_for(&input, share).map_err(|error| blame(&error))?,
        };
        let full = moment_for(&input, 1.0).map_err(|error| blame(&error))?;
        spring_bars::loads(&input, couple).map_err(|error| blame(&error))?;
        Ok(Set { plan, input, couple, full, bar: self.bar })
    }
}

/// Bars set on a train.
#[derive(Debug, Clone, Copy)]
pub struct Set<'a> {
    plan: &'a Upfit,
    input: SpringBarInput,
    couple: Torque,
    full: Torque,
    bar: Option<Length>,
}

impl Set<'_> {
    /// Writes the loads with the bars; nothing when a figure is out of its range.
    pub fn to_wire(self, loads: &Loads) -> Option<pb::SpringBarLoads> {
        let vehicle = &self.plan.vehicle;
        let moved = spring_bars::loads(&self.input, self.couple).ok()?;
        let found = check(&self.input, &loads.axles, self.couple, vehicle.front.gawr, vehicle.rear.gawr).ok()?;
        let axles = self.plan.trailer_mass.map(|mass| mass - self.input.tongue + found.trailer);
        Some(pb::SpringBarLoads {
            restoration_share: Some(moved.restoration),
            couple_n_m: Some(self.couple.n_m()),
            full_couple_n_m: Some(self.full.n_m()),
            bar_pull_n: self.bar.and_then(|bar| bar_pull(self.couple, bar).ok()).map(Force::n),
            front_kg: Some(found.with.front.kg()),
            rear_kg: Some(found.with.rear.kg()),
            trailer_axles_kg: axles.map(Mass::kg),
            trailer_gain_kg: Some(found.trailer.kg()),
            net_hitch_kg: Some(moved.net_hitch.kg()),
            front_holds: found.front_holds_with,
            rear_holds: found.rear_holds_with,
            rear_holds_slack: found.rear_holds_without,
            over_restored: found.over_restored,
        })
    }

    /// Returns the step behind it.
    pub fn basis(&self) -> Vec<Basis> {
        spring_bars::basis(&self.input, self.couple)
    }
}

fn couple(pull: Force, bar: Length, fields: &mut Fields) -> Option<Setting> {
    couple_of_bars(pull, bar).map_err(|error| fields.reject_calc("bar_pull", &error)).ok().map(Setting::Couple)
}

/// Takes a restoration that was worked out, if it is one that bars can give.
fn given_back(name: &'static str, share: Result<f64, CalcError>, fields: &mut Fields) -> Option<Setting> {
    let share = share.and_then(|share| RESTORATION.check(share));
    share.map_err(|error| fields.reject_calc(name, &error)).ok().map(Setting::Restoration)
}

fn weighed(wire: &pb::FrontAxleWeighings, fields: &mut Fields) -> Option<Setting> {
    let three = fields.under("weighings", |fields| {
        let mut kg = |name, value| fields.needed(name, value, &KERB_FRONT).map(Mass::from_kg);
        let (unhitched, hitched) = (kg("unhitched_kg", wire.unhitched_kg), kg("hitched_kg", wire.hitched_kg));
        let with_bars = kg("with_bars_kg", wire.with_bars_kg);
        Some(ThreeStates { unhitched: unhitched?, hitched: hitched?, with_bars: with_bars? })
    });
    given_back("weighings", restoration_by_load(&three?), fields)
}

fn measured(wire: &pb::FrontArchHeights, fields: &mut Fields) -> Option<Setting> {
    let three = fields.under("arch_heights", |fields| {
        let mut mm = |name, value| fields.needed(name, value, &ARCH).map(Length::from_mm);
        let (unhitched, hitched) = (mm("unhitched_mm", wire.unhitched_mm), mm("hitched_mm", wire.hitched_mm));
        let with_bars = mm("with_bars_mm", wire.with_bars_mm);
        Some(ThreeStates { unhitched: unhitched?, hitched: hitched?, with_bars: with_bars? })
    });
    given_back("arch_heights", restoration_by_height(&three?), fields)
}

/// Reads a tilt weighing; the wheelbase is the vehicle's, which the plan names.
pub fn tilt(wire: &pb::TiltWeighing, plan: Option<&Upfit>, fields: &mut Fields) -> Option<TiltWeighing> {
    let tilt = fields.needed("tilt_deg", wire.tilt_deg, &TILT);
    let front = fields.needed("front_level_kg", wire.front_level_kg, &KERB_FRONT);
    let rear = fields.needed("rear_level_kg", wire.rear_level_kg, &KERB_REAR);
    let tilted = fields.needed("rear_tilted_kg", wire.rear_tilted_kg, &KERB_REAR);
    let radius = fields.needed("loaded_radius_mm", wire.loaded_radius_mm, &ranges::LOADED_RADIUS);
    Some(TiltWeighing {
        wheelbase: plan?.vehicle.wheelbase,
        loaded_radius: Length::from_mm(radius?),
        front_level: Mass::from_kg(front?),
        rear_level: Mass::from_kg(rear?),
        rear_tilted: Mass::from_kg(tilted?),
        tilt: Angle::from_deg(tilt?),
    })
}
