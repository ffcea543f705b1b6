//! Which receivers suit a vehicle, a trailer and a clearance wish, best first, each with what governs it and what it
//! costs.
//!
//! Nothing unknown counts as good: a candidate with an unknown link or figure is set behind all that are known to suit,
//! and says what is missing.

mod candidate;
#[cfg(test)]
mod handbook;

use std::borrow::Borrow;

pub use candidate::{Candidate, Loses, Reason, Suits};

use crate::{
    basis::{Basis, Seen, Source},
    calc::{
        axles::{AxleInput, AxleLoads, Station, axle_loads},
        clearance::{Underside, Wheels, departure, lowest},
        sag::{AxleSpring, Pose},
    },
    error::CalcError,
    model::{
        LinkRating,
        coupling::{Ball, BallMount, Coupler},
        receiver::Receiver,
        trailer::{Trailer, TrailerBrakes},
        upfit::Extension,
        vehicle::Vehicle,
    },
    range::Range,
    units::{Angle, Length, Mass},
};

/// Allowed number of candidates in one call.
pub const CANDIDATES: Range = Range::new("receivers_count", "", 0.0, 100_000.0);
/// Allowed angle of a wish.
pub const WISH_ANGLE: Range = Range::new("departure_min_deg", "deg", 0.0, 60.0);
/// Allowed height of a wish.
pub const WISH_HEIGHT: Range = Range::new("hitch_height_min_mm", "mm", 0.0, 1500.0);

const RANKING: Source = Source::new("worst share of every limit, least first", "", Seen::Derived);

/// What clearance is wished for. `None` wishes for nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wish {
    /// Least departure angle, unladen.
    pub departure_min: Option<Angle>,
    /// Least departure angle, laden and hitched.
    pub departure_laden_min: Option<Angle>,
    /// Least height of the fitted gear, laden and hitched.
    pub hitch_height_min: Option<Length>,
}

/// What the receivers are held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitInput<'a> {
    /// The vehicle; a receiver fits when the vehicle's entry name is in its list.
    pub vehicle: &'a Vehicle,
    /// What rides in and on the vehicle.
    pub items: &'a [Station],
    /// The ball mount.
    pub ball_mount: Option<&'a BallMount>,
    /// The ball.
    pub ball: Option<&'a Ball>,
    /// The trailer's coupler.
    pub coupler: Option<&'a Coupler>,
    /// The trailer.
    pub trailer: Option<&'a Trailer>,
    /// An extension or adapter, when one is fitted.
    pub extension: Option<&'a Extension>,
    /// What the pin and its clip are stamped, when they are named.
    pub pin: Option<LinkRating>,
    /// The trailer's brakes, when no trailer is named but they are known.
    pub brakes: Option<TrailerBrakes>,
    /// Whether the UN/EU coupling rules apply, so that the plate must show D, S and an approval number.
    pub european: bool,
    /// Whether spring bars are planned.
    pub spring_bars: bool,
    /// The trailer's mass as it will be loaded.
    pub trailer_mass: Mass,
    /// The tongue load.
    pub tongue: Mass,
    /// What sits at the ball, wherever a receiver puts it: the ball mount's and the ball's own mass.
    pub at_ball: Mass,
    /// What clearance is wished for.
    pub wish: Wish,
}

/// The vehicle without any receiver, worked out once for all candidates.
struct Bare<'a> {
    input: &'a FitInput<'a>,
    /// Its loads before hitching, with everything but the receiver; `None` when its kerb loads are unknown.
    loads: Option<AxleLoads>,
    wheels: Option<Wheels>,
    springs: Option<(AxleSpring, AxleSpring)>,
    departure: Option<Angle>,
    lowest: Option<Length>,
}

/// Ranks the receivers: those that suit first, then those that might, then those that do not.
///
/// Within each, the one that is used least counts most: the worst share of trailer mass over trailer limit and tongue
/// load over tongue limit. Of equals the one that costs less departure angle goes first, then the lighter, then the
/// one listed first. No receiver is left out.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a count, a load, an item or a wish outside its range. What is unknown of a candidate is
/// no error.
///
/// # Source
///
/// Derived; the links are those of [`crate::calc::ratings`], the angles those of [`crate::calc::clearance`].
pub fn fit_receivers<R: Borrow<Receiver>>(input: &FitInput<'_>, receivers: &[R]) -> Result<Vec<Candidate>, CalcError> {
    // A count of receivers is far below the point where a float would round it.
    CANDIDATES.check(receivers.len() as f64)?;
    let bare = bare(input)?;
    let mut ranked: Vec<Candidate> =
        receivers.iter().enumerate().map(|(index, one)| candidate::weigh(&bare, index, one.borrow())).collect();
    ranked.sort_by(candidate::order);
    Ok(ranked)
}

fn bare<'a>(input: &'a FitInput<'a>) -> Result<Bare<'a>, CalcError> {
    use crate::calc::axles::{TONGUE, tongue::TRAILER_MASS};
    TRAILER_MASS.check(input.trailer_mass.kg())?;
    TONGUE.check(input.tongue.kg())?;
    TONGUE.check(input.at_ball.kg())?;
    for angle in [input.wish.departure_min, input.wish.departure_laden_min].into_iter().flatten() {
        WISH_ANGLE.check(angle.deg())?;
    }
    if let Some(height) = input.wish.hitch_height_min {
        WISH_HEIGHT.check(height.mm())?;
    }
    let vehicle = input.vehicle;
    let loads = match (vehicle.front.kerb, vehicle.rear.kerb) {
        (Some(kerb_front), Some(kerb_rear)) => Some(axle_loads(&AxleInput {
            wheelbase: vehicle.wheelbase,
            kerb_front,
            kerb_rear,
            items: input.items,
            tongue: None,
        })?),
        _ => None,
    };
    let radius = |axle: &crate::model::vehicle::Axle| axle.tyres.as_ref().and_then(|tyres| tyres.loaded_radius);
    let wheels = radius(&vehicle.front).zip(radius(&vehicle.rear)).map(|(front_radius, rear_radius)| Wheels {
        wheelbase: vehicle.wheelbase,
        front_radius,
        rear_radius,
    });
    let springs = AxleSpring::of(&vehicle.front).ok().zip(AxleSpring::of(&vehicle.rear).ok());
    let under = vehicle.profile.as_ref().map(Underside::of);
    let pose = wheels.map(Pose::as_measured);
    let both = under.as_ref().zip(pose.as_ref());
    Ok(Bare {
        input,
        loads,
        wheels,
        springs,
        departure: both.and_then(|(under, pose)| departure(under, pose).ok()).map(|governed| governed.angle),
        lowest: both.and_then(|(under, pose)| lowest(under, pose).ok()).map(|low| low.at.height),
    })
}

/// Returns the step behind [`fit_receivers`].
#[must_use]
pub fn basis(input: &FitInput<'_>) -> Vec<Basis> {
    vec![Basis::new(
        "fit-receivers",
        "least max(trailer / trailer limit, tongue / tongue limit) first; unknown behind known",
        RANKING,
        &[("trailer_mass_kg", input.trailer_mass.kg()), ("tongue_kg", input.tongue.kg())],
    )]
}
