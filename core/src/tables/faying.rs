//! Friction between clamped parts, which is what keeps a joint from slipping.

use crate::basis::{Seen, Source};

/// The table; nobody opened it.
pub const SOURCE: Source = Source::new("VDI 2230 part 1, table A6, and EN 1090-2", "", Seen::FromMemory);

/// Friction of one pair of surfaces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its stable name.
    pub name: &'static str,
    /// The least.
    pub low: f64,
    /// The greatest.
    pub high: f64,
    /// What to design with: the least, unless the table names another.
    pub design: f64,
}

/// The table.
pub const ROWS: &[Row] = &[
    Row { name: "steel-clean", low: 0.10, high: 0.23, design: 0.15 },
    Row { name: "steel-painted-or-oily", low: 0.10, high: 0.15, design: 0.10 },
    Row { name: "steel-blasted", low: 0.30, high: 0.50, design: 0.30 },
];

#[test]
fn the_design_value_lies_in_its_band() {
    for row in ROWS {
        assert!(row.low <= row.design && row.design <= row.high && row.low < row.high, "{}", row.name);
    }
}
