//! Calculators, one file each: formula, ranges, basis, handbook rows.

pub mod adapter;
pub mod assess_torque;
pub mod axles;
pub mod clearance;
pub mod condition;
pub mod coupling;
pub mod passes;
pub mod ratings;
pub mod thread_lookup;
pub mod torque;
