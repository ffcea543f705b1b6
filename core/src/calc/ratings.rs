//! The weakest link for trailer mass and for tongue load.

use crate::units::Mass;

/// One link of the chain from vehicle to trailer, and what it allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Which link, as the path of its field: `receiver.carrying.trailer`.
    pub path: &'static str,
    /// What people call it: `receiver, carrying`.
    pub label: &'static str,
    /// What it allows.
    pub limit: LinkLimit,
}

/// What one link allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LinkLimit {
    /// At most this.
    Known(Mass),
    /// It has a limit, and nobody knows it: blocks.
    Unknown,
    /// It puts no limit on this quantity.
    NotLimiting,
}

/// The weakest of some links, and the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weakest {
    /// The least known limit.
    pub limit: Option<Mass>,
    /// The link that sets it.
    pub governing: Option<Link>,
    /// The link that would set it if the first were stronger.
    pub runner_up: Option<Link>,
    /// How many links are unknown; more than none means that nothing may pass.
    pub unknown_count: usize,
}
