//! What every rule stands on: the case it reads, the figures computed once for all, the findings it makes, the report.

pub mod case;
pub mod figures;
pub mod finding;
pub mod fixture;
pub mod ground;
pub mod joints;
pub mod judge;
pub mod limits;
pub mod parts;
pub mod region;
pub mod report;
pub mod requirements;
mod shape;
pub mod stack;
pub mod tongue_window;
mod train;
pub mod turning;
mod tyres;
pub mod wiring;
pub mod words;
