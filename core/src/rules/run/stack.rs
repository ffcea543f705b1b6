//! Planned joints whose build and load are told.

use std::{borrow::Cow, fmt};

use super::{
    case::Case,
    figures::{JointFigures, Known, Unknown},
    finding::Against,
};
use crate::{
    calc::joint::pressure::Ring,
    model::{
        fastener::{Bolt, HeadKind, Nut, NutKind},
        joint::JointStack,
        upfit::PlannedJoint,
    },
    rules::Findings,
    tables,
    units::{Force, Length, Stress},
};

/// A planned joint whose build is told.
#[derive(Debug, Clone, Copy)]
pub struct Stacked<'a> {
    index: usize,
    /// The joint.
    pub joint: &'a PlannedJoint,
    /// Its figures.
    pub figures: &'a JointFigures,
    /// How it is built.
    pub stack: &'a JointStack,
}

/// One end of a bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The head.
    Head,
    /// The nut.
    Nut,
}

impl<'a> Case<'a> {
    /// Returns the joints whose build is told, in the plan's order.
    pub fn stacks(&self) -> impl Iterator<Item = Stacked<'a>> + use<'a> {
        self.joints().enumerate().filter_map(|(index, (joint, figures))| {
            Some(Stacked { index, joint, figures, stack: joint.stack.as_ref()? })
        })
    }
}

impl<'a> Stacked<'a> {
    /// Returns the path of a field of the stack.
    #[must_use]
    pub fn subject(&self, field: &str) -> Cow<'static, str> {
        Cow::Owned(format!("joints[{}].stack.{field}", self.index))
    }

    /// Blames a field that is absent; it carries `[]` where the index goes.
    #[must_use]
    pub const fn lacks(&self, field: &'static str) -> Unknown {
        Unknown::missing_at(field, self.index)
    }

    /// Returns a figure, or blames the field it lacks.
    ///
    /// # Errors
    ///
    /// The field.
    pub fn known<T>(&self, value: Option<T>, field: &'static str) -> Known<T> {
        value.ok_or(self.lacks(field))
    }

    /// Returns the bolt.
    ///
    /// # Errors
    ///
    /// When nobody names one.
    pub fn bolt(&self) -> Known<&'a Bolt> {
        self.known(self.joint.bolt.as_deref(), "joints[].bolt")
    }

    /// Returns the nut; nothing for a tapped hole.
    #[must_use]
    pub fn nut(&self) -> Option<&'a Nut> {
        self.joint.nut.as_deref()
    }

    /// Returns the least and the greatest preload.
    ///
    /// # Errors
    ///
    /// The field that lacks for it.
    pub fn preload(&self) -> Known<[Force; 2]> {
        self.figures.preload.map(|preload| [preload.min.force, preload.max.force])
    }

    /// Returns the share of the load along the bolt that the bolt takes at most, and the share that the clamp loses at
    /// most; without a known share all of it, both ways.
    #[must_use]
    pub fn shares(&self) -> [f64; 2] {
        self.stack.bolt_share.map_or([1.0, 1.0], |share| [share, 1.0 - share])
    }

    /// Returns the load along the bolt.
    ///
    /// # Errors
    ///
    /// When nobody says it.
    pub fn tension(&self) -> Known<Force> {
        self.known(self.stack.tension, "joints[].stack.tension")
    }

    /// Returns the greatest force in the bolt under a load along it.
    ///
    /// # Errors
    ///
    /// The field that the preload lacks.
    pub fn bolt_force(&self, tension: Force) -> Known<Force> {
        let [_, greatest] = self.preload()?;
        let [takes, _] = self.shares();
        Ok(greatest + tension * takes)
    }

    /// Returns what a load along the bolt takes off the clamp, and the least clamp there is.
    ///
    /// # Errors
    ///
    /// The field that the preload lacks.
    pub fn clamp(&self, tension: Force) -> Known<[Force; 2]> {
        let [least, _] = self.preload()?;
        let [_, lost] = self.shares();
        Ok([tension * lost, least])
    }

    /// Returns the greatest pressure at one end and what the seat bears; nothing where there is no such end.
    ///
    /// # Errors
    ///
    /// The field that lacks.
    pub fn pressure(&self, end: End) -> Known<Option<[Stress; 2]>> {
        let Some(ring) = self.ring(end)? else { return Ok(None) };
        let limit = match end {
            End::Head => self.known(self.stack.head_limit, "joints[].stack.head_material")?,
            End::Nut => self.known(self.stack.nut_limit, "joints[].stack.nut_material")?,
        };
        let force = self.bolt_force(self.stack.tension.unwrap_or(Force::ZERO))?;
        let field = "joints[].stack.hole_diameter_mm";
        let refused = |error| Unknown { index: self.lacks(field).index, ..Unknown::from_calc(field, &error) };
        Ok(Some([ring.pressure(force).map_err(refused)?, limit]))
    }

    /// Returns whether a load is told, so that loads are judged.
    #[must_use]
    pub const fn is_loaded(&self) -> bool {
        self.stack.tension.is_some() || self.stack.shear.is_some()
    }

    /// Returns how many washers lie in the stack.
    ///
    /// # Errors
    ///
    /// When there is a washer and nobody says how many.
    pub fn washers(&self) -> Known<i32> {
        if self.joint.washer.is_none() {
            return Ok(0);
        }
        self.known(self.stack.washer_count, "joints[].stack.washer_count")
    }

    /// Returns how far the bolt stands out of its nut, and its pitch; nothing for a tapped hole.
    ///
    /// # Errors
    ///
    /// The field that lacks.
    pub fn out(&self) -> Known<Option<[Length; 2]>> {
        let Some(nut) = self.nut() else { return Ok(None) };
        let bolt = self.bolt()?;
        let length = self.known(bolt.length, "joints[].bolt.length")?;
        let height = self.known(nut.height, "joints[].nut.height_mm")?;
        let grip = self.known(self.stack.grip, "joints[].stack.grip_mm")?;
        let washers = match (self.washers()?, self.joint.washer.as_deref()) {
            (0, _) | (_, None) => Length::ZERO,
            (count, Some(washer)) => self.known(washer.thickness, "joints[].washer.thickness_mm")? * f64::from(count),
        };
        Ok(Some([length - height - grip - washers, bolt.thread.pitch]))
    }

    /// Returns the ring that presses on the clamped parts at one end; nothing where there is no nut.
    ///
    /// # Errors
    ///
    /// The field that lacks.
    pub fn ring(&self, end: End) -> Known<Option<Ring>> {
        let bolt = self.bolt()?;
        let nut = self.nut();
        if end == End::Nut && nut.is_none() {
            return Ok(None);
        }
        let hole = self.known(self.stack.hole_diameter, "joints[].stack.hole_diameter_mm")?;
        // One washer lies under what is turned: the nut where there is one.
        let washered = match (self.washers()?, end) {
            (2, _) => true,
            (1, End::Nut) => true,
            (1, End::Head) => nut.is_none(),
            _ => false,
        };
        if washered && let Some(washer) = self.joint.washer.as_deref() {
            let outer = self.known(washer.outer_diameter, "joints[].washer.outer_diameter")?;
            let inner = self.known(washer.inner_diameter, "joints[].washer.inner_diameter")?;
            return Ok(Some(Ring { outer, hole: hole.max(inner) }));
        }
        let hexagon = tables::bearing_diameter(&bolt.thread);
        let outer = match (end, nut) {
            (End::Nut, Some(nut)) => {
                let tabled = hexagon.filter(|_| matches!(nut.kind, Some(NutKind::Regular | NutKind::Thin)));
                self.known(nut.bearing_diameter.or(tabled), "joints[].nut.bearing_diameter_mm")?
            }
            _ => {
                let tabled = hexagon.filter(|_| bolt.head == Some(HeadKind::Hex));
                self.known(bolt.bearing_diameter.or(tabled), "joints[].bolt.bearing_diameter_mm")?
            }
        };
        Ok(Some(Ring { outer, hole }))
    }
}

/// Holds the pressure under one end of every bolt against what its seat bears.
pub fn check_pressure(case: &Case<'_>, findings: &mut Findings, end: End) {
    let (field, place, by) = match end {
        End::Head => ("head_material", "head", "the pressure under the head"),
        End::Nut => ("nut_material", "nut", "the pressure under the nut"),
    };
    for stacked in case.stacks() {
        match stacked.pressure(end) {
            Err(unknown) => findings.unknown(unknown, by),
            Ok(Some([pressure, limit])) if limit < pressure => findings.breach(
                stacked.subject(field),
                Against::new(pressure.mpa(), limit.mpa(), "mpa"),
                format_args!(
                    "joint {} presses with {:.0} MPa under the {place}; its seat bears {:.0} MPa",
                    stacked.joint.id,
                    pressure.mpa().ceil(),
                    limit.mpa().floor()
                ),
            ),
            Ok(_) => {}
        }
    }
}

/// Holds what a load along every loaded bolt asks against what there is: asked and allowed, and how a breach reads after
/// the joint's name.
pub fn check_tension(
    case: &Case<'_>,
    findings: &mut Findings,
    by: &'static str,
    forces: fn(&Stacked<'_>) -> Known<[Force; 2]>,
    words: fn(&mut fmt::Formatter<'_>, Against) -> fmt::Result,
) {
    for stacked in case.stacks().filter(Stacked::is_loaded) {
        match forces(&stacked) {
            Err(unknown) => findings.unknown(unknown, by),
            Ok([asked, allowed]) if allowed < asked => {
                let against = Against::new(asked.kn(), allowed.kn(), "kn");
                let told = fmt::from_fn(|f| words(f, against));
                let id = &stacked.joint.id;
                findings.breach(stacked.subject("tension"), against, format_args!("joint {id} {told}"));
            }
            Ok(_) => {}
        }
    }
}
