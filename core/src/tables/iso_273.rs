//! Clearance holes for metric bolts.

use crate::basis::{Seen, Source};

/// The printed table.
pub const SOURCE: Source = Source::new("ISO 273, clearance holes", "", Seen::FromMemory);

/// One size, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal thread diameter.
    pub diameter_mm: f64,
    /// Holes of the fine, medium and coarse series.
    pub holes_mm: [f64; 3],
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { diameter_mm:  6.0, holes_mm: [ 6.4,  6.6,  7.0] },
    Row { diameter_mm:  8.0, holes_mm: [ 8.4,  9.0, 10.0] },
    Row { diameter_mm: 10.0, holes_mm: [10.5, 11.0, 12.0] },
    Row { diameter_mm: 12.0, holes_mm: [13.0, 13.5, 14.5] },
    Row { diameter_mm: 14.0, holes_mm: [15.0, 15.5, 16.5] },
    Row { diameter_mm: 16.0, holes_mm: [17.0, 17.5, 18.5] },
    Row { diameter_mm: 18.0, holes_mm: [19.0, 20.0, 21.0] },
    Row { diameter_mm: 20.0, holes_mm: [21.0, 22.0, 24.0] },
    Row { diameter_mm: 22.0, holes_mm: [23.0, 24.0, 26.0] },
    Row { diameter_mm: 24.0, holes_mm: [25.0, 26.0, 28.0] },
];
