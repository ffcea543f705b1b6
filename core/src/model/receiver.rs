//! The receiver: the frame-mounted socket that a ball mount slides into.

use super::{LinkRating, joint::JointSpec, profile::ProfilePoint};
use crate::units::{Force, Length, Mass};

/// How one receiver sits on one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The vehicle it is made for, `vehicles/…`.
    pub vehicle: String,
    /// Where its centre of mass sits, rearward of the front axle.
    pub mass_station: Option<Length>,
    /// Where its pin hole sits, rearward of the front axle.
    pub pin_station: Option<Length>,
    /// Height of the top inside face of its tube above ground, vehicle unladen.
    pub tube_top_height: Option<Length>,
    /// Its lowest points on this vehicle, unladen.
    pub points: Vec<ProfilePoint>,
}

/// A receiver.
#[derive(Debug, Clone, PartialEq)]
pub struct Receiver {
    /// The entry name, `receivers/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its own mass.
    pub mass: Option<Mass>,
    /// The inside of its tube: 2 in is 50.8 mm. Nominal, compared exactly.
    pub opening: Option<Length>,
    /// Its hitch class, 1 to 5, if the label names one. A class never raises another rating.
    pub hitch_class: Option<i32>,
    /// The ratings for carrying weight.
    pub carrying: LinkRating,
    /// The ratings with spring bars, a second row of the label. Absent: not rated for them.
    pub spring_bars: Option<LinkRating>,
    /// Certified D-value.
    pub d_value: Option<Force>,
    /// Certified static vertical load S.
    pub s_value: Option<Mass>,
    /// Certified V-value.
    pub v_value: Option<Force>,
    /// The approval number on its plate.
    pub approval_mark: Option<String>,
    /// The vehicles it fits.
    pub fits: Vec<Fit>,
    /// Its joints.
    pub joints: Vec<JointSpec>,
}

impl Receiver {
    /// Returns how it sits on that vehicle, when the vehicle is in its fit list.
    #[must_use]
    pub fn fit_for(&self, vehicle: &str) -> Option<&Fit> {
        self.fits.iter().find(|fit| fit.vehicle == vehicle)
    }
}
