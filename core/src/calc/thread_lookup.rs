//! Everything a thread designation stands for: geometry, areas, holes, loads.

use super::torque::{BoltLoads, Capacity};
use crate::{
    basis::Basis,
    error::CalcError,
    model::{fastener::BoltClass, thread::Thread},
    tables,
    units::{Angle, Area, Force, Length, Stress},
};

/// The share of proof that a joint which is opened again is tightened to.
const REUSABLE_SHARE: f64 = 0.75;

/// The holes a bolt passes through.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Holes {
    /// Fine (close) series.
    pub fine: Option<Length>,
    /// Medium (normal) series.
    pub medium: Option<Length>,
    /// Coarse (loose) series.
    pub coarse: Option<Length>,
}

/// What a bolt of one class bears in this thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassLoads {
    /// The class or grade.
    pub class: BoltClass,
    /// Least yield stress.
    pub yield_min: Stress,
    /// Least tensile strength.
    pub tensile_min: Stress,
    /// Proof stress, when one is published for the class.
    pub proof: Option<Stress>,
    /// The loads on the stress area.
    pub loads: BoltLoads,
    /// The usual target of a joint that is opened again: 0.75 of proof.
    pub reusable_preload: Option<Force>,
}

/// Everything a thread designation stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadSheet {
    /// The thread as read.
    pub thread: Thread,
    /// Pitch diameter.
    pub pitch_diameter: Length,
    /// Minor diameter of the external thread, at the rounded root.
    pub minor_diameter: Length,
    /// Minor diameter of the internal thread, which is about the tapping drill.
    pub internal_minor_diameter: Length,
    /// The diameter of the stress area.
    pub stress_diameter: Length,
    /// Tensile stress area.
    pub stress_area: Area,
    /// Area at the external minor diameter.
    pub minor_area: Area,
    /// Lead angle at the pitch diameter.
    pub lead_angle: Angle,
    /// Outer diameter of a hexagon's bearing face, when tabled.
    pub bearing_diameter: Option<Length>,
    /// Clearance holes, as far as tabled.
    pub holes: Holes,
    /// Greatest height of a regular nut, when tabled.
    pub nut_height: Option<Length>,
    /// What a bolt of the asked class bears, when a class was asked.
    pub class: Option<ClassLoads>,
}

/// Reads a designation and returns everything it stands for.
///
/// What the tables do not hold for this size is `None`; nothing is interpolated.
///
/// # Errors
///
/// [`CalcError::Unreadable`] for a designation that is none; what [`tables::bolt_strength`] refuses for the class.
///
/// # Source
///
/// See [`basis`].
pub fn look_up_thread(designation: &str, class: Option<BoltClass>) -> Result<ThreadSheet, CalcError> {
    let thread = Thread::read(designation)?;
    sheet(&thread, class)
}

/// Returns everything a thread stands for.
///
/// # Errors
///
/// What [`tables::bolt_strength`] refuses for the class.
pub fn sheet(thread: &Thread, class: Option<BoltClass>) -> Result<ThreadSheet, CalcError> {
    Ok(ThreadSheet {
        thread: *thread,
        pitch_diameter: thread.pitch_diameter(),
        minor_diameter: thread.minor_diameter(),
        internal_minor_diameter: thread.internal_minor_diameter(),
        stress_diameter: thread.stress_diameter(),
        stress_area: thread.stress_area(),
        minor_area: thread.minor_area(),
        lead_angle: thread.lead_angle(),
        bearing_diameter: None,
        holes: Holes::default(),
        nut_height: None,
        class: class.map(|class| class_loads(class, thread)).transpose()?,
    })
}

/// Returns what a bolt of this class bears.
fn class_loads(class: BoltClass, thread: &Thread) -> Result<ClassLoads, CalcError> {
    let strength = tables::bolt_strength(class, thread)?;
    let loads = Capacity::of(class, thread)?.loads;
    Ok(ClassLoads {
        class,
        yield_min: strength.yield_min,
        tensile_min: strength.tensile_min,
        proof: strength.proof,
        reusable_preload: loads.proof.map(|proof| proof * REUSABLE_SHARE),
        loads,
    })
}

/// Returns what the figures of a sheet rest on.
#[must_use]
pub fn basis(sheet: &ThreadSheet) -> Vec<Basis> {
    let thread = &sheet.thread;
    let measures = [("diameter_mm", thread.diameter.mm()), ("pitch_mm", thread.pitch.mm())];
    let mut steps = vec![
        Basis::new("thread-geometry", "d2 = d − 0.649519 P; D1 = d − 1.082532 P", thread.source(), &measures),
        Basis::new("stress-area", "As = π/4 · d0²", thread.stress_area_source(), &measures),
    ];
    if let Some(class) = &sheet.class {
        let mut inputs = vec![
            ("stress_area_mm2", sheet.stress_area.mm2()),
            ("yield_mpa", class.yield_min.mpa()),
            ("tensile_mpa", class.tensile_min.mpa()),
        ];
        inputs.extend(class.proof.map(|proof| ("proof_mpa", proof.mpa())));
        steps.push(Basis::new("bolt-loads", "load = stress · As", class.loads.source, &inputs));
    }
    steps
}
