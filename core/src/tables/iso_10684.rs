//! Hot-dip galvanised nuts: tapped oversize, and at M8 and M10 weaker for it.

use super::NutProof;
use crate::basis::{Seen, Source};
use crate::model::fastener::NutClass;
use crate::model::thread::{Thread, ThreadSeries, ThreadSystem};
use crate::units::{Force, Stress};

/// The reduced proof loads.
pub const SOURCE: Source = Source::new("ISO 10684, annex, reduced proof loads of M8 and M10", "", Seen::Opened);

/// Class, diameter (mm), and reduced proof load (kN), all coarse.
pub const LOADS_KN: [(NutClass, f64, f64); 4] = [
    (NutClass::Iso8, 8.0, 25.5),
    (NutClass::Iso8, 10.0, 42.2),
    (NutClass::Iso10, 8.0, 30.6),
    (NutClass::Iso10, 10.0, 50.4),
];

/// Printed proof stresses of class 8: diameter (mm) and stress (MPa). Class 10 prints loads only.
pub const STRESSES_MPA: [(f64, f64); 2] = [(8.0, 698.0), (10.0, 728.0)];

/// Returns whether galvanising takes strength from this thread, so that no full figure may be used.
#[must_use]
pub fn is_weakened(thread: &Thread) -> bool {
    let d = thread.diameter.mm();
    thread.system == ThreadSystem::Metric && [8.0, 10.0].iter().any(|weak| (d - weak).abs() < 1e-6)
}

/// Returns the reduced proof of a galvanised M8 or M10 nut, if the table has it.
pub(super) fn nut_proof(class: NutClass, thread: &Thread) -> Option<NutProof> {
    let d = thread.diameter.mm();
    let coarse = thread.series == ThreadSeries::Coarse && thread.system == ThreadSystem::Metric;
    let (_, _, kn) = LOADS_KN.iter().find(|(row, size, _)| coarse && *row == class && (size - d).abs() < 1e-6)?;
    let load = Force::from_kn(*kn);
    let printed = STRESSES_MPA.iter().find(|(size, _)| class == NutClass::Iso8 && (size - d).abs() < 1e-6);
    let stress = printed.map_or(load / thread.stress_area(), |(_, mpa)| Stress::from_mpa(*mpa));
    Some(NutProof { stress, load, full_strength: false, source: SOURCE })
}
