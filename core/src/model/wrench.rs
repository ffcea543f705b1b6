//! Torque wrenches.

use super::day::Day;
use crate::units::{Length, Torque};

/// A torque wrench of the shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Wrench {
    /// The entry name, `wrenches/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// The least torque on its scale.
    pub scale_min: Option<Torque>,
    /// The greatest torque on its scale.
    pub scale_max: Option<Torque>,
    /// Its permissible deviation as a share: 0.04 for ±4 %.
    pub accuracy_share: Option<f64>,
    /// Drive centre to the load point of the grip.
    pub lever: Option<Length>,
    /// The last day its calibration holds.
    pub calibration_due: Option<Day>,
}
