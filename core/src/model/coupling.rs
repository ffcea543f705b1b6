//! What sits between receiver and trailer: ball mount, ball, coupler, chains.

use super::LinkRating;
use crate::units::{Force, Length, Mass};

/// A ball mount (drawbar).
#[derive(Debug, Clone, PartialEq)]
pub struct BallMount {
    /// The entry name, `ballmounts/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its own mass.
    pub mass: Option<Mass>,
    /// The outside of its shank, nominal, compared exactly.
    pub shank: Option<Length>,
    /// Top of the shank down to the top face of the ball platform; negative is a rise.
    pub drop: Option<Length>,
    /// Pin hole to ball centre, rearward.
    pub length: Option<Length>,
    /// How far its lowest point hangs below the platform's top face.
    pub depth_below_platform: Option<Length>,
    /// The hole for the ball's shank, nominal, compared exactly.
    pub ball_hole: Option<Length>,
    /// Its ratings at this drop and length.
    pub rating: LinkRating,
}

/// A hitch ball.
#[derive(Debug, Clone, PartialEq)]
pub struct Ball {
    /// The entry name, `balls/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its own mass.
    pub mass: Option<Mass>,
    /// Its diameter, nominal, compared exactly: 50 mm is not 2 in.
    pub diameter: Option<Length>,
    /// Its shank's diameter, nominal.
    pub shank: Option<Length>,
    /// Height of its top above the platform.
    pub height: Option<Length>,
    /// Its ratings.
    pub rating: LinkRating,
    /// Certified D-value.
    pub d_value: Option<Force>,
    /// Certified static vertical load S.
    pub s_value: Option<Mass>,
}

/// A trailer's coupler.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupler {
    /// The entry name, `couplers/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// The ball it is made for, nominal, compared exactly.
    pub ball: Option<Length>,
    /// Its ratings.
    pub rating: LinkRating,
    /// Certified D-value.
    pub d_value: Option<Force>,
    /// Certified static vertical load S.
    pub s_value: Option<Mass>,
    /// Whether its maker forbids spring bars.
    pub forbids_spring_bars: Option<bool>,
}

/// Which force a chain's tag prints. The two are never mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChainRatingKind {
    /// The force at which it breaks; what the chain rules are written in.
    Breaking,
    /// The working load limit, a fraction of the breaking force.
    WorkingLoad,
}

/// A trailer's safety chains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chains {
    /// How many.
    pub count: Option<i32>,
    /// What the tag of each says.
    pub rating_each: Option<Force>,
    /// Which force that is.
    pub rating_kind: Option<ChainRatingKind>,
}
