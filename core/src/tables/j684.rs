//! Trailer coupling classes: which trailer, which ball, how strong the coupling and its chains must be.
//!
//! The class of a hitch never raises any other rating. Class 5 is a trade label and no part of the standard.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Seen, Source},
    units::{Force, Length, Mass},
};

/// Where the classes, couplers and hitch test forces are published.
pub const SOURCE: Source = Source::new("SAE J684 tables, as reprinted in Maryland COMAR 11.13.08.10", "", Seen::Opened);

/// Where the chain forces are published.
pub const CHAIN_SOURCE: Source =
    Source::new("SAE J684 safety chain table, as reprinted in a trade glossary", "", Seen::Opened);

/// A strength that a class asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Strength {
    /// The same for every trailer of the class.
    Fixed(Force),
    /// So many times the gross trailer weight.
    TimesGross(f64),
}

impl Strength {
    /// Returns the strength for a trailer of that gross mass.
    #[must_use]
    pub fn of(self, gross: Mass) -> Force {
        match self {
            Self::Fixed(force) => force,
            Self::TimesGross(factor) => gross.weight() * factor,
        }
    }
}

/// One class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Class {
    /// Its number, 1 to 4.
    pub number: i32,
    /// The heaviest trailer, gross.
    pub trailer: Mass,
    /// The smallest ball of the coupler table; class 4 is sized to the coupler's load.
    pub ball_min: Option<Length>,
    /// Breaking strength of coupler and ball lengthwise, in tension and in compression.
    pub longitudinal: Strength,
    /// Breaking strength crosswise.
    pub transverse: Strength,
    /// Breaking strength upward, in tension.
    pub vertical_tension: Strength,
    /// Breaking strength downward, in compression. The 1.4 of class 4 stands in the reprint and wants a second look.
    pub vertical_compression: Strength,
    /// Least breaking strength of each chain.
    pub chain_each: Strength,
}

const fn fixed(lbf: f64) -> Strength {
    Strength::Fixed(Force::from_lbf(lbf))
}

/// The classes, by rising number.
pub const CLASSES: [Class; 4] = [
    Class {
        number: 1,
        trailer: Mass::from_lb(2000.0),
        ball_min: Some(Length::from_in(1.875)),
        longitudinal: fixed(6000.0),
        transverse: fixed(2000.0),
        vertical_tension: fixed(2500.0),
        vertical_compression: fixed(2500.0),
        chain_each: fixed(2000.0),
    },
    Class {
        number: 2,
        trailer: Mass::from_lb(3500.0),
        ball_min: Some(Length::from_in(2.0)),
        longitudinal: fixed(10_500.0),
        transverse: fixed(3000.0),
        vertical_tension: fixed(4500.0),
        vertical_compression: fixed(4500.0),
        chain_each: fixed(3500.0),
    },
    Class {
        number: 3,
        trailer: Mass::from_lb(5000.0),
        ball_min: Some(Length::from_in(2.0)),
        longitudinal: fixed(15_000.0),
        transverse: fixed(4000.0),
        vertical_tension: fixed(7000.0),
        vertical_compression: fixed(7000.0),
        chain_each: fixed(5000.0),
    },
    Class {
        number: 4,
        trailer: Mass::from_lb(10_000.0),
        ball_min: None,
        longitudinal: Strength::TimesGross(3.0),
        transverse: Strength::TimesGross(1.0),
        vertical_tension: Strength::TimesGross(1.3),
        vertical_compression: Strength::TimesGross(1.4),
        chain_each: Strength::TimesGross(1.0),
    },
];

/// Returns a class by its number.
#[must_use]
pub fn class(number: i32) -> Option<&'static Class> {
    CLASSES.iter().find(|class| class.number == number)
}

/// Returns the least class that takes a trailer of that gross mass; `None` beyond 10,000 lb, where the standard ends.
#[must_use]
pub fn class_for(gross: Mass) -> Option<&'static Class> {
    CLASSES.iter().find(|class| gross <= class.trailer)
}

/// Returns the least breaking strength of each chain for a trailer of that gross mass.
#[must_use]
pub fn chain_each(gross: Mass) -> Option<Force> {
    class_for(gross).map(|class| class.chain_each.of(gross))
}

/// The static forces a hitch is tested with. They qualify hardware; they are never what it may carry on the road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HitchTest {
    /// Step 1: the vertical force, and the lengthwise force applied with it.
    pub first: Force,
    /// Steps 2 and 3: the lengthwise force.
    pub lengthwise: Force,
    /// Steps 2 and 3: the vertical force.
    pub vertical: Force,
    /// Steps 4 and 5: the crosswise force.
    pub crosswise: Force,
    /// With spring bars, step 1: the vertical force.
    pub spring_bars_vertical: Force,
    /// With spring bars: the lengthwise force.
    pub spring_bars_lengthwise: Force,
}

/// Returns the test forces for a hitch rated for that gross trailer mass.
///
/// ```text
/// step 1      V = L = 0.47 R + 480 lb
/// steps 2, 3  L = 0.23 R + 1530 lb, V = 0.15 R
/// steps 4, 5  T = 0.20 R + 500 lb
/// spring bars V = 0.045 R + 1650 lb, L = 0.067 R + 2070 lb
/// ```
///
/// `None` for a rating of nothing or beyond the standard's 10,000 lb.
#[must_use]
pub fn hitch_test(rated: Mass) -> Option<HitchTest> {
    if rated <= Mass::ZERO || class_for(rated).is_none() {
        return None;
    }
    let line = |slope: f64, offset_lbf: f64| Force::from_lbf(slope * rated.lb() + offset_lbf);
    Some(HitchTest {
        first: line(0.47, 480.0),
        lengthwise: line(0.23, 1530.0),
        vertical: line(0.15, 0.0),
        crosswise: line(0.20, 500.0),
        spring_bars_vertical: line(0.045, 1650.0),
        spring_bars_lengthwise: line(0.067, 2070.0),
    })
}
