//! Proof stresses of inch-series nuts, 1/4 to 1-1/2 in.
//!
//! Not for jam, slotted, castle, heavy or thick nuts.

use super::{NutProof, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::NutClass;
use crate::model::thread::{Thread, ThreadSeries};
use crate::units::Stress;

/// Coarse and 8-thread nuts.
pub const SOURCE: Source = Source::new("SAE J995, proof stresses, UNC and 8 UN", "", Seen::Opened);
/// Fine and 12-thread nuts.
pub const FINE: Source = Source::new("SAE J995, proof stresses, UNF and 12 UN", "", Seen::FromMemory);

/// Proof stress of one grade over one span of diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The grade.
    pub grade: NutClass,
    /// For diameters above this, in.
    pub above_in: f64,
    /// To this diameter inclusive, in.
    pub to_in: f64,
    /// Proof stress with UNC and 8 UN threads, ksi.
    pub coarse_ksi: f64,
    /// Proof stress with UNF and 12 UN threads, ksi; from memory.
    pub fine_ksi: f64,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { grade: NutClass::Sae2, above_in: 0.0, to_in: 1.5, coarse_ksi:  90.0, fine_ksi:  80.0 },
    Row { grade: NutClass::Sae5, above_in: 0.0, to_in: 1.0, coarse_ksi: 120.0, fine_ksi: 109.0 },
    Row { grade: NutClass::Sae5, above_in: 1.0, to_in: 1.5, coarse_ksi: 105.0, fine_ksi:  94.0 },
    Row { grade: NutClass::Sae8, above_in: 0.0, to_in: 1.5, coarse_ksi: 150.0, fine_ksi: 150.0 },
];

/// Returns the proof stress of an inch nut.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the grade is not made in this size or series.
pub(super) fn nut_proof(grade: NutClass, thread: &Thread) -> Result<NutProof, CalcError> {
    const HAIR: f64 = 1e-9;
    let (d, n) = (thread.diameter.inches(), thread.threads_per_inch());
    let is = |count: f64| (n - count).abs() < 1e-6;
    let coarse = thread.series == ThreadSeries::Coarse || is(8.0);
    let fine = thread.series == ThreadSeries::Fine || is(12.0);
    let row = ROWS.iter().find(|row| row.grade == grade && row.above_in + HAIR < d && d <= row.to_in + HAIR);
    match row {
        Some(row) if 0.25 - HAIR <= d && (coarse || fine) => {
            let (ksi, source) = if coarse { (row.coarse_ksi, SOURCE) } else { (row.fine_ksi, FINE) };
            Ok(NutProof::computed(Stress::from_ksi(ksi), thread, true, source))
        }
        _ => Err(no_class_row(
            grade,
            thread,
            "SAE J995",
            "grades 2, 5 and 8 on UNC, 8 UN, UNF and 12 UN, 1/4 to 1-1/2 in",
        )),
    }
}
