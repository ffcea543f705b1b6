//! Nominal sizes, compared exactly.

use crate::units::Length;

/// What two printings of one nominal size may differ by: half of the last digit of a size in hundredths of a
/// millimetre. 50 mm and 2 in differ by 0.8 mm.
const SAME_MM: f64 = 0.005;

/// Returns whether two sizes are the same nominal size.
#[must_use]
pub fn same_nominal(one: Length, other: Length) -> bool {
    (one - other).abs().mm() <= SAME_MM
}
