//! Hexagon heads of metric bolts: width across flats and the bearing face.

use crate::basis::{Seen, Source};

/// The printed table; ISO 4017 has the same heads.
pub const SOURCE: Source = Source::new("ISO 4014 and ISO 4017, hexagon heads, product grade A", "", Seen::FromMemory);

/// One size, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal thread diameter.
    pub diameter_mm: f64,
    /// Width across flats; M10, M12 and M14 were 17, 19 and 22 in the old German series.
    pub across_flats_mm: f64,
    /// Least outer diameter of the bearing face.
    pub bearing_mm: f64,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { diameter_mm:  6.0, across_flats_mm: 10.0, bearing_mm:  8.88 },
    Row { diameter_mm:  8.0, across_flats_mm: 13.0, bearing_mm: 11.63 },
    Row { diameter_mm: 10.0, across_flats_mm: 16.0, bearing_mm: 14.63 },
    Row { diameter_mm: 12.0, across_flats_mm: 18.0, bearing_mm: 16.63 },
    Row { diameter_mm: 14.0, across_flats_mm: 21.0, bearing_mm: 19.64 },
    Row { diameter_mm: 16.0, across_flats_mm: 24.0, bearing_mm: 22.49 },
    Row { diameter_mm: 18.0, across_flats_mm: 27.0, bearing_mm: 25.34 },
    Row { diameter_mm: 20.0, across_flats_mm: 30.0, bearing_mm: 28.19 },
    Row { diameter_mm: 22.0, across_flats_mm: 34.0, bearing_mm: 31.71 },
    Row { diameter_mm: 24.0, across_flats_mm: 36.0, bearing_mm: 33.61 },
];
