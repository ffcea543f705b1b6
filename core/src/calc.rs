//! Calculators, one file each: formula, ranges, basis, handbook rows.

pub mod axles;
pub mod clearance;
pub mod coupling;
pub mod ratings;
pub mod torque;
