//! Everything a thread designation stands for: geometry, areas, holes, loads.

use super::torque::{BoltLoads, Capacity};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::{fastener::BoltClass, thread::Thread},
    tables::{self, HoleSeries},
    units::{Angle, Area, Force, Length, Stress},
};

/// Where heads, holes and nuts are printed.
pub const HARDWARE_SOURCE: Source =
    Source::new("ISO 4014, ISO 273, ISO 4032; ASME B18.2.1, B18.2.8, B18.2.2", "", Seen::FromMemory);
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
    /// Width across the flats of a hexagon head, when tabled.
    pub across_flats: Option<Length>,
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
        bearing_diameter: tables::bearing_diameter(thread),
        across_flats: tables::across_flats(thread),
        holes: Holes {
            fine: tables::clearance_hole(thread, HoleSeries::Fine),
            medium: tables::clearance_hole(thread, HoleSeries::Medium),
            coarse: tables::clearance_hole(thread, HoleSeries::Coarse),
        },
        nut_height: tables::nut_height(thread),
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
    let hardware = [
        ("bearing_diameter_mm", sheet.bearing_diameter),
        ("across_flats_mm", sheet.across_flats),
        ("hole_diameter_mm", sheet.holes.medium),
        ("nut_height_mm", sheet.nut_height),
    ];
    let known: Vec<_> = hardware.iter().filter_map(|(name, length)| Some((*name, (*length)?.mm()))).collect();
    if !known.is_empty() {
        steps.push(Basis::new("hexagon-hardware", "as tabled for the size", HARDWARE_SOURCE, &known));
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        calc::torque::handbook::Printed,
        model::fastener::{IsoClass, SaeGrade},
    };

    #[test]
    fn a_designation_gives_geometry_areas_and_loads() {
        let m12 = look_up_thread("M12x1.25", Some(BoltClass::Iso(IsoClass::C10_9))).unwrap();
        Printed("11.188").is(
            "ISO 724, fine threads as reproduced in an open reference table, opened, M12x1.25",
            m12.pitch_diameter.mm(),
        );
        Printed("10.466").is(
            "ISO 724, fine threads as reproduced in an open reference table, opened, M12x1.25",
            m12.minor_diameter.mm(),
        );
        Printed("10.647").is(
            "ISO 724, fine threads as reproduced in an open reference table, opened, M12x1.25",
            m12.internal_minor_diameter.mm(),
        );
        Printed("92.1").is(
            "ISO 724, fine threads as reproduced in an open reference table, opened, M12x1.25",
            m12.stress_area.mm2(),
        );
        let class = m12.class.unwrap();
        Printed("76.42").is("derived: 830 MPa on the stress area", class.loads.proof.unwrap().kn());
        assert_eq!(class.reusable_preload, class.loads.proof.map(|proof| proof * 0.75));

        let half = look_up_thread("1/2-13", Some(BoltClass::Sae(SaeGrade::G5))).unwrap();
        Printed("12061").is("derived: 85 ksi on the stress area, lbf", half.class.unwrap().loads.proof.unwrap().lbf());
        assert!(half.bearing_diameter.is_none() && half.across_flats.is_some() && half.holes.medium.is_some());
    }

    #[test]
    fn what_no_table_has_is_absent_and_a_wrong_class_is_refused() {
        let odd = look_up_thread("M13x1.1", None).map(|sheet| (sheet.holes, sheet.nut_height, sheet.class));
        if let Ok(odd) = odd {
            assert_eq!(odd, (Holes::default(), None, None));
        }
        assert!(look_up_thread("M12", Some(BoltClass::Sae(SaeGrade::G5))).is_err());
        assert!(look_up_thread("twelve", None).is_err());
    }

    #[test]
    fn the_basis_names_what_is_told() {
        let sheet = look_up_thread("M12", Some(BoltClass::Iso(IsoClass::C8_8))).unwrap();
        let formulas: Vec<_> = basis(&sheet).iter().map(|step| step.formula).collect();
        assert_eq!(formulas, ["thread-geometry", "stress-area", "hexagon-hardware", "bolt-loads"]);
    }
}
