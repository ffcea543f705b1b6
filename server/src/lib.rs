//! The baybook service: the only place that speaks gRPC and opens files.
//!
//! [`serve`] is what the program, the embedded client and the tests all call: it opens the book that the settings name,
//! answers on whatever connections it is given, and ends in good order when told to stop.

pub mod access;
mod admin;
pub mod api;
pub mod book;
mod callers;
mod commons;
mod conduct;
pub mod config;
mod connections;
mod desks;
pub mod embed;
pub mod error;
pub mod folder;
#[cfg(test)]
#[path = "../../tests/fuzz/engine.rs"]
mod fuzz;
mod held;
pub mod layers;
pub mod limits;
pub mod listen;
mod measure;
mod pressure;
pub mod secure;
pub mod service;
pub mod standing;
mod transport;
mod unpacked;
pub mod upkeep;
pub mod wire;

pub use access::{AccessMode, Role};
pub use api::Answers;
pub use config::{AdminAt, Config, ConfigError, EngineKind, LogFormat};
pub use embed::Embedded;
pub use error::ApiError;
pub use limits::Limits;
pub use listen::{bind, bind_admin, incoming};
pub use service::{ServeError, Service, serve};
pub use upkeep::{Upkeep, backups::LastBackup, scrub::LastVerify};
