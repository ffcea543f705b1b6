//! Nuts that lock: their prevailing torque, and whether one may be used again.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::thread::{Thread, ThreadSystem},
    range::Range,
    units::{Length, Torque},
};

/// Where the least prevailing torques for use again are printed.
pub const REUSE_SOURCE: Source = Source::new("US Army TM 9-6115-604-34, table 1-3", "", Seen::Opened);
/// Where the greatest first-on and least removal torques of class 04 are printed.
pub const FIRST_ON_SOURCE: Source = Source::new("ISO 2320 as GB/T 3098.9, class 04", "", Seen::Opened);
/// The same for the classes 5 to 8.
pub const FIRST_ON_MEMORY: Source = Source::new("ISO 2320, classes 5 to 8", "", Seen::FromMemory);

/// A prevailing torque.
pub const PREVAILING: Range = Range::new("prevailing_n_m", "N·m", 0.0, 500.0);

/// What locks the nut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lock {
    /// Its own deformed metal.
    AllMetal,
    /// A non-metallic insert.
    Insert,
}

/// The least prevailing torque at which a nut of this size may be used again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReuseRow {
    /// Nominal diameter, inches.
    pub diameter_in: f64,
    /// All-metal, lbf in.
    pub all_metal_lb_in: f64,
    /// With an insert, lbf in.
    pub insert_lb_in: f64,
}

const fn reuse(diameter_in: f64, all_metal_lb_in: f64, insert_lb_in: f64) -> ReuseRow {
    ReuseRow { diameter_in, all_metal_lb_in, insert_lb_in }
}

/// The rows of [`REUSE_SOURCE`], as printed.
pub const REUSE: &[ReuseRow] = &[
    reuse(0.25, 4.0, 4.0),
    reuse(0.3125, 5.0, 5.0),
    reuse(0.375, 12.0, 9.0),
    reuse(0.4375, 15.0, 12.0),
    reuse(0.5, 20.0, 15.0),
    reuse(0.5625, 27.0, 22.0),
    reuse(0.625, 34.0, 28.0),
    reuse(0.75, 51.0, 43.0),
];

/// Printed limits of prevailing torque, newton metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitRow {
    /// Nominal diameter, millimetres.
    pub diameter_mm: f64,
    /// The greatest while it is first screwed on.
    pub first_on_max: f64,
    /// The least while it is first screwed off.
    pub first_off_min: f64,
    /// The least while it is screwed off the fifth time.
    pub fifth_off_min: f64,
    /// Where it is printed. Another reproduction prints slightly different removal minima (M10 1.4, M12 2.1, M16 4.2):
    /// they depend on the edition.
    pub source: Source,
}

const fn limit(diameter_mm: f64, limits: [f64; 3], source: Source) -> LimitRow {
    let [first_on_max, first_off_min, fifth_off_min] = limits;
    LimitRow { diameter_mm, first_on_max, first_off_min, fifth_off_min, source }
}

/// Printed limits of all-metal nuts. A nut with an insert has half the first-on maximum.
pub const LIMITS: &[LimitRow] = &[
    limit(5.0, [1.6, 0.29, 0.20], FIRST_ON_SOURCE),
    limit(6.0, [3.0, 0.45, 0.30], FIRST_ON_SOURCE),
    limit(7.0, [4.5, 0.65, 0.45], FIRST_ON_SOURCE),
    limit(8.0, [6.0, 0.85, 0.6], FIRST_ON_MEMORY),
    limit(10.0, [10.5, 1.5, 1.0], FIRST_ON_MEMORY),
    limit(12.0, [15.5, 2.3, 1.6], FIRST_ON_MEMORY),
    limit(14.0, [24.0, 3.3, 2.3], FIRST_ON_MEMORY),
    limit(16.0, [32.0, 4.5, 3.0], FIRST_ON_MEMORY),
];

/// Returns the part of a torque that makes preload: without the prevailing torque.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a prevailing torque outside [`PREVAILING`]; [`CalcError::Conflict`] when it leaves
/// nothing to clamp with.
pub fn clamping(total: Torque, prevailing: Torque) -> Result<Torque, CalcError> {
    PREVAILING.check(prevailing.n_m())?;
    if prevailing < total {
        return Ok(total - prevailing);
    }
    Err(CalcError::Conflict {
        field: PREVAILING.field,
        other: "torque_n_m",
        why: "the prevailing torque leaves nothing of the torque to clamp with",
    })
}

/// Returns the least prevailing torque at which a locking nut of this size may be used again.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a thread the table does not print: metric ones among them. Nothing is interpolated.
///
/// # Source
///
/// [`REUSE_SOURCE`].
pub fn least_for_reuse(thread: &Thread, lock: Lock) -> Result<Torque, CalcError> {
    let row = REUSE
        .iter()
        .find(|row| {
            thread.system == ThreadSystem::Unified
                && (thread.diameter - Length::from_in(row.diameter_in)).abs().mm() < 0.01
        })
        .ok_or_else(|| CalcError::NoSuchRow {
            field: "thread",
            key: format!("{:.4} mm", thread.diameter.mm()),
            table: REUSE_SOURCE.title,
            rows: "1/4, 5/16, 3/8, 7/16, 1/2, 9/16, 5/8, 3/4 in".to_owned(),
        })?;
    Ok(Torque::from_lb_in(match lock {
        Lock::AllMetal => row.all_metal_lb_in,
        Lock::Insert => row.insert_lb_in,
    }))
}

/// Returns whether a locking nut with this measured prevailing torque may be used again; below the least it is
/// replaced. A nut its maker calls single-use is replaced whatever it measures.
///
/// # Errors
///
/// As [`least_for_reuse`]; [`CalcError::OutOfRange`] outside [`PREVAILING`].
pub fn may_be_used_again(thread: &Thread, lock: Lock, measured: Torque) -> Result<bool, CalcError> {
    PREVAILING.check(measured.n_m())?;
    // The gauge is read in whole units of the table; a hair below by conversion is not below.
    Ok(least_for_reuse(thread, lock)? <= measured * (1.0 + 1e-9))
}

#[cfg(test)]
mod handbook;
