//! Strength of carbon and alloy steel bolts, screws and studs, M1.6 to M39 coarse and M8x1 to M39x3 fine, 10 to 35 °C.

use super::{BoltStrength, YieldKind, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::IsoClass;
use crate::model::thread::{Thread, ThreadSeries};
use crate::units::Stress;

/// The printed table.
pub const SOURCE: Source = Source::new("ISO 898-1, table 3", "2013", Seen::Opened);

/// One column of the table, in megapascals, for one span of diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The class.
    pub class: IsoClass,
    /// For diameters above this, mm.
    pub above_mm: f64,
    /// To this diameter inclusive, mm.
    pub to_mm: f64,
    /// Nominal tensile strength; the first number of the class times 100.
    pub tensile_nominal: f64,
    /// Least tensile strength.
    pub tensile_min: f64,
    /// Nominal yield; ten times the product of the class's numbers.
    pub yield_nominal: f64,
    /// Least yield, of the kind beside it.
    pub yield_min: f64,
    /// What the least yield is measured as.
    pub yield_kind: YieldKind,
    /// Stress under proof load.
    pub proof: f64,
}

/// The table. Class 8.8 splits at 16 mm (in structural bolting at 12 mm); class 9.8 ends there.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row(IsoClass::C4_6,   0.0, 39.0,  [400.0, 400.0],   [240.0, 240.0],   YieldKind::Lower,      225.0),
    row(IsoClass::C4_8,   0.0, 39.0,  [400.0, 420.0],   [320.0, 340.0],   YieldKind::FullSize,   310.0),
    row(IsoClass::C5_6,   0.0, 39.0,  [500.0, 500.0],   [300.0, 300.0],   YieldKind::Lower,      280.0),
    row(IsoClass::C5_8,   0.0, 39.0,  [500.0, 520.0],   [400.0, 420.0],   YieldKind::FullSize,   380.0),
    row(IsoClass::C6_8,   0.0, 39.0,  [600.0, 600.0],   [480.0, 480.0],   YieldKind::FullSize,   440.0),
    row(IsoClass::C8_8,   0.0, 16.0,  [800.0, 800.0],   [640.0, 640.0],   YieldKind::Offset,     580.0),
    row(IsoClass::C8_8,  16.0, 39.0,  [800.0, 830.0],   [640.0, 660.0],   YieldKind::Offset,     600.0),
    row(IsoClass::C9_8,   0.0, 16.0,  [900.0, 900.0],   [720.0, 720.0],   YieldKind::Offset,     650.0),
    row(IsoClass::C10_9,  0.0, 39.0,  [1000.0, 1040.0], [900.0, 940.0],   YieldKind::Offset,     830.0),
    row(IsoClass::C12_9,  0.0, 39.0,  [1200.0, 1220.0], [1080.0, 1100.0], YieldKind::Offset,     970.0),
];

const fn row(
    class: IsoClass,
    above_mm: f64,
    to_mm: f64,
    [tensile_nominal, tensile_min]: [f64; 2],
    [yield_nominal, yield_min]: [f64; 2],
    yield_kind: YieldKind,
    proof: f64,
) -> Row {
    Row { class, above_mm, to_mm, tensile_nominal, tensile_min, yield_nominal, yield_min, yield_kind, proof }
}

/// Returns the strength of a class on a metric thread.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the class is not made in this size.
pub(super) fn strength(class: IsoClass, thread: &Thread) -> Result<BoltStrength, CalcError> {
    let d = thread.diameter.mm();
    let smallest = if thread.series == ThreadSeries::Coarse { 1.6 } else { 8.0 };
    let row = ROWS.iter().find(|row| row.class == class && row.above_mm < d && d <= row.to_mm);
    match row {
        Some(row) if smallest <= d => Ok(BoltStrength {
            tensile_nominal: Some(Stress::from_mpa(row.tensile_nominal)),
            tensile_min: Stress::from_mpa(row.tensile_min),
            yield_nominal: Some(Stress::from_mpa(row.yield_nominal)),
            yield_min: Stress::from_mpa(row.yield_min),
            yield_kind: row.yield_kind,
            proof: Some(Stress::from_mpa(row.proof)),
            length_max: None,
            source: SOURCE,
        }),
        _ => Err(no_class_row(
            class,
            thread,
            "ISO 898-1:2013, table 3",
            if class == IsoClass::C9_8 {
                "9.8 on M1.6 to M16 coarse, M8x1 to M16x1.5 fine"
            } else {
                "every class on M1.6 to M39 coarse, M8x1 to M39x3 fine; 9.8 to 16 mm"
            },
        )),
    }
}
