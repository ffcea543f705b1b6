//! Trailer wiring: resistance of a run, voltage drop, the wire and the fuse a load needs, and what connects to what.
//!
//! Temperatures are conductor temperatures in degrees Celsius: a loom beside an engine is not at room temperature.

pub mod drop;
pub mod fuse;
#[cfg(test)]
mod handbook;
mod ladder;
#[cfg(test)]
mod laws;
pub mod pins;
pub mod routing;
pub mod size;
pub mod wire;

pub use drop::{Drop, DropLimit, Return, Run, Smallest, drop, smallest};
pub use fuse::{FuseChoice, FuseInput, choose_fuse};
pub use ladder::{Ladder, Tap, ladder};
pub use size::{SizedCircuit, Sizing, size};
pub use wire::{CELSIUS, Wire};
