//! Strength of austenitic stainless bolts and nuts, A2 and A4.
//!
//! Bolts have no proof stress: the standard gives none. Preload stays well below the yield, because stainless galls.

use super::{BoltStrength, NutProof, YieldKind, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::StainlessClass;
use crate::model::thread::Thread;
use crate::units::Stress;

/// The bolts' table.
pub const SOURCE: Source = Source::new("ISO 3506-1, mechanical properties", "", Seen::Opened);
/// The nuts' table.
pub const NUTS: Source = Source::new("ISO 3506-2, proof stresses", "", Seen::Opened);

/// One row, in megapascals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The class.
    pub class: StainlessClass,
    /// To this diameter, mm. Classes 70 and 80 ended at M20 in older editions.
    pub to_mm: f64,
    /// Least 0.2 % offset yield.
    pub yield_min: f64,
    /// Least tensile strength; also the proof stress of a full nut of this class.
    pub tensile_min: f64,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { class: StainlessClass::C50, to_mm: 39.0, yield_min: 210.0, tensile_min: 500.0 },
    Row { class: StainlessClass::C70, to_mm: 24.0, yield_min: 450.0, tensile_min: 700.0 },
    Row { class: StainlessClass::C80, to_mm: 24.0, yield_min: 600.0, tensile_min: 800.0 },
];

const SIZES: &str = "class 50 to M39, classes 70 and 80 to M24";

fn find(class: StainlessClass, thread: &Thread) -> Option<&'static Row> {
    let d = thread.diameter.mm();
    ROWS.iter().find(|row| row.class == class && (1.6..=row.to_mm).contains(&d))
}

/// Returns the strength of a class on a metric thread.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the class is not made in this size.
pub(super) fn strength(class: StainlessClass, thread: &Thread) -> Result<BoltStrength, CalcError> {
    let row = find(class, thread).ok_or_else(|| no_class_row(class, thread, "ISO 3506-1", SIZES))?;
    Ok(BoltStrength {
        tensile_nominal: None,
        tensile_min: Stress::from_mpa(row.tensile_min),
        yield_nominal: None,
        yield_min: Stress::from_mpa(row.yield_min),
        yield_kind: YieldKind::Offset,
        proof: None,
        length_max: None,
        source: SOURCE,
    })
}

/// Returns the proof stress of a full stainless nut.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the class is not made in this size.
pub(super) fn nut_proof(class: StainlessClass, thread: &Thread) -> Result<NutProof, CalcError> {
    let row = find(class, thread).ok_or_else(|| no_class_row(class, thread, "ISO 3506-2", SIZES))?;
    Ok(NutProof::computed(Stress::from_mpa(row.tensile_min), thread, true, NUTS))
}
