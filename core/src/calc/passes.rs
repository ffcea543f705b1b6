//! Tightening in several passes, and the order of the bolts within a pass.

use crate::units::Torque;

/// In how many steps a joint is brought to its torque.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassPlan {
    /// At once.
    Single,
    /// 30 %, 70 %, 100 %, then one more round at 100 % that should move nothing.
    ThirtySeventyHundred,
    /// 70 % then 100 % when the torque is over 41 N·m, else at once.
    SeventyHundred,
}

/// The torques of the passes, in order. All bolts of the joint get the first before any gets the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passes {
    /// The torque of each pass; the first [`Passes::count`] are meant.
    pub torque: [Torque; 3],
    /// How many passes.
    pub count: usize,
    /// Whether a last round at the full torque follows that should move nothing.
    pub check_round: bool,
}
