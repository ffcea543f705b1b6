//! Road-vehicle cable by its nominal area: the greatest resistance its conductor may have.
//!
//! A square-millimetre size is not a gauge: 1.5 mm² lies between 16 and 14.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    units::{Area, Ohms},
};

/// Where the table is published.
pub const SOURCE: Source =
    Source::new("ISO 6722-1 / ISO 19642, greatest conductor resistance at 20 °C", "", Seen::FromMemory);

/// Nominal area, mm², and greatest resistance, mΩ/m.
#[expect(clippy::approx_constant, reason = "6 mm² of copper happen to have 3.14 mΩ/m")]
pub const ROWS: [(f64, f64); 12] = [
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.5, 12.7),
    (2.0, 9.42),
    (2.5, 7.60),
    (3.0, 6.15),
    (4.0, 4.71),
    (5.0, 3.94),
    (6.0, 3.14),
    (10.0, 1.82),
    (16.0, 1.16),
];

/// Returns the greatest resistance of one metre at 20 °C.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for an area that is no nominal size; rows are never interpolated.
pub fn resistance_per_metre(nominal: Area) -> Result<Ohms, CalcError> {
    let row = ROWS.iter().find(|row| row.0 == nominal.mm2());
    row.map(|row| Ohms::from_ohm(row.1 / 1000.0)).ok_or_else(|| CalcError::NoSuchRow {
        field: "conductor_mm2",
        key: format!("{} mm²", nominal.mm2()),
        table: "ISO 6722-1",
        rows: ROWS.map(|row| row.0.to_string()).join(", "),
    })
}
