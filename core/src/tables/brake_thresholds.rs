//! Up to which mass a trailer may go without brakes, by place: a small, dated table that a shop must keep current.
//!
//! Where the law names several masses the strictest is listed. A place that is not listed is not free: it is unknown.

use crate::units::Mass;

/// One place and its threshold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The jurisdiction's code: `US-TX`, or `EU` for what the type-approval categories say.
    pub place: &'static str,
    /// A trailer up to and including this gross mass may go without brakes.
    pub unbraked_to: Mass,
    /// Where that was read.
    pub source: &'static str,
    /// When it was last looked at, year and month.
    pub seen_on: &'static str,
}

const fn pounds(place: &'static str, lb: f64, source: &'static str) -> Row {
    Row { place, unbraked_to: Mass::from_lb(lb), source, seen_on: SEEN_ON }
}

const fn kilograms(place: &'static str, kg: f64, source: &'static str) -> Row {
    Row { place, unbraked_to: Mass::from_kg(kg), source, seen_on: SEEN_ON }
}

const SEEN_ON: &str = "2026-11";
const NOTES: &str = "state code as quoted in public notes";
const CATEGORY: &str = "EU category O1, trade-body pages on trailer brakes";

/// The table, by place.
pub const ROWS: &[Row] = &[
    kilograms("DE", 750.0, CATEGORY),
    kilograms("EU", 750.0, CATEGORY),
    kilograms("FI", 750.0, CATEGORY),
    kilograms("FR", 750.0, CATEGORY),
    kilograms("GB", 750.0, CATEGORY),
    pounds("US-CA", 1500.0, NOTES),
    pounds("US-IL", 3000.0, NOTES),
    pounds("US-TX", 4500.0, "Texas Department of Public Safety, trailer brakes"),
    pounds("US-WA", 3000.0, NOTES),
];

/// Returns the threshold of a place; a region's code falls back to its country, `DE-BY` to `DE`, but never a US state
/// to a neighbour.
#[must_use]
pub fn find(place: &str) -> Option<&'static Row> {
    let exact = |code: &str| ROWS.iter().find(|row| row.place == code);
    exact(place).or_else(|| exact(place.split_once('-')?.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_sorted_once_and_dated() {
        assert!(ROWS.is_sorted_by(|one, next| one.place < next.place));
        for row in ROWS {
            assert!(row.unbraked_to > Mass::ZERO && !row.source.is_empty() && row.seen_on.len() == 7, "{row:?}");
        }
    }

    #[test]
    fn printed_thresholds() {
        // Texas Department of Public Safety: none needed to 4500 lb.
        assert_eq!(find("US-TX").map(|row| row.unbraked_to), Some(Mass::from_lb(4500.0)));
        // EU category O1: up to 750 kg.
        assert_eq!(find("DE-BY").map(|row| row.unbraked_to), Some(Mass::from_kg(750.0)));
        assert!(find("US-OR").is_none() && find("US").is_none() && find("XX").is_none());
    }
}
