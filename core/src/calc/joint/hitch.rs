//! From what the trailer does to the hitch to what each bolt of a bracket bears.
//!
//! Axes: x rearward, y to the right of the vehicle, z up; right-handed.

mod bracket;

pub use bracket::{Axis, BoltLoad, Bracket, Method, Outline, SHARE, Side, bolt_loads};

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    tables::j684,
    units::{Force, Mass},
};

/// Where forces on the road come from: the weight of what moves, times what the user says.
pub const ROAD_SOURCE: Source = Source::new("mass times acceleration", "", Seen::Derived);

/// The trailer's mass.
pub const TRAILER: Range = Range::new("trailer_kg", "kg", 1.0, 40_000.0);
/// Tongue load, standing.
pub const TONGUE: Range = Range::new("tongue_kg", "kg", 0.0, 8000.0);
/// An acceleration as a share of free fall.
pub const G_SHARE: Range = Range::new("g_share", "", 0.0, 5.0);
/// A component of a given force.
pub const FORCE: Range = Range::new("hitch_force_n", "N", -2.0e6, 2.0e6);

/// What the hitch bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HitchLoads {
    /// The static test forces of SAE J684 for a hitch of this rating: they qualify hardware and are no road load.
    Test {
        /// Rated gross trailer mass.
        rated: Mass,
    },
    /// A trailer on the road. Nothing is assumed: every acceleration is the user's.
    Road {
        /// The trailer.
        trailer: Mass,
        /// Tongue load, standing.
        tongue: Mass,
        /// Braking and pulling, as a share of free fall on the trailer's mass.
        lengthwise_g: f64,
        /// Swaying, as a share of free fall on the trailer's mass.
        crosswise_g: f64,
        /// Bouncing, on top of the standing tongue load, as a share of it.
        bounce: f64,
    },
    /// One load as measured or certified, on axes x, y, z.
    Given([Force; 3]),
}

/// One load case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case {
    /// What it is: `test step 2, pull`.
    pub label: &'static str,
    /// The force on the hitch, on axes x rearward, y right, z up.
    pub force: [Force; 3],
}

impl HitchLoads {
    /// Returns every load case: each must be borne, none adds to another.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`TRAILER`], [`TONGUE`], [`G_SHARE`] or [`FORCE`]; [`CalcError::NoSuchRow`] for a
    /// rating beyond the standard; [`CalcError::Conflict`] for a tongue heavier than its trailer.
    ///
    /// # Source
    ///
    /// [`j684::SOURCE`] for test forces, [`ROAD_SOURCE`] for the road.
    pub fn cases(&self) -> Result<Vec<Case>, CalcError> {
        match *self {
            Self::Test { rated } => {
                TRAILER.check(rated.kg())?;
                let test = j684::hitch_test(rated).ok_or_else(|| CalcError::NoSuchRow {
                    field: TRAILER.field,
                    key: format!("{:.0} lb", rated.lb()),
                    table: "SAE J684, hitch test forces",
                    rows: "ratings to 10 000 lb".to_owned(),
                })?;
                let case = |label, x: Force, y: Force, down: Force| Case { label, force: [x, y, -down] };
                let zero = Force::ZERO;
                Ok(vec![
                    case("test step 1, pull and down", test.first, zero, test.first),
                    case("test step 1, push and down", -test.first, zero, test.first),
                    case("test step 2, pull", test.lengthwise, zero, test.vertical),
                    case("test step 3, push", -test.lengthwise, zero, test.vertical),
                    case("test step 4, right", zero, test.crosswise, zero),
                    case("test step 5, left", zero, -test.crosswise, zero),
                ])
            }
            Self::Road { trailer, tongue, lengthwise_g, crosswise_g, bounce } => {
                TRAILER.check(trailer.kg())?;
                TONGUE.check(tongue.kg())?;
                if tongue.exceeds(trailer) {
                    return Err(CalcError::Conflict {
                        field: TONGUE.field,
                        other: TRAILER.field,
                        why: "a tongue is lighter than its trailer",
                    });
                }
                let along = trailer.weight() * G_SHARE.check(lengthwise_g)?;
                let across = trailer.weight() * G_SHARE.check(crosswise_g)?;
                let bounce = G_SHARE.check(bounce)?;
                let (down, lifted) = (tongue.weight() * (1.0 + bounce), tongue.weight() * (1.0 - bounce));
                Ok(vec![
                    Case { label: "pulling", force: [along, Force::ZERO, -down] },
                    Case { label: "braking", force: [-along, Force::ZERO, -down] },
                    Case { label: "swaying right", force: [Force::ZERO, across, -down] },
                    Case { label: "swaying left", force: [Force::ZERO, -across, -down] },
                    Case { label: "lifting", force: [along, Force::ZERO, -lifted] },
                ])
            }
            Self::Given(force) => {
                for component in force {
                    FORCE.check(component.n())?;
                }
                Ok(vec![Case { label: "given load", force }])
            }
        }
    }
}
