//! What may be left out.

/// A part of the assessment that somebody may say does not apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Check {
    /// Slip.
    Slip,
    /// Embedding.
    Embedding,
    /// Pressure under heads, nuts and washers.
    Pressure,
    /// Bearing, tear-out and net section.
    Plates,
    /// Net section alone.
    NetSection,
    /// Shear and tension of the bolt by steelwork rules.
    BoltStrength,
    /// Stripping and engagement.
    Thread,
    /// The bolt's length.
    Length,
    /// Prying.
    Prying,
    /// Fatigue.
    Fatigue,
}
