//! From the parts of a joint, as a book or a person knows them, to what [`super::assess_joint`] takes.
//!
//! Whatever a part does not say becomes an unknown that names the field to fill in; nothing is made up.

mod check;
mod faces;
mod plates;
mod rates;
mod threads;

use std::sync::Arc;

pub use check::Check;
pub use rates::{Rates, StiffnessMethod};

use super::{
    Cycles, Faying, JointInput, JointLoad, JointReport, Said, assess_joint,
    fatigue::Rolled,
    grip::{Protrusion, Stack},
    item::{ItemKind, Unknown},
    prying, resistance, settle, slip, strip,
};
use crate::{
    error::CalcError,
    model::fastener::{Bolt, BoltClass, Nut, Washer},
    tables::{
        embedding::{Loading, Roughness},
        thread_limits::Limits,
    },
    units::{Force, Length, Stress},
};

/// One clamped part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plate {
    /// How thick it is.
    pub thickness: Option<Length>,
    /// The hole in it.
    pub hole: Option<Length>,
    /// Its least tensile strength.
    pub tensile: Option<Stress>,
    /// Its modulus of elasticity.
    pub modulus: Option<Stress>,
    /// What its surface bears before it creeps.
    pub limit: Option<Stress>,
    /// From the hole's centre to the edge ahead.
    pub end: Option<Length>,
    /// From the hole's centre to the edge beside.
    pub side: Option<Length>,
    /// To the next hole along the load; `None` for a single row.
    pub pitch: Option<Length>,
    /// Width of the strip that carries all bolts' load, and the holes across it.
    pub strip: Option<(Length, u32)>,
}

/// What is known of stiffness.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Give {
    /// The load share itself, when it is known.
    pub share: Option<f64>,
    /// By which method it is worked out otherwise.
    pub method: Option<StiffnessMethod>,
    /// How much of the grip is thread.
    pub threaded: Option<Length>,
    /// Modulus of bolt and washers.
    pub bolt_modulus: Option<Stress>,
    /// Outer diameter of the parts around the bolt.
    pub outer: Option<Length>,
    /// Load introduction factor.
    pub introduction: Option<f64>,
}

/// What is known of settling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surfaces {
    /// How rough.
    pub roughness: Roughness,
    /// Which way the joint is mainly loaded.
    pub loading: Loading,
    /// Whether paint or the like lies between the parts.
    pub coated: bool,
}

/// What is known of friction between the parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// The least coefficient.
    pub least: f64,
    /// How many interfaces carry.
    pub interfaces: u32,
    /// Whether the load changes its direction.
    pub alternating: bool,
    /// By which rule.
    pub rule: slip::SlipRule,
}

/// What is known of the engaged thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engaged {
    /// How much, when it is not the nut's height.
    pub length: Option<Length>,
    /// Tensile strength of the inner thread's material, when it is not told by the nut's class.
    pub tensile: Option<Stress>,
    /// Shear strength over tensile strength.
    pub shear_share: f64,
    /// Which factors.
    pub method: strip::StripMethod,
    /// Limits of both threads, when they are not in the tables.
    pub limits: Option<Limits>,
}

/// A plate that pries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pry {
    /// Effective length.
    pub length: Length,
    /// Thickness.
    pub thickness: Length,
    /// Yield.
    pub yields: Stress,
    /// From the bolts to the web.
    pub to_web: Length,
    /// From the bolts to the free edge.
    pub to_edge: Length,
    /// How many bolts hold it.
    pub bolts: u32,
}

/// A joint as its parts tell it.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// The bolt.
    pub bolt: Arc<Bolt>,
    /// Its class, which is known.
    pub class: BoltClass,
    /// The nut.
    pub nut: Option<Arc<Nut>>,
    /// Whether the bolt is screwed into the last part; `None` when nobody says.
    pub tapped: Option<bool>,
    /// The washer under the head.
    pub head_washer: Option<Arc<Washer>>,
    /// The washer under the nut.
    pub nut_washer: Option<Arc<Washer>>,
    /// What the washers bear before they creep.
    pub washer_limit: Option<Stress>,
    /// The clamped parts from the head to the nut.
    pub plates: Vec<Plate>,
    /// The least and the greatest preload.
    pub preload: [Force; 2],
    /// What loads the bolts.
    pub load: JointLoad,
    /// How bolt and parts give.
    pub give: Option<Give>,
    /// How the stack settles.
    pub surfaces: Option<Surfaces>,
    /// What heat takes off the preload at the worst temperature.
    pub thermal: Option<Force>,
    /// Friction between the parts.
    pub friction: Option<Friction>,
    /// Where the shear plane cuts the bolt, and the rule for tension and shear together.
    pub plane: Option<(resistance::ShearPlane, resistance::CombinedRule)>,
    /// The engaged thread.
    pub engaged: Option<Engaged>,
    /// A plate that pries.
    pub pry: Option<Pry>,
    /// A load that comes and goes: whether the thread was rolled after heat treatment, and the least share.
    pub cycles: Option<(bool, f64)>,
    /// What does not apply.
    pub left_out: Vec<Check>,
}

/// What became of an assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessed {
    /// The assessment.
    pub report: JointReport,
    /// Bolt and parts by every method whose inputs are there.
    pub rates: Vec<Rates>,
    /// How the bolt stands out of its nut.
    pub protrusion: Option<Protrusion>,
    /// The shortest bolt that stands out by two threads.
    pub least_length: Option<Length>,
    /// The engagement that was judged.
    pub engagement: Option<Length>,
    /// Whether the face under head or nut came from the tables.
    pub face_from_tables: bool,
}

impl Assembly {
    /// Returns whether a check is left out.
    #[must_use]
    pub fn leaves_out(&self, check: Check) -> bool {
        self.left_out.contains(&check)
    }

    /// Returns the height of everything between head and nut; `None` when a part's thickness is not known.
    #[must_use]
    pub fn grip(&self) -> Option<Length> {
        let mut grip = self.washers()?;
        for plate in &self.plates {
            grip += plate.thickness?;
        }
        (!self.plates.is_empty()).then_some(grip)
    }

    /// Returns the height of the washers.
    fn washers(&self) -> Option<Length> {
        let mut height = Length::ZERO;
        for washer in [&self.head_washer, &self.nut_washer].into_iter().flatten() {
            height += washer.thickness?;
        }
        Some(height)
    }

    /// Returns the stack and the bolt's length.
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] with the field that lacks.
    pub fn stack(&self) -> Result<(Stack, Length), CalcError> {
        let missing = |field| CalcError::Missing { field, by: ItemKind::Length.id() };
        let length = self.bolt.length.ok_or(missing("bolt.length"))?;
        let nut = self.nut.as_ref().ok_or(missing("nut"))?.height.ok_or(missing("nut.height_mm"))?;
        let washers = self.washers().ok_or(missing("head_washer.thickness_mm"))?;
        if self.plates.is_empty() {
            return Err(missing("plates"));
        }
        let mut grip = Length::ZERO;
        for plate in &self.plates {
            grip += plate.thickness.ok_or(missing("plates[].thickness_mm"))?;
        }
        Ok((Stack { grip, washers, nut, pitch: self.bolt.thread.pitch }, length))
    }

    fn settling(&self) -> Result<Said<settle::Settling>, CalcError> {
        let Some(surfaces) = self.surfaces else { return Ok(Said::Nothing) };
        if surfaces.coated {
            return Err(CalcError::Conflict {
                field: "settling.coated",
                other: "settling",
                why: "paint, powder coat, primer and rubber are outside the table; the loss can exceed a third",
            });
        }
        let washers = [&self.head_washer, &self.nut_washer].into_iter().flatten().count();
        let layers = self.plates.len() + washers;
        if self.plates.is_empty() {
            return Err(CalcError::Missing { field: "plates", by: ItemKind::Embedding.id() });
        }
        let tapped = self.tapped == Some(true);
        // In a tapped hole the last part clamps against the tapped one; its face is no head's or nut's.
        let (faces, inner) = if tapped { (1, layers) } else { (2, layers - 1) };
        Ok(Said::Given(settle::Settling {
            roughness: surfaces.roughness,
            loading: surfaces.loading,
            faces,
            inner: u32::try_from(inner).unwrap_or(u32::MAX),
        }))
    }

    fn stub(&self) -> Result<Said<(prying::Stub, u32)>, CalcError> {
        let Some(pry) = self.pry else { return Ok(Said::Nothing) };
        let strength = crate::tables::bolt_strength(self.class, &self.bolt.thread)?;
        let one = strength.tensile_nominal.unwrap_or(strength.tensile_min) * self.bolt.thread.stress_area();
        let bolts = one * (0.9 / super::sheet::GAMMA_M2 * f64::from(pry.bolts));
        let Pry { length, thickness, yields, to_web, to_edge, .. } = pry;
        Ok(Said::Given((prying::Stub { length, thickness, yields, to_web, to_edge, bolts }, pry.bolts)))
    }
}

/// Collects the input and what hinders it.
struct Gathering<'a> {
    assembly: &'a Assembly,
    unknown: Vec<Unknown>,
}

impl Gathering<'_> {
    /// Takes a part of the input; what hinders it makes the named items unknown.
    fn take<T>(&mut self, check: Check, kinds: &[ItemKind], found: Result<Said<T>, CalcError>) -> Said<T> {
        if self.assembly.leaves_out(check) {
            return Said::NotThere;
        }
        match found {
            Ok(said) => said,
            Err(why) => {
                self.unknown.extend(kinds.iter().map(|&kind| Unknown { kind, why: why.clone() }));
                Said::NotThere
            }
        }
    }
}

/// Assesses a joint as its parts tell it.
///
/// # Errors
///
/// As [`assess_joint`]. What single parts lack makes single items unknown.
///
/// # Source
///
/// Each item names its own.
pub fn assess(assembly: &Assembly) -> Result<Assessed, CalcError> {
    let mut gathered = Gathering { assembly, unknown: Vec::new() };
    let rates = rates::of(assembly);
    let share = match rates::share(assembly) {
        Ok(share) => share,
        Err(why) => {
            gathered.unknown.push(Unknown { kind: ItemKind::BoltForce, why });
            Said::NotThere
        }
    };
    let share_hindered = matches!(share, Said::NotThere);
    let mut settling = gathered.take(Check::Embedding, &[ItemKind::Embedding], assembly.settling());
    if share_hindered && matches!(settling, Said::Given(_)) {
        let why = CalcError::Missing { field: "stiffness", by: ItemKind::Embedding.id() };
        gathered.unknown.push(Unknown { kind: ItemKind::Embedding, why });
        settling = Said::NotThere;
    }
    let faces = if assembly.leaves_out(Check::Pressure) {
        Said::NotThere
    } else {
        Said::Given(faces::of(assembly, &mut gathered.unknown))
    };
    let sheets = plates::of(assembly, &mut gathered.unknown);
    let thread = [ItemKind::BoltThread, ItemKind::NutThread, ItemKind::Engagement];
    let engaged = threads::engaged(assembly);
    let engagement = match &engaged {
        Ok(Said::Given(input)) => Some(input.engagement),
        _ => None,
    };
    let strip = gathered.take(Check::Thread, &thread, engaged);
    let stack = if assembly.tapped == Some(true) { Ok(Said::NotThere) } else { assembly.stack().map(Said::Given) };
    let stack = gathered.take(Check::Length, &[ItemKind::Length], stack);
    let stub = gathered.take(Check::Prying, &[ItemKind::Prying], assembly.stub());
    let faying = assembly.friction.map_or(Said::Nothing, |friction| {
        let safety = if friction.alternating { slip::SAFETY_ALTERNATING } else { slip::SAFETY_STEADY };
        let Friction { least, interfaces, rule, .. } = friction;
        Said::Given(Faying { friction: least, interfaces, safety, rule })
    });
    let cycles = assembly.cycles.map_or(Said::Nothing, |(after, least_share)| {
        let rolled = if after { Rolled::AfterHeatTreatment } else { Rolled::BeforeHeatTreatment };
        Said::Given(Cycles { rolled, least_share })
    });
    let strength = assembly.plane.map_or(Said::Nothing, |(plane, _)| Said::Given(plane));
    let input = JointInput {
        thread: assembly.bolt.thread,
        class: assembly.class,
        preload_min: assembly.preload[0],
        preload_max: assembly.preload[1],
        load: assembly.load.clone(),
        share: if share_hindered { Said::NotThere } else { share },
        settling,
        thermal: assembly.thermal,
        faying: gathered.take(Check::Slip, &[], Ok(faying)),
        faces,
        sheets,
        plane: gathered.take(Check::BoltStrength, &[], Ok(strength)),
        rule: assembly.plane.map_or(resistance::CombinedRule::Ec3, |(_, rule)| rule),
        strip,
        stack,
        stub,
        cycles: gathered.take(Check::Fatigue, &[], Ok(cycles)),
    };
    let mut report = assess_joint(&input)?;
    if share_hindered {
        // The assessment says that nobody gave a share; what hinders it is said instead.
        report.unknown.retain(|unknown| unknown.kind != ItemKind::BoltForce);
    }
    gathered.unknown.extend(std::mem::take(&mut report.unknown));
    report.unknown = gathered.unknown;
    report.unknown.sort_by_key(|unknown| unknown.kind);
    let standing = match &input.stack {
        Said::Given((stack, length)) => stack.protrusion(*length).ok().zip(stack.least_length().ok()),
        Said::Nothing | Said::NotThere => None,
    };
    Ok(Assessed {
        report,
        rates,
        protrusion: standing.map(|(protrusion, _)| protrusion),
        least_length: standing.map(|(_, least)| least),
        engagement: engagement.filter(|_| !assembly.leaves_out(Check::Thread)),
        face_from_tables: !assembly.leaves_out(Check::Pressure) && faces::from_tables(assembly),
    })
}

#[cfg(test)]
mod tests;
