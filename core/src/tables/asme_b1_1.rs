//! Unified inch threads: the sizes of each series, and the constants of the profile.

use crate::basis::{Seen, Source};

/// Where sizes and areas are published.
pub const SOURCE: Source = Source::new("ASME B1.1, unified inch screw threads", "", Seen::FromMemory);

/// `(D − d0)·n`: the diameter of the tensile stress area, for steel up to 100 ksi and all printed tables.
pub const STRESS_DIAMETER: f64 = 0.9743;
/// `(D − d3)·n`: the section at the minor diameter of the rounded-root external thread.
pub const MINOR: f64 = 1.3;

/// One nominal size, and the threads per inch of each series that it has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// How the size is written: `#10`, `1-1/8`.
    pub size: &'static str,
    /// Nominal diameter in inches.
    pub diameter_in: f64,
    /// Coarse, UNC.
    pub unc: Option<f64>,
    /// Fine, UNF.
    pub unf: Option<f64>,
    /// Extra fine, constant-pitch and selected special threads, with the series' letters.
    pub others: &'static [(f64, &'static str)],
}

const fn row(
    size: &'static str,
    diameter_in: f64,
    unc: Option<f64>,
    unf: Option<f64>,
    others: &'static [(f64, &'static str)],
) -> Row {
    Row { size, diameter_in, unc, unf, others }
}

/// Every size, smallest first. Numbered sizes are 0.060 in + 0.013 in times the number.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row("#0",    0.060,  None,       Some(80.0), &[]),
    row("#1",    0.073,  Some(64.0), Some(72.0), &[]),
    row("#2",    0.086,  Some(56.0), Some(64.0), &[]),
    row("#3",    0.099,  Some(48.0), Some(56.0), &[]),
    row("#4",    0.112,  Some(40.0), Some(48.0), &[]),
    row("#5",    0.125,  Some(40.0), Some(44.0), &[]),
    row("#6",    0.138,  Some(32.0), Some(40.0), &[]),
    row("#8",    0.164,  Some(32.0), Some(36.0), &[]),
    row("#10",   0.190,  Some(24.0), Some(32.0), &[]),
    row("#12",   0.216,  Some(24.0), Some(28.0), &[(32.0, "UNEF")]),
    row("1/4",   0.25,   Some(20.0), Some(28.0), &[(32.0, "UNEF")]),
    row("5/16",  0.3125, Some(18.0), Some(24.0), &[(32.0, "UNEF")]),
    row("3/8",   0.375,  Some(16.0), Some(24.0), &[(32.0, "UNEF")]),
    row("7/16",  0.4375, Some(14.0), Some(20.0), &[(28.0, "UNEF")]),
    row("1/2",   0.5,    Some(13.0), Some(20.0), &[(28.0, "UNEF")]),
    row("9/16",  0.5625, Some(12.0), Some(18.0), &[(24.0, "UNEF")]),
    row("5/8",   0.625,  Some(11.0), Some(18.0), &[(24.0, "UNEF")]),
    row("3/4",   0.75,   Some(10.0), Some(16.0), &[(20.0, "UNEF")]),
    row("7/8",   0.875,  Some(9.0),  Some(14.0), &[(20.0, "UNEF")]),
    row("1",     1.0,    Some(8.0),  Some(12.0), &[(14.0, "UNS"), (20.0, "UNEF")]),
    row("1-1/8", 1.125,  Some(7.0),  Some(12.0), &[(8.0, "UN"), (18.0, "UNEF")]),
    row("1-1/4", 1.25,   Some(7.0),  Some(12.0), &[(8.0, "UN"), (18.0, "UNEF")]),
    row("1-3/8", 1.375,  Some(6.0),  Some(12.0), &[(8.0, "UN"), (18.0, "UNEF")]),
    row("1-1/2", 1.5,    Some(6.0),  Some(12.0), &[(8.0, "UN"), (18.0, "UNEF")]),
    row("1-3/4", 1.75,   Some(5.0),  None,       &[(8.0, "UN"), (12.0, "UN")]),
    row("2",     2.0,    Some(4.5),  None,       &[(8.0, "UN"), (12.0, "UN")]),
];

impl Row {
    /// Returns every thread of this size: threads per inch, and the series' letters.
    pub fn threads(&self) -> impl Iterator<Item = (f64, &'static str)> {
        let coarse = self.unc.map(|n| (n, "UNC"));
        let fine = self.unf.map(|n| (n, "UNF"));
        coarse.into_iter().chain(fine).chain(self.others.iter().copied())
    }
}
