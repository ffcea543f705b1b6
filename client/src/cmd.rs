//! One subcommand a file.

pub mod assess;
pub mod axles;
pub mod book;
pub mod check;
pub mod clearance;
pub mod completions;
pub mod info;
pub mod rating;
pub mod rules;
pub mod serve;
pub mod thread;
pub mod torque;
