//! Screw threads and their designations.

use crate::units::Length;

/// Which family of standards a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSystem {
    /// ISO metric, 60°, designated `M12x1.75`.
    Metric,
    /// Unified inch, 60°, designated `1/2-13 UNC`.
    Unified,
}

/// Which series of its system a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSeries {
    /// Metric coarse, or UNC.
    Coarse,
    /// Metric fine, or UNF.
    Fine,
    /// Any other pitch of the diameter.
    Special,
}

/// A screw thread: nominal diameter and pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// The family.
    pub system: ThreadSystem,
    /// The series.
    pub series: ThreadSeries,
    /// Nominal (major) diameter.
    pub diameter: Length,
    /// Pitch; 25.4 mm over the threads per inch for unified threads.
    pub pitch: Length,
}
