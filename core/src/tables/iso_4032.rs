//! Heights of regular metric hexagon nuts, style 1.

use crate::basis::{Seen, Source};

/// The rows that were not opened.
pub const SOURCE: Source = Source::new("ISO 4032, hexagon nuts, style 1", "", Seen::FromMemory);
/// The row of M12, which was seen in a published solution.
pub const OPENED: Source = Source::new("ISO 4032, hexagon nuts, style 1", "", Seen::Opened);

/// One size: nominal diameter and greatest height, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal thread diameter.
    pub diameter_mm: f64,
    /// Greatest height.
    pub height_mm: f64,
    /// Where the row was read.
    pub source: Source,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { diameter_mm:  6.0, height_mm:  5.2, source: SOURCE },
    Row { diameter_mm:  8.0, height_mm:  6.8, source: SOURCE },
    Row { diameter_mm: 10.0, height_mm:  8.4, source: SOURCE },
    Row { diameter_mm: 12.0, height_mm: 10.8, source: OPENED },
    Row { diameter_mm: 14.0, height_mm: 12.8, source: SOURCE },
    Row { diameter_mm: 16.0, height_mm: 14.8, source: SOURCE },
    Row { diameter_mm: 18.0, height_mm: 15.8, source: SOURCE },
    Row { diameter_mm: 20.0, height_mm: 18.0, source: SOURCE },
    Row { diameter_mm: 22.0, height_mm: 19.4, source: SOURCE },
    Row { diameter_mm: 24.0, height_mm: 21.5, source: SOURCE },
];
