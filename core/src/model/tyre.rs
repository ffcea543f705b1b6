//! Tyres as fitted to one axle.

pub mod designation;

use std::{fmt, ops::Deref};

pub use designation::Designation;

use crate::units::{Length, Mass, Rate};

/// What a tyre is made for; it decides which rating rule applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TyreKind {
    /// A passenger-car tyre. On a truck, bus, multipurpose vehicle or trailer its rating is divided by 1.10 first.
    PassengerCar,
    /// A light-truck or commercial tyre.
    LightTruck,
    /// A trailer-service tyre.
    Trailer,
}

/// What a side wall says, and what it means: read once, however often it is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Marking {
    text: String,
    read: Option<Designation>,
}

impl Marking {
    /// Returns what it means, when it can be read.
    #[must_use]
    pub const fn designation(&self) -> Option<&Designation> {
        self.read.as_ref()
    }

    /// Takes it away, as when nobody looked.
    pub fn clear(&mut self) {
        *self = Self::default();
    }
}

impl From<String> for Marking {
    fn from(text: String) -> Self {
        let read = Designation::read(&text).ok();
        Self { text, read }
    }
}

impl From<&str> for Marking {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl Deref for Marking {
    type Target = str;

    fn deref(&self) -> &str {
        &self.text
    }
}

impl fmt::Display for Marking {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// The tyres of one axle.
#[derive(Debug, Clone, PartialEq)]
pub struct Tyres {
    /// The designation on the side wall: `235/65R16C 115/113R`.
    pub designation: Marking,
    /// What they are made for.
    pub kind: Option<TyreKind>,
    /// How many on the axle: 2, or 4 when dual.
    pub count: Option<i32>,
    /// The load index, single fitment.
    pub load_index: Option<i32>,
    /// The load index, dual fitment, per tyre.
    pub load_index_dual: Option<i32>,
    /// The static loaded radius measured unladen at placard pressure.
    pub loaded_radius: Option<Length>,
    /// The vertical rate of one tyre.
    pub rate: Option<Rate>,
    /// The rating of one wheel (rim).
    pub wheel_rating: Option<Mass>,
    /// Whether one of them is a temporary spare.
    pub temporary_spare: Option<bool>,
    /// Whether all tyres of the axle have the same size and load index.
    pub same_across_axle: Option<bool>,
}
