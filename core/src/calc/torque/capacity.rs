//! What a bolt bears under tension alone and under tension and torsion together.

use super::{
    BoltLoads, Mate, PreloadPoint,
    caution::{Caution, Cautions},
};
use crate::{
    basis::{Seen, Source},
    calc::condition::Arm,
    error::CalcError,
    model::{
        fastener::{BoltClass, NutClass, NutKind},
        thread::{Thread, ThreadSystem},
    },
    tables::{self, NutMatch},
    units::{Area, Force, Stress},
};

/// Where tension and torsion are combined.
pub const COMBINED_SOURCE: Source = Source::new("VDI 2230 part 1", "2003", Seen::FromMemory);

/// What a bolt of one class bears in one thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacity {
    /// Tensile stress area.
    pub area: Area,
    /// Least yield stress.
    pub yield_min: Stress,
    /// The loads.
    pub loads: BoltLoads,
    stress_diameter_mm: f64,
    length_matters: bool,
}

impl Capacity {
    /// Looks up the strength of bolt and nut.
    ///
    /// # Errors
    ///
    /// What [`tables::bolt_strength`] refuses: a class that is not published for this thread.
    pub fn of(class: BoltClass, thread: &Thread) -> Result<Self, CalcError> {
        let strength = tables::bolt_strength(class, thread)?;
        let area = thread.stress_area();
        Ok(Self {
            area,
            yield_min: strength.yield_min,
            loads: BoltLoads {
                proof: strength.proof.map(|proof| proof * area),
                yielding: strength.yield_min * area,
                tensile: strength.tensile_min * area,
                nut_proof: None,
                source: strength.source,
            },
            stress_diameter_mm: thread.stress_diameter().mm(),
            length_matters: strength.length_max.is_some(),
        })
    }

    /// Takes in what the bolt is screwed into, and says what is to be said about it.
    #[must_use]
    pub fn mated(
        mut self,
        class: BoltClass,
        thread: &Thread,
        mate: Option<Mate>,
        galvanised: Option<bool>,
        cautions: &mut Cautions,
    ) -> Self {
        let small = thread.system == ThreadSystem::Metric && [8.0, 10.0].contains(&thread.diameter.mm());
        cautions.add_if(galvanised.is_none() && small, Caution::GalvanisingUnknown);
        cautions.add_if(galvanised == Some(true) && small, Caution::HotDipGalvanised);
        match mate {
            Some(Mate::Nut { class: nut, kind }) => {
                let thin = kind == Some(NutKind::Thin) || matches!(nut, Some(NutClass::Iso04 | NutClass::Iso05));
                cautions.add_if(thin, Caution::ThinNut);
                cautions.add_if(nut.is_none() || kind.is_none(), Caution::NutUnknown);
                cautions.add_if(matches!(kind, Some(NutKind::Captive | NutKind::Insert)), Caution::CaptiveNut);
                if let Some(nut) = nut {
                    let row = match galvanised {
                        Some(true) => tables::nut_proof_galvanised(nut, thread),
                        _ => tables::nut_proof(nut, thread),
                    };
                    self.loads.nut_proof = row.ok().map(|row| row.load);
                    cautions.add_if(self.loads.nut_proof.is_none(), Caution::NutLoadUnknown);
                    let holds = matches!(tables::nut_matches(class, nut), NutMatch::Same | NutMatch::Stronger);
                    cautions.add_if(!thin && !holds, Caution::NutWeaker);
                }
            }
            Some(Mate::TappedHole) => cautions.add(Caution::TappedHole),
            None => cautions.add(Caution::NutUnknown),
        }
        cautions.add_if(matches!(class, BoltClass::Stainless(_)), Caution::StainlessGalls);
        cautions.add_if(self.loads.proof.is_none(), Caution::NoProofStress);
        cautions.add_if(self.length_matters, Caution::LongBoltWeaker);
        self
    }

    /// Returns the share of the yield stress that tension and torsion take together while the bolt is turned.
    ///
    /// ```text
    /// σ = F / As;  τ = M_thread / (π/12 · d0³);  share = √(σ² + 3 τ²) / Rp0.2
    /// ```
    ///
    /// The torsion section is the fully plastic one, as printed since 2001; `d0` is the diameter of the stress area.
    /// `None` when the bearing face is not known.
    ///
    /// # Source
    ///
    /// [`COMBINED_SOURCE`].
    #[must_use]
    pub fn yield_share(&self, preload: Force, arm: &Arm) -> Option<f64> {
        Some(preload / self.loads.yielding * self.torsion_factor(arm)?)
    }

    /// Returns the preload at which tension and torsion together take this share of the yield stress.
    ///
    /// # Errors
    ///
    /// [`CalcError::Missing`] when the bearing face is not known.
    ///
    /// # Source
    ///
    /// [`COMBINED_SOURCE`].
    pub fn preload_at_yield_share(&self, share: f64, arm: &Arm) -> Result<Force, CalcError> {
        let factor = self.torsion_factor(arm).ok_or(CalcError::Missing {
            field: "bearing_diameter_mm",
            by: "preload by a share of yield with torsion",
        })?;
        Ok(self.loads.yielding * (share / factor))
    }

    /// Returns by how much torsion raises the stress: `√(1 + 3 (3 · arm / d0)²)`, As being π/4 d0².
    fn torsion_factor(&self, arm: &Arm) -> Option<f64> {
        let twist = 3.0 * arm.thread? / self.stress_diameter_mm;
        Some(3.0_f64.mul_add(twist * twist, 1.0).sqrt())
    }

    /// Returns a preload with its shares.
    #[must_use]
    pub fn point(&self, force: Force, arm: &Arm) -> PreloadPoint {
        PreloadPoint {
            force,
            proof_share: self.loads.proof.map(|proof| force / proof),
            tension_share: force / self.loads.yielding,
            yield_share: self.yield_share(force, arm),
        }
    }
}
