//! The condition a thread is really in: coating and lubricant, and what friction that gives.

/// A low, a likely and a high value. Friction is never one number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The lowest credible value.
    pub low: f64,
    /// The value to aim by.
    pub nominal: f64,
    /// The highest credible value.
    pub high: f64,
}

/// A finish and lubrication condition.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// The entry name, `finishes/…`, or empty when given inline.
    pub name: String,
    /// What people call it: `zinc, dry`, `black, oiled`, `anti-seize on threads and face`.
    pub label: String,
    /// Nut factor K, when the condition is known by one.
    pub nut_factor: Option<Band>,
    /// Friction in the threads, when it is known.
    pub thread_friction: Option<Band>,
    /// Friction under the turning face, when it is known.
    pub face_friction: Option<Band>,
    /// Where the band comes from.
    pub source: String,
    /// Whether a lubricant is present; none, on the threads only, on the face only, on both.
    pub lubricated: Option<Lubricated>,
}

/// Which of the two sliding surfaces carries lubricant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lubricated {
    /// Neither.
    Dry,
    /// The threads only.
    ThreadsOnly,
    /// The face only.
    FaceOnly,
    /// Both.
    Both,
}
