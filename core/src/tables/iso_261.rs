//! ISO metric threads: which pitches go with which diameter.

use crate::basis::{Seen, Source};

/// Where the combinations are published.
pub const SOURCE: Source =
    Source::new("ISO 261, general plan; fine pitches for bolts selected by ISO 262", "", Seen::FromMemory);

/// One nominal diameter and its pitches, all in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal diameter.
    pub diameter_mm: f64,
    /// The coarse pitch, which a bare `M12` means.
    pub coarse_mm: f64,
    /// The fine pitches that are selected for bolts and nuts.
    pub fine_mm: &'static [f64],
    /// The other fine pitches of the general plan: shafts, spark plugs, adjusters.
    pub others_mm: &'static [f64],
}

const fn row(diameter_mm: f64, coarse_mm: f64, fine_mm: &'static [f64], others_mm: &'static [f64]) -> Row {
    Row { diameter_mm, coarse_mm, fine_mm, others_mm }
}

/// Every diameter that ISO 898-1 covers, smallest first.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row( 1.6, 0.35, &[],          &[0.2]),
    row( 2.0, 0.4,  &[],          &[0.25]),
    row( 2.5, 0.45, &[],          &[0.35]),
    row( 3.0, 0.5,  &[],          &[0.35]),
    row( 3.5, 0.6,  &[],          &[0.35]),
    row( 4.0, 0.7,  &[],          &[0.5]),
    row( 5.0, 0.8,  &[],          &[0.5]),
    row( 6.0, 1.0,  &[],          &[0.75]),
    row( 7.0, 1.0,  &[],          &[0.75]),
    row( 8.0, 1.25, &[1.0],       &[0.75]),
    row(10.0, 1.5,  &[1.25, 1.0], &[0.75]),
    row(12.0, 1.75, &[1.5, 1.25], &[1.0]),
    row(14.0, 2.0,  &[1.5],       &[1.25, 1.0]),
    row(16.0, 2.0,  &[1.5],       &[1.0]),
    row(18.0, 2.5,  &[2.0, 1.5],  &[1.0]),
    row(20.0, 2.5,  &[2.0, 1.5],  &[1.0]),
    row(22.0, 2.5,  &[2.0, 1.5],  &[1.0]),
    row(24.0, 3.0,  &[2.0],       &[1.5, 1.0]),
    row(27.0, 3.0,  &[2.0],       &[1.5, 1.0]),
    row(30.0, 3.5,  &[2.0],       &[3.0, 1.5, 1.0]),
    row(33.0, 3.5,  &[2.0],       &[3.0, 1.5]),
    row(36.0, 4.0,  &[3.0],       &[2.0, 1.5]),
    row(39.0, 4.0,  &[3.0],       &[2.0, 1.5]),
];

impl Row {
    /// Returns every pitch of this diameter, coarse first.
    pub fn pitches_mm(&self) -> impl Iterator<Item = f64> {
        std::iter::once(self.coarse_mm).chain(self.fine_mm.iter().copied()).chain(self.others_mm.iter().copied())
    }
}
