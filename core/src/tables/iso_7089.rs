//! Plain washers of the normal metric series.

use crate::basis::{Seen, Source};

/// The rows that were not opened.
pub const SOURCE: Source = Source::new("ISO 7089, plain washers, normal series", "", Seen::FromMemory);
/// The rows of M10 and M16, which were.
pub const OPENED: Source = Source::new("ISO 7089, plain washers, normal series", "", Seen::Opened);

/// One size, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal thread diameter.
    pub diameter_mm: f64,
    /// Inner diameter, outer diameter and thickness.
    pub washer_mm: [f64; 3],
    /// Where the row was read.
    pub source: Source,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { diameter_mm:  6.0, washer_mm: [ 6.4, 12.0, 1.6], source: SOURCE },
    Row { diameter_mm:  8.0, washer_mm: [ 8.4, 16.0, 1.6], source: SOURCE },
    Row { diameter_mm: 10.0, washer_mm: [10.5, 20.0, 2.0], source: OPENED },
    Row { diameter_mm: 12.0, washer_mm: [13.0, 24.0, 2.5], source: SOURCE },
    Row { diameter_mm: 14.0, washer_mm: [15.0, 28.0, 2.5], source: SOURCE },
    Row { diameter_mm: 16.0, washer_mm: [17.0, 30.0, 3.0], source: OPENED },
    Row { diameter_mm: 18.0, washer_mm: [19.0, 34.0, 3.0], source: SOURCE },
    Row { diameter_mm: 20.0, washer_mm: [21.0, 37.0, 3.0], source: SOURCE },
    Row { diameter_mm: 22.0, washer_mm: [23.0, 39.0, 3.0], source: SOURCE },
    Row { diameter_mm: 24.0, washer_mm: [25.0, 44.0, 4.0], source: SOURCE },
];
