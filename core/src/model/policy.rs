//! What one shop asks of every unit, over and above the law, the makers and the custom of the trade.

use super::upfit::Limits;
use crate::units::{Length, Mass};

/// A shop's own limits. Each may be tighter than what holds anyway; a looser one is never applied.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Policy {
    /// Its name in the book; empty when it was given with the plan.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// The book's revision at which it last changed; 0 when it was given with the plan.
    pub revision: i64,
    /// Angles, height, tongue window and level.
    pub limits: Limits,
    /// Greatest drop of a ball mount.
    pub drop_max: Option<Length>,
    /// Greatest rise of a ball mount.
    pub rise_max: Option<Length>,
    /// Least height of the ball's centre above ground, laden.
    pub ball_height_min: Option<Length>,
    /// Greatest height of the ball's centre above ground, laden.
    pub ball_height_max: Option<Length>,
    /// The share of every rating in kg or kN that must stay unused.
    pub rating_margin: Option<f64>,
    /// The greatest share of its load that the front axle may lose by hitching.
    pub front_loss_max: Option<f64>,
    /// The greatest share of the departure angle that a swap may cost.
    pub departure_loss_max: Option<f64>,
    /// Trailers above this gross mass must have brakes.
    pub brakes_above: Option<Mass>,
    /// How near its limit a value is called near, as a share of the limit.
    pub near_share: Option<f64>,
}
