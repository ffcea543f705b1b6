//! Calculators, one file each: formula, ranges, basis, handbook rows.

pub mod adapter;
pub mod added_mass;
pub mod assess_torque;
pub mod axles;
pub mod ball_window;
pub mod bed;
pub mod brake_need;
pub mod capacity_label;
pub mod chains;
pub mod clearance;
pub mod compare_fasteners;
pub mod condition;
pub mod coupling;
pub mod drop;
pub mod fit_receivers;
pub mod head_marks;
pub mod joint;
pub mod measurement;
pub mod off_road;
pub mod part_fit;
pub mod passes;
pub mod ratings;
pub mod roles;
pub mod roll_over;
pub mod sag;
pub mod spring_bars;
pub mod swing;
pub mod thread_lookup;
pub mod tongue_window;
pub mod torque;
pub mod turn_angle;
pub mod tyres;
pub mod vin;
pub mod wiring;
pub mod wrench_choice;

#[cfg(test)]
mod example_van;
#[cfg(test)]
pub(crate) mod printed;
