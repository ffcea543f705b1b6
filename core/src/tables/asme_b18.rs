//! Inch hardware: heads, holes, nuts and washers of the sizes that receivers are fitted with.

use crate::basis::{Seen, Source};

/// Heads and holes.
pub const SOURCE: Source =
    Source::new("ASME B18.2.1 hexagon heads and B18.2.8 normal clearance holes", "", Seen::FromMemory);
/// Nuts.
pub const NUTS: Source = Source::new("ASME B18.2.2, hexagon nuts", "", Seen::FromMemory);
/// Washers.
pub const WASHERS: Source = Source::new("ASME B18.22.1, plain washers, type A", "", Seen::FromMemory);

/// One size, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal thread diameter.
    pub diameter_in: f64,
    /// Width across flats of a hexagon head.
    pub across_flats_in: f64,
    /// Normal clearance hole.
    pub hole_in: f64,
    /// Nominal height of a hexagon nut.
    pub nut_in: f64,
    /// Narrow (SAE) washer: inner diameter, outer diameter, thickness.
    pub narrow_in: [f64; 3],
    /// Wide (USS) washer: inner diameter, outer diameter, thickness.
    pub wide_in: [f64; 3],
}

/// The table. Bearing faces are left out: the standard bounds them, and prints no one figure.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    Row { diameter_in: 0.375,  across_flats_in: 9.0 / 16.0,  hole_in: 0.406, nut_in: 21.0 / 64.0,
          narrow_in: [13.0 / 32.0, 13.0 / 16.0,  0.065], wide_in: [ 7.0 / 16.0, 1.0,   0.083] },
    Row { diameter_in: 0.4375, across_flats_in: 5.0 / 8.0,   hole_in: 0.469, nut_in: 3.0 / 8.0,
          narrow_in: [15.0 / 32.0, 59.0 / 64.0,  0.065], wide_in: [ 1.0 / 2.0,  1.25,  0.083] },
    Row { diameter_in: 0.5,    across_flats_in: 3.0 / 4.0,   hole_in: 0.562, nut_in: 7.0 / 16.0,
          narrow_in: [17.0 / 32.0, 17.0 / 16.0,  0.095], wide_in: [ 9.0 / 16.0, 1.375, 0.109] },
    Row { diameter_in: 0.625,  across_flats_in: 15.0 / 16.0, hole_in: 0.688, nut_in: 35.0 / 64.0,
          narrow_in: [21.0 / 32.0, 21.0 / 16.0,  0.095], wide_in: [11.0 / 16.0, 1.75,  0.134] },
    Row { diameter_in: 0.75,   across_flats_in: 9.0 / 8.0,   hole_in: 0.812, nut_in: 41.0 / 64.0,
          narrow_in: [13.0 / 16.0, 47.0 / 32.0,  0.134], wide_in: [13.0 / 16.0, 2.0,   0.148] },
];
