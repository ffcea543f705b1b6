//! All methods on one joint.

mod plates;
mod threads;

use super::{
    Faying, JointInput, JointLoad, PRELOAD, Said, Share, fatigue, hitch,
    item::{CaseLoads, Item, ItemKind, JointReport, Unknown},
    load_share,
    resistance::{self, CombinedRule},
    slip::{self, SlipRule},
    stiffness,
};
use crate::{
    basis::{Seen, Source},
    calc::torque::Capacity,
    error::CalcError,
    model::fastener::{BoltClass, IsoClass},
    tables::embedding,
    units::{Force, Stress},
};

/// Shear and tension of classes that European steelwork does not print: the same shares of the least strength.
pub const OTHER_CLASSES: Source =
    Source::new("0.6 of tensile strength in shear and 0.9 in tension, over 1.25", "", Seen::CommonPractice);

/// One bolt in one case.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub bolt: Option<usize>,
    pub case: Option<&'static str>,
    pub tension: Force,
    pub shear: Force,
}

/// Collects items and unknowns.
#[derive(Default)]
pub(super) struct Sheaf {
    pub items: Vec<Item>,
    pub unknown: Vec<Unknown>,
}

impl Sheaf {
    /// Keeps an item that holds for the whole joint.
    pub fn whole(&mut self, kind: ItemKind, unit: &'static str, source: Source, of: Result<[f64; 2], CalcError>) {
        self.keep(kind, of.map(|pair| (pair, None)), unit, source);
    }

    /// Keeps the worst of an item over all bolts and cases.
    pub fn worst(
        &mut self,
        kind: ItemKind,
        unit: &'static str,
        source: Source,
        spots: &[Spot],
        of: impl Fn(&Spot) -> Result<[f64; 2], CalcError>,
    ) {
        let mut worst: Result<([f64; 2], Option<Spot>), CalcError> =
            Err(CalcError::Missing { field: "load", by: "an assessment" });
        for spot in spots {
            match of(spot) {
                Ok(pair) => {
                    let more = worst.as_ref().map_or(true, |(known, _)| known[0] / known[1] < pair[0] / pair[1]);
                    if more {
                        worst = Ok((pair, Some(*spot)));
                    }
                }
                Err(why) => {
                    worst = Err(why);
                    break;
                }
            }
        }
        self.keep(kind, worst, unit, source);
    }

    fn keep(
        &mut self,
        kind: ItemKind,
        of: Result<([f64; 2], Option<Spot>), CalcError>,
        unit: &'static str,
        source: Source,
    ) {
        match of {
            Ok(([demand, allowed], spot)) => self.items.push(Item {
                kind,
                demand,
                allowed,
                unit,
                use_share: demand / allowed,
                bolt: spot.and_then(|spot| spot.bolt),
                case: spot.and_then(|spot| spot.case),
                source,
            }),
            Err(why) => self.unknown.push(Unknown { kind, why }),
        }
    }

    /// Notes that nobody said what an item needs.
    pub fn nobody_said(&mut self, kind: ItemKind, field: &'static str) {
        self.unknown.push(Unknown { kind, why: CalcError::Missing { field, by: kind.id() } });
    }
}

/// The joint as far as all items need it.
pub(super) struct Known<'i> {
    pub input: &'i JointInput,
    pub capacity: Capacity,
    pub spots: Vec<Spot>,
    /// The share that the bolt takes, when known.
    pub share: Option<f64>,
    pub embedding: Force,
}

impl Known<'_> {
    /// Returns the greatest force in the bolt; without a known share it takes all of the load.
    pub fn bolt_force(&self, tension: Force) -> Result<Force, CalcError> {
        match self.share {
            Some(share) => Ok(load_share::load(self.input.preload_max, tension, share)?.bolt),
            None => Ok(self.input.preload_max + tension),
        }
    }

    /// Returns the greatest bolt force of all.
    pub fn greatest_bolt_force(&self) -> Result<Force, CalcError> {
        let mut most = self.input.preload_max;
        for spot in &self.spots {
            most = most.max(self.bolt_force(spot.tension)?);
        }
        Ok(most)
    }

    /// Returns the preload that the load and embedding take off the clamp; without a known share, all of the load.
    fn taken(&self, tension: Force) -> Force {
        let lost = self.embedding + self.input.thermal.unwrap_or(Force::ZERO);
        tension * (1.0 - self.share.unwrap_or(0.0)) + lost
    }
}

/// Assesses a joint.
///
/// Every item that can be judged is, over every bolt and every load case; what is not said is listed as unknown. Where the
/// share of the load is unknown, the bolt is taken to bear all of it and the clamp to lose all of it, which no joint does.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a preload outside [`PRELOAD`] or a load outside its range; [`CalcError::Conflict`] when
/// the least preload is above the greatest; what [`crate::tables::bolt_strength`] refuses; what
/// [`hitch::bolt_loads`] refuses. What a single item refuses makes that item unknown.
///
/// # Source
///
/// Each item names its own.
pub fn assess_joint(input: &JointInput) -> Result<JointReport, CalcError> {
    for preload in [input.preload_min, input.preload_max] {
        PRELOAD.check(preload.n())?;
    }
    input.thermal.map(|lost| load_share::PRELOAD.check(lost.n())).transpose()?;
    if input.preload_max < input.preload_min {
        return Err(CalcError::Conflict {
            field: PRELOAD.field,
            other: PRELOAD.field,
            why: "the least preload is above the greatest",
        });
    }
    let capacity = Capacity::of(input.class, &input.thread)?;
    let mut sheaf = Sheaf::default();
    let cases = cases(&input.load)?;
    let spots = spots(&cases, &input.load);
    let (share, resilience) = share(input, &mut sheaf);
    let embedding = embedded(input, resilience, &mut sheaf);
    let known = Known { input, capacity, spots, share, embedding: embedding.unwrap_or(Force::ZERO) };
    clamp(&known, &mut sheaf);
    strength(&known, &mut sheaf);
    cycles(&known, &mut sheaf);
    plates::pressures(&known, &mut sheaf);
    plates::sheets(&known, &mut sheaf);
    plates::pried(&known, &mut sheaf);
    threads::engaged(&known, &mut sheaf);
    threads::long_enough(&known, &mut sheaf);
    let separates = separates(&known)?;
    let Sheaf { mut items, unknown } = sheaf;
    items.sort_by(|a, b| b.use_share.total_cmp(&a.use_share).then(a.kind.cmp(&b.kind)));
    Ok(JointReport { items, unknown, cases, share, embedding, separates })
}

fn cases(load: &JointLoad) -> Result<Vec<CaseLoads>, CalcError> {
    match load {
        JointLoad::PerBolt { tension, shear } => {
            load_share::EXTERNAL.check(tension.n())?;
            load_share::EXTERNAL.check(shear.n())?;
            let bolt = hitch::BoltLoad { tension: *tension, shear: *shear, across: [*shear, Force::ZERO] };
            Ok(vec![CaseLoads { label: "given for one bolt", bolts: vec![bolt] }])
        }
        JointLoad::Hitch { loads, bracket } => loads
            .cases()?
            .into_iter()
            .map(|case| Ok(CaseLoads { label: case.label, bolts: hitch::bolt_loads(bracket, case.force)? }))
            .collect(),
    }
}

fn spots(cases: &[CaseLoads], load: &JointLoad) -> Vec<Spot> {
    let named = matches!(load, JointLoad::Hitch { .. });
    cases
        .iter()
        .flat_map(|case| {
            case.bolts.iter().enumerate().map(move |(at, bolt)| Spot {
                bolt: named.then_some(at),
                case: named.then_some(case.label),
                tension: bolt.tension,
                shear: bolt.shear,
            })
        })
        .collect()
}

/// Finds the load share, and the resiliences of bolt and parts where the method gives them.
fn share(input: &JointInput, sheaf: &mut Sheaf) -> (Option<f64>, Option<[f64; 2]>) {
    let found: Result<_, CalcError> = match &input.share {
        Said::Nothing | Said::NotThere => Err(CalcError::Missing { field: "share", by: ItemKind::BoltForce.id() }),
        Said::Given(Share::Given(share)) => load_share::SHARE.check(*share).map(|share| (share, None)),
        Said::Given(Share::Frustum { shank, layers }) => stiffness::bolt(shank).and_then(|bolt| {
            let members = stiffness::frustum(shank.thread.diameter, layers)?;
            let share = load_share::of_rates(bolt, members)?;
            Ok((share, Some([1.0 / bolt.n_per_mm(), 1.0 / members.n_per_mm()])))
        }),
        Said::Given(Share::Cone { shank, head, seat, cone, introduction }) => {
            stiffness::resilience(shank, *head, *seat).and_then(|bolt| {
                let plates = stiffness::cone(cone)?;
                let share = load_share::of_resiliences(*introduction, bolt.total(), plates)?;
                Ok((share, Some([bolt.total(), plates])))
            })
        }
    };
    match found {
        Ok((share, resilience)) => (Some(share), resilience),
        Err(why) => {
            sheaf.unknown.push(Unknown { kind: ItemKind::BoltForce, why });
            (None, None)
        }
    }
}

fn embedded(input: &JointInput, resilience: Option<[f64; 2]>, sheaf: &mut Sheaf) -> Option<Force> {
    let kind = ItemKind::Embedding;
    let loss = match (input.settling, resilience) {
        (Said::NotThere, _) => return None,
        (Said::Nothing, _) => Err(CalcError::Missing { field: "settling", by: kind.id() }),
        (Said::Given(_), None) => Err(CalcError::Missing { field: "share", by: kind.id() }),
        (Said::Given(settling), Some([bolt, plates])) => settling.loss(bolt, plates),
    };
    let pair = loss.clone().map(|loss| [loss.n(), input.preload_min.n()]);
    sheaf.whole(kind, "N", embedding::SOURCE, pair);
    loss.ok()
}

/// What keeps the parts together: separation and slip.
fn clamp(known: &Known<'_>, sheaf: &mut Sheaf) {
    let least = known.input.preload_min.n();
    sheaf.worst(ItemKind::Separation, "N", load_share::SOURCE, &known.spots, |spot| {
        Ok([known.taken(spot.tension).n(), least])
    });
    match known.input.faying {
        Said::NotThere => {}
        Said::Nothing => sheaf.nobody_said(ItemKind::Slip, "faying_friction"),
        Said::Given(faying) => sheaf.worst(ItemKind::Slip, "N", faying.rule.source(), &known.spots, |spot| {
            let Faying { friction, interfaces, .. } = faying;
            Ok(match faying.rule {
                SlipRule::Vdi => {
                    let needed = slip::clamp_needed(spot.shear, friction, interfaces, faying.safety)?;
                    [(needed + known.taken(spot.tension)).n(), least]
                }
                SlipRule::Ec3 { hole_factor } => {
                    let nominal = high_strength(known.input)?;
                    let slip = slip::ec3(nominal, known.capacity.area, friction, interfaces, hole_factor)?;
                    let carries = slip::ec3_under_tension(&slip, known.input.preload_min, spot.tension)?;
                    [spot.shear.n(), carries.n()]
                }
                SlipRule::Aisc { du, hole_factor, pretension } => {
                    let nominal = slip::aisc(pretension, friction, du, hole_factor, interfaces)?;
                    let installed = (du, pretension);
                    let carries = slip::aisc_under_tension(nominal, installed, known.input.preload_min, spot.tension)?;
                    [spot.shear.n(), carries.n()]
                }
            })
        }),
    }
}

/// Returns the nominal strength of a bolt that the European slip rule holds for: 8.8 and 10.9 alone.
fn high_strength(input: &JointInput) -> Result<Stress, CalcError> {
    let nominal = match input.class {
        BoltClass::Iso(IsoClass::C8_8 | IsoClass::C10_9) => {
            crate::tables::bolt_strength(input.class, &input.thread)?.tensile_nominal
        }
        _ => None,
    };
    nominal.ok_or_else(|| CalcError::NoSuchRow {
        field: "class",
        key: input.class.to_string(),
        table: "EN 1993-1-8, preloaded bolts",
        rows: "8.8, 10.9".to_owned(),
    })
}

/// What the bolt itself bears.
fn strength(known: &Known<'_>, sheaf: &mut Sheaf) {
    let Known { input, capacity, .. } = known;
    // Where no proof stress is published the yield load stands in, as for stainless bolts.
    let proof = capacity.loads.proof.unwrap_or(capacity.loads.yielding).n();
    let source = capacity.loads.source;
    sheaf.whole(ItemKind::Preload, "N", source, Ok([input.preload_max.n(), proof]));
    sheaf
        .worst(ItemKind::BoltForce, "N", source, &known.spots, |spot| Ok([known.bolt_force(spot.tension)?.n(), proof]));
    let plane = match input.plane {
        Said::NotThere => return,
        Said::Nothing => {
            for kind in [ItemKind::Shear, ItemKind::Tension, ItemKind::Combined] {
                sheaf.nobody_said(kind, "shear_plane");
            }
            return;
        }
        Said::Given(plane) => plane,
    };
    let (bears, source) = match (input.rule, resistance::ec3(input.class, &input.thread, plane, false)) {
        (CombinedRule::Aisc, _) => (resistance::aisc(input.class, &input.thread, plane), resistance::AISC_SOURCE),
        (_, Ok(bears)) => (Ok(bears), resistance::EC3_SOURCE),
        (_, Err(_)) => (others(known, plane), OTHER_CLASSES),
    };
    match bears {
        Err(why) => sheaf.unknown.push(Unknown { kind: ItemKind::Shear, why }),
        Ok(bears) => {
            sheaf.worst(ItemKind::Shear, "N", source, &known.spots, |spot| Ok([spot.shear.n(), bears.shear.n()]));
            sheaf.worst(ItemKind::Tension, "N", source, &known.spots, |spot| Ok([spot.tension.n(), bears.tension.n()]));
            sheaf.worst(ItemKind::Combined, "", input.rule.source(), &known.spots, |spot| {
                Ok([input.rule.sum(spot.shear / bears.shear, spot.tension / bears.tension)?, 1.0])
            });
        }
    }
}

fn others(known: &Known<'_>, plane: resistance::ShearPlane) -> Result<resistance::Bears, CalcError> {
    let shear = resistance::shear_ultimate(known.input.class, &known.input.thread, plane)?;
    let over = super::sheet::GAMMA_M2;
    Ok(resistance::Bears { shear: shear / over, tension: known.capacity.loads.tensile * (0.9 / over) })
}

fn cycles(known: &Known<'_>, sheaf: &mut Sheaf) {
    let Known { input, capacity, .. } = known;
    let cycles = match input.cycles {
        Said::NotThere => return,
        Said::Nothing => return sheaf.nobody_said(ItemKind::Fatigue, "cycles"),
        Said::Given(cycles) => cycles,
    };
    let Some(share) = known.share else { return sheaf.nobody_said(ItemKind::Fatigue, "share") };
    sheaf.worst(ItemKind::Fatigue, "MPa", fatigue::SOURCE, &known.spots, |spot| {
        let least = spot.tension * super::LEAST_SHARE.check(cycles.least_share)?;
        // The least preload separates first, and the load then works on the bolt undivided.
        let [low, high] = [
            load_share::load(input.preload_min, least, share)?.bolt,
            load_share::load(input.preload_min, spot.tension, share)?.bolt,
        ];
        let mean = (low + high) / 2.0 / capacity.loads.yielding;
        let allowed: Stress = fatigue::endurance(input.class, input.thread.diameter, cycles.rolled, mean)?;
        Ok([((high - low) / 2.0 / capacity.area).mpa(), allowed.mpa()])
    });
}

fn separates(known: &Known<'_>) -> Result<Option<bool>, CalcError> {
    let Some(share) = known.share else { return Ok(None) };
    let lost = known.embedding + known.input.thermal.unwrap_or(Force::ZERO);
    let left = (known.input.preload_min - lost).max(Force::ZERO);
    for spot in &known.spots {
        if load_share::load(left, spot.tension, share)?.separated && Force::ZERO < spot.tension {
            return Ok(Some(true));
        }
    }
    Ok(Some(false))
}

#[cfg(test)]
mod tests;
