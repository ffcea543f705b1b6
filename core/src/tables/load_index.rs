//! Tyre load index: the load one tyre may carry at its speed symbol and reference pressure.
//!
//! The steps are rounded, so no formula replaces the table. Public copies carry misprints (one prints 478 kg for
//! index 83); the rows here rise without exception, which the tests hold.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::Mass,
};

/// Where the table is published. Read in four public reprints, not in the standards themselves.
pub const SOURCE: Source =
    Source::new("ISO 4000-1 / ETRTO load index table, as reprinted on four public pages", "", Seen::Opened);

/// The load indices the table holds.
pub const LOAD_INDEX: Range = Range::new("load_index_code", "", 70.0, 125.0);

#[rustfmt::skip]
const KG: [u16; 56] = [
    335, 345, 355, 365, 375, 387, 400, 412,        // 70 to 77
    425, 437, 450, 462, 475, 487, 500, 515,        // 78 to 85
    530, 545, 560, 580, 600, 615, 630, 650,        // 86 to 93
    670, 690, 710, 730, 750, 775, 800, 825,        // 94 to 101
    850, 875, 900, 925, 950, 975, 1000, 1030,      // 102 to 109
    1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, // 110 to 117
    1320, 1360, 1400, 1450, 1500, 1550, 1600, 1650, // 118 to 125
];

/// Returns what one tyre of that load index may carry.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for an index outside [`LOAD_INDEX`]; the table is not carried on beyond its rows.
pub fn load(index: i32) -> Result<Mass, CalcError> {
    LOAD_INDEX.check(f64::from(index))?;
    let row = usize::try_from(index - 70).ok().and_then(|row| KG.get(row));
    row.map(|&kg| Mass::from_kg(f64::from(kg))).ok_or(CalcError::OutOfRange {
        field: LOAD_INDEX.field,
        value: f64::from(index),
        unit: LOAD_INDEX.unit,
        min: LOAD_INDEX.min,
        max: LOAD_INDEX.max,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_carries_more() {
        for index in 70..125 {
            assert!(load(index).unwrap() < load(index + 1).unwrap(), "{index}");
        }
    }

    #[test]
    fn nothing_is_carried_on_beyond_the_rows() {
        assert!(load(69).is_err());
        assert!(load(126).is_err());
        assert_eq!(load(126).unwrap_err().field(), "load_index_code");
    }
}
