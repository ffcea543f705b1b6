//! The nouns of the trade.
//!
//! A field that is `Option` may be unknown, and unknown is never taken for zero, for infinite or for fine:
//! a calculator that needs it says so, a rule that needs it reports it.

pub mod bed;
pub mod brake_law;
pub mod coupling;
pub mod day;
pub mod fastener;
pub mod finish;
pub mod joint;
pub mod plan_view;
pub mod policy;
pub mod profile;
pub mod receiver;
pub mod terrain;
pub mod thread;
pub mod trailer;
pub mod tyre;
pub mod upfit;
pub mod vehicle;
pub mod wiring;
pub mod work;
pub mod wrench;

use crate::units::Mass;

/// A pair of ratings that stand side by side on a label: what may be pulled and what may press down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LinkRating {
    /// The heaviest trailer, gross.
    pub trailer: Option<Mass>,
    /// The heaviest tongue load.
    pub tongue: Option<Mass>,
}
