//! Towing over the rear axle: the coupling in the bed of the vehicle, the bed itself, the king pin of the trailer.
//!
//! A conventional trailer hangs on a ball behind the bumper; one that hangs here presses on both axles, and its nose
//! turns above the bed and behind the cab.

use super::{LinkRating, joint::JointSpec};
use crate::units::{Force, Length, Mass};

/// What couples in the bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BedCouplingKind {
    /// A fifth wheel: a plate with jaws for a king pin.
    FifthWheel,
    /// A ball for the coupler of a gooseneck.
    GooseneckBall,
}

/// How one coupling sits in the bed of one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct BedFit {
    /// The vehicle it is made for, `vehicles/…`.
    pub vehicle: String,
    /// Where its centre of mass sits, rearward of the front axle.
    pub mass_station: Option<Length>,
    /// Where the king pin or the ball stands on the road, rearward of the front axle.
    pub pin_station: Option<Length>,
    /// Where it stands in tight turns, when it is made to slide back for them; else it stays where it is.
    pub turning_pin_station: Option<Length>,
    /// Height of the plate's face, or of the ball's top, above ground, vehicle unladen.
    pub face_height: Option<Length>,
}

/// A coupling in the bed: a fifth wheel or a ball for a gooseneck, with the rails or the plate that hold it.
#[derive(Debug, Clone, PartialEq)]
pub struct BedCoupling {
    /// The entry name, `bedcouplings/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What it is.
    pub kind: Option<BedCouplingKind>,
    /// Its own mass, rails included.
    pub mass: Option<Mass>,
    /// The king pin or ball it is made for, nominal, compared exactly.
    pub size: Option<Length>,
    /// The ratings on its plate.
    pub rating: LinkRating,
    /// The ratings of the rails or the mounting that holds it in the bed.
    pub mounting: LinkRating,
    /// Certified D-value.
    pub d_value: Option<Force>,
    /// Certified imposed load U.
    pub u_value: Option<Mass>,
    /// The approval number on its plate.
    pub approval_mark: Option<String>,
    /// The vehicles it fits.
    pub fits: Vec<BedFit>,
    /// The joints of its mounting.
    pub joints: Vec<JointSpec>,
}

impl BedCoupling {
    /// Returns how it sits in the bed of that vehicle, when the vehicle is in its fit list, and at which place of the list.
    #[must_use]
    pub fn fit_for(&self, vehicle: &str) -> Option<(usize, &BedFit)> {
        self.fits.iter().enumerate().find(|(_, fit)| fit.vehicle == vehicle && !vehicle.is_empty())
    }
}

/// The bed of a vehicle, and what its maker allows there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bed {
    /// The maker's own limits for towing from the bed.
    pub towing: LinkRating,
    /// The least share of the trailer's mass on the pin that the handbook allows.
    pub pin_share_min: Option<f64>,
    /// The greatest share on the pin that the handbook allows.
    pub pin_share_max: Option<f64>,
    /// The back of the cab, rearward of the front axle.
    pub cab_back_station: Option<Length>,
    /// Half the width of the cab at its back.
    pub cab_half_width: Option<Length>,
    /// Height of the rails' top above ground, vehicle unladen.
    pub rail_height: Option<Length>,
    /// Where the rails or the tailgate end, rearward of the front axle.
    pub rail_end_station: Option<Length>,
}

/// The king pin of a trailer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KingPin {
    /// Its diameter, nominal, compared exactly.
    pub diameter: Option<Length>,
    /// Its ratings, or those of the neck it hangs on.
    pub rating: LinkRating,
    /// Certified D-value.
    pub d_value: Option<Force>,
}
