//! Up to which mass a trailer may go without brakes in one place: a row that a shop keeps beside the built-in table.

use crate::units::Mass;

/// One place and its threshold, with where and when somebody read it.
#[derive(Debug, Clone, PartialEq)]
pub struct BrakeLaw {
    /// The entry name, `brakelaws/…`, whose id is the place in small letters.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// The jurisdiction's code: `US-OR`.
    pub place: String,
    /// A trailer up to and including this gross mass may go without brakes.
    pub unbraked_to: Mass,
    /// Where that was read.
    pub source: String,
    /// The day somebody read it, `YYYY-MM-DD`.
    pub seen_on: String,
}
