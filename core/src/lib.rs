//! Pure calculations of the towing trade.
//!
//! This crate opens no file and no socket, reads no clock and no environment, starts no thread and prints nothing.
//! It takes values and gives values: what a joint must be tightened to, what a train may weigh, how low it hangs,
//! and what the rules say about a planned upfit.
//!
//! Suggested reading order: [`units`], [`range`], [`error`], [`model`], [`tables`], [`calc`], [`rules`], [`draw`].
#![deny(missing_docs)]

pub mod basis;
pub mod calc;
pub mod draw;
pub mod error;
pub mod explain;
pub mod model;
pub mod range;
pub mod rules;
pub mod tables;
pub mod units;
