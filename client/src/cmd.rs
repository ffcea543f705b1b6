//! One subcommand a file.

pub mod assess;
pub mod audit;
pub mod axles;
pub mod book;
pub mod captive;
pub mod check;
pub mod circuit;
pub mod clearance;
pub mod compare;
pub mod completions;
pub mod fit;
pub mod info;
pub mod joint;
pub mod mark;
pub mod rating;
pub mod roll;
pub mod rules;
pub mod scatter;
pub mod serve;
pub mod thread;
pub mod tighten;
pub mod token;
pub mod torque;
pub mod turning;
