//! Load-levelling spring bars: the couple they put between trailer and vehicle, and where it moves the load.
//!
//! Level, at rest, bars in the plane of the drawbar, no friction. How much of the front axle's loss is to be given back
//! is an input: handbooks differ. The bars never count towards a rating that is printed for carrying weight, and the
//! rear axle must hold without them too where its handbook says so.

pub mod check;
#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::vehicle::WHEELBASE,
    range::Range,
    units::{Force, G, Length, Mass, Torque},
};

/// Allowed distance from the rear axle to the ball.
pub const OVERHANG: Range = Range::new("overhang_mm", "mm", 100.0, 5_000.0);
/// Allowed distance from the coupler to the trailer's axle or axle-group centre.
pub const COUPLER_TO_AXLE: Range = Range::new("coupler_to_axle_mm", "mm", 300.0, 20_000.0);
/// Allowed tongue load.
pub const TONGUE: Range = Range::new("tongue_kg", "kg", 1.0, 10_000.0);
/// Allowed couple of both bars together.
pub const MOMENT: Range = Range::new("moment_n_m", "N·m", 0.0, 100_000.0);
/// Allowed restoration of the front axle: 1 gives back all it lost. More overloads the front axle and the receiver.
pub const RESTORATION: Range = Range::new("restoration_share", "", 0.0, 2.0);
/// Allowed length of a bar.
pub const BAR: Range = Range::new("bar_mm", "mm", 200.0, 2_000.0);

const FREE_BODIES: Source =
    Source::new("statics: free bodies of vehicle and trailer; one public derivation agrees", "", Seen::Opened);

/// A hitched train with spring bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringBarInput {
    /// Front axle to rear axle, in the range [`WHEELBASE`].
    pub wheelbase: Length,
    /// Rear axle to ball, in the range [`OVERHANG`].
    pub overhang: Length,
    /// Coupler to trailer axle or axle-group centre, in the range [`COUPLER_TO_AXLE`].
    pub coupler_to_axle: Length,
    /// The tongue load without the bars, in the range [`TONGUE`].
    pub tongue: Mass,
}

impl SpringBarInput {
    fn check(&self) -> Result<(), CalcError> {
        WHEELBASE.check(self.wheelbase.mm())?;
        OVERHANG.check(self.overhang.mm())?;
        COUPLER_TO_AXLE.check(self.coupler_to_axle.mm())?;
        TONGUE.check(self.tongue.kg())?;
        Ok(())
    }
}

/// What hitching and the bars together change. The three changes add up to the tongue load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringBarLoads {
    /// Change of the front axle's load.
    pub front: Mass,
    /// Change of the rear axle's load.
    pub rear: Mass,
    /// Change of the trailer's axle load.
    pub trailer: Mass,
    /// What presses on the ball in the end: the tongue load less what the trailer's axle takes over.
    pub net_hitch: Mass,
    /// Which share of the front axle's loss is given back; above 1 the bars are too tight.
    pub restoration: f64,
}

/// Returns where a couple of the bars moves the load.
///
/// ```text
/// ΔF = (M · (1 + h / B) − T · h) / L      Δtrailer = M / B      ΔR = T − ΔF − Δtrailer
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Derived from the free bodies of vehicle and trailer; the trailer's gain is confirmed by a public derivation.
pub fn loads(input: &SpringBarInput, moment: Torque) -> Result<SpringBarLoads, CalcError> {
    input.check()?;
    MOMENT.check(moment.n_m())?;
    let (l, h, b) = (input.wheelbase.m(), input.overhang.m(), input.coupler_to_axle.m());
    let couple = moment.n_m() / G;
    let lever = input.tongue.kg() * h;
    let front = Mass::from_kg((couple * (1.0 + h / b) - lever) / l);
    let trailer = Mass::from_kg(couple / b);
    Ok(SpringBarLoads {
        front,
        rear: input.tongue - front - trailer,
        trailer,
        net_hitch: input.tongue - trailer,
        restoration: couple * (1.0 + h / b) / lever,
    })
}

/// Returns the couple that gives back a share of the front axle's loss: `M = share · T · h · B / (B + h)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
pub fn moment_for(input: &SpringBarInput, restoration: f64) -> Result<Torque, CalcError> {
    input.check()?;
    let share = RESTORATION.check(restoration)?;
    let (h, b) = (input.overhang.m(), input.coupler_to_axle.m());
    Ok(Torque::from_n_m(share * input.tongue.weight().n() * h * b / (b + h)))
}

/// Returns the pull at the ends of both bars together for a couple: `Q = M / b`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`MOMENT`] or [`BAR`].
pub fn bar_pull(moment: Torque, bar: Length) -> Result<Force, CalcError> {
    MOMENT.check(moment.n_m())?;
    BAR.check(bar.mm())?;
    Ok(moment / bar)
}

/// Returns the step behind [`loads`].
#[must_use]
pub fn basis(input: &SpringBarInput, moment: Torque) -> Vec<Basis> {
    vec![Basis::new(
        "spring-bar-loads",
        "ΔF = (M · (1 + h / B) − T · h) / L; Δtrailer = M / B; ΔR = T − ΔF − Δtrailer",
        FREE_BODIES,
        &[
            ("wheelbase_mm", input.wheelbase.mm()),
            ("overhang_mm", input.overhang.mm()),
            ("coupler_to_axle_mm", input.coupler_to_axle.mm()),
            ("tongue_kg", input.tongue.kg()),
            ("moment_n_m", moment.n_m()),
        ],
    )]
}
