//! Strength of inch-series bolts, screws and studs, 1/4 to 1-1/2 in.

use super::{BoltStrength, YieldKind, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::SaeGrade;
use crate::model::thread::Thread;
use crate::units::{Length, Stress};

/// The rows that were read in reproductions of the table.
pub const SOURCE: Source = Source::new("SAE J429, mechanical requirements", "", Seen::Opened);
/// The rows of which at least one figure is recalled: grades 4, 5.2 and 8.2.
pub const RECALLED: Source = Source::new("SAE J429, mechanical requirements", "", Seen::FromMemory);

/// One row of the table, in ksi, for one span of diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The grade.
    pub grade: SaeGrade,
    /// For diameters above this, in.
    pub above_in: f64,
    /// To this diameter inclusive, in.
    pub to_in: f64,
    /// For bolts no longer than this, in.
    pub length_to_in: Option<f64>,
    /// Proof stress.
    pub proof_ksi: f64,
    /// Least yield.
    pub yield_ksi: f64,
    /// Least tensile strength.
    pub tensile_ksi: f64,
    /// Where the row was read.
    pub source: Source,
}

/// The smallest size of the table, in.
const SMALLEST_IN: f64 = 0.25;

/// The table; where two rows fit, the one with a length limit comes first.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row(SaeGrade::G1,   [0.0,  1.5],  None,      [33.0,  36.0,  60.0],  SOURCE),
    row(SaeGrade::G2,   [0.0,  0.75], Some(6.0), [55.0,  57.0,  74.0],  SOURCE),
    row(SaeGrade::G2,   [0.0,  1.5],  None,      [33.0,  36.0,  60.0],  SOURCE),
    row(SaeGrade::G4,   [0.0,  1.5],  None,      [65.0,  100.0, 115.0], RECALLED),
    row(SaeGrade::G5,   [0.0,  1.0],  None,      [85.0,  92.0,  120.0], SOURCE),
    row(SaeGrade::G5,   [1.0,  1.5],  None,      [74.0,  81.0,  105.0], SOURCE),
    row(SaeGrade::G5_2, [0.0,  1.0],  None,      [85.0,  92.0,  120.0], RECALLED),
    row(SaeGrade::G8,   [0.0,  1.5],  None,      [120.0, 130.0, 150.0], SOURCE),
    row(SaeGrade::G8_2, [0.0,  1.0],  None,      [120.0, 130.0, 150.0], RECALLED),
];

const fn row(
    grade: SaeGrade,
    [above_in, to_in]: [f64; 2],
    length_to_in: Option<f64>,
    [proof_ksi, yield_ksi, tensile_ksi]: [f64; 3],
    source: Source,
) -> Row {
    Row { grade, above_in, to_in, length_to_in, proof_ksi, yield_ksi, tensile_ksi, source }
}

/// Returns the strength of a grade on a unified thread, for a bolt of this length if it is known.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the grade is not made in this size.
pub(super) fn strength(grade: SaeGrade, thread: &Thread, length: Option<Length>) -> Result<BoltStrength, CalcError> {
    // A hair of room, so that 3/4 in is not above 0.75 in by rounding.
    const HAIR: f64 = 1e-9;
    let d = thread.diameter.inches();
    let row = ROWS.iter().find(|row| {
        let short = match (length, row.length_to_in) {
            (Some(length), Some(to)) => length.inches() <= to + HAIR,
            _ => true,
        };
        row.grade == grade && row.above_in + HAIR < d && d <= row.to_in + HAIR && short
    });
    match row {
        Some(row) if SMALLEST_IN - HAIR <= d => Ok(BoltStrength {
            tensile_nominal: None,
            tensile_min: Stress::from_ksi(row.tensile_ksi),
            yield_nominal: None,
            yield_min: Stress::from_ksi(row.yield_ksi),
            yield_kind: YieldKind::Offset,
            proof: Some(Stress::from_ksi(row.proof_ksi)),
            length_max: row.length_to_in.map(Length::from_in),
            source: row.source,
        }),
        _ => Err(no_class_row(
            grade,
            thread,
            "SAE J429",
            "grades 1, 2, 4, 5 and 8 from 1/4 to 1-1/2 in, grades 5.2 and 8.2 from 1/4 to 1 in",
        )),
    }
}
