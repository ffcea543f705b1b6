//! How a bolt and what it clamps give under load.
//!
//! Two methods each, named and never mixed: the book method (shank and thread in the grip; frustum of 30°) and the
//! method of VDI 2230 (head, nut and engaged thread give as well; its own cone). For short grips they differ by a third;
//! that is normal.

mod plates;

use std::f64::consts::PI;

pub use plates::{
    CONE_SOURCE, Cone, FRUSTUM_SOURCE, LAYERS_MAX, Layer, RATIO, WILEMAN_SOURCE, WilemanMaterial, cone, frustum,
    sleeve, wileman,
};

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::{fastener::HeadKind, thread::Thread},
    range::Range,
    units::{Area, Length, Rate, Stress},
};

/// Where the bolt's stiffness of the book method is printed.
pub const BOLT_SOURCE: Source =
    Source::new("Shigley, Mechanical Engineering Design, bolt stiffness", "", Seen::FromMemory);
/// Where the bolt's resilience is printed.
pub const RESILIENCE_SOURCE: Source = Source::new("VDI 2230 part 1, resilience of the bolt", "", Seen::FromMemory);

/// Grip: everything between head and nut.
pub const GRIP: Range = Range::new("grip_mm", "mm", 0.5, 1000.0);
/// Thread that lies within the grip.
pub const THREADED: Range = Range::new("threaded_mm", "mm", 0.0, 1000.0);
/// Modulus of elasticity: from light metals to tungsten.
pub const MODULUS: Range = Range::new("modulus_mpa", "MPa", 10_000.0, 420_000.0);

/// A bolt between its head and its nut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shank {
    /// Its thread.
    pub thread: Thread,
    /// Grip.
    pub grip: Length,
    /// How much of the grip is thread; nought when the shank fills it.
    pub threaded: Length,
    /// Its modulus of elasticity.
    pub modulus: Stress,
}

impl Shank {
    fn checked(&self) -> Result<[f64; 3], CalcError> {
        let grip = GRIP.check(self.grip.mm())?;
        let threaded = THREADED.check(self.threaded.mm())?;
        let modulus = MODULUS.check(self.modulus.mpa())?;
        if grip < threaded {
            return Err(CalcError::Conflict {
                field: THREADED.field,
                other: GRIP.field,
                why: "the thread in the grip cannot be longer than the grip",
            });
        }
        Ok([grip, threaded, modulus])
    }
}

fn circle(diameter: Length) -> Area {
    (diameter * diameter) * (PI / 4.0)
}

/// Returns the stiffness of the bolt in its grip by the book method.
///
/// ```text
/// kb = Ad · At · E / (Ad · lt + At · ld)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`GRIP`], [`THREADED`] or [`MODULUS`]; [`CalcError::Conflict`] when more is thread
/// than grip.
///
/// # Source
///
/// [`BOLT_SOURCE`].
pub fn bolt(shank: &Shank) -> Result<Rate, CalcError> {
    let [grip, threaded, modulus] = shank.checked()?;
    let (body, stress) = (circle(shank.thread.diameter).mm2(), shank.thread.stress_area().mm2());
    Ok(Rate::from_n_per_mm(body * stress * modulus / (body * threaded + stress * (grip - threaded))))
}

/// What the bolt is screwed into, as far as it gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// A nut: 0.4 d at the body's area.
    Nut,
    /// A tapped hole: 0.33 d at the body's area.
    Tapped,
}

/// The resiliences of a bolt, each in millimetres per newton.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resilience {
    /// Of the head.
    pub head: f64,
    /// Of the plain shank in the grip.
    pub shank: f64,
    /// Of the free thread in the grip.
    pub free_thread: f64,
    /// Of the engaged thread.
    pub engaged: f64,
    /// Of the nut, or of the tapped part.
    pub nut: f64,
}

impl Resilience {
    /// Returns the whole, mm/N.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.head + self.shank + self.free_thread + self.engaged + self.nut
    }

    /// Returns the stiffness it amounts to.
    #[must_use]
    pub fn rate(&self) -> Rate {
        Rate::from_n_per_mm(1.0 / self.total())
    }
}

/// Returns the resilience of the bolt.
///
/// ```text
/// δ_S = Σ l / (E · A): head 0.5 d (socket 0.4 d) on the body's area, shank, free thread on the minor area,
///       engaged thread 0.5 d on the minor area, nut 0.4 d (tapped hole 0.33 d) on the body's area
/// ```
///
/// # Errors
///
/// As [`bolt`]; also [`CalcError::Conflict`] for a stud, whose head the method has no row for.
///
/// # Source
///
/// [`RESILIENCE_SOURCE`].
pub fn resilience(shank: &Shank, head: HeadKind, seat: Seat) -> Result<Resilience, CalcError> {
    let [grip, threaded, modulus] = shank.checked()?;
    let d = shank.thread.diameter.mm();
    let (body, minor) = (circle(shank.thread.diameter).mm2(), shank.thread.minor_area().mm2());
    let head = match head {
        HeadKind::Hex | HeadKind::HexFlange => 0.5,
        HeadKind::Socket => 0.4,
        HeadKind::Carriage | HeadKind::Stud => {
            return Err(CalcError::Conflict {
                field: "head",
                other: "stiffness_method",
                why: "the method prints hexagon and socket heads only",
            });
        }
    };
    let seat = match seat {
        Seat::Nut => 0.4,
        Seat::Tapped => 0.33,
    };
    let part = |length: f64, area: f64| length / (modulus * area);
    Ok(Resilience {
        head: part(head * d, body),
        shank: part(grip - threaded, body),
        free_thread: part(threaded, minor),
        engaged: part(0.5 * d, minor),
        nut: part(seat * d, body),
    })
}

#[cfg(test)]
mod handbook;
#[cfg(test)]
mod laws;
