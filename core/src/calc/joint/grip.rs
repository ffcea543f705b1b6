//! Whether the bolt is long enough, and how far it stands out of the nut.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::Length,
};

/// Grip, washers, nut and two pitches.
pub const LENGTH_SOURCE: Source = Source::new("bolt length", "", Seen::CommonPractice);
/// Two threads above the nut.
pub const TWO_THREADS_SOURCE: Source = Source::new("API RP 686, as quoted in a slide deck", "", Seen::Opened);
/// Not more than one thread short.
pub const ONE_SHORT_SOURCE: Source = Source::new("API 570, as quoted in a slide deck", "", Seen::Opened);
/// One and a half threads, and not over 16 mm for bolts to 100 mm.
pub const TRUCK_SOURCE: Source = Source::new("a truck workshop page, fastener replacement", "", Seen::Opened);

/// Length under the head.
pub const LENGTH: Range = Range::new("length_mm", "mm", 3.0, 1000.0);
/// Anything in the stack.
pub const STACK: Range = Range::new("stack_mm", "mm", 0.0, 1000.0);
/// Pitch.
pub const PITCH: Range = Range::new("pitch_mm", "mm", 0.2, 10.0);
/// Threads that should stand out.
pub const THREADS_OUT: f64 = 2.0;

/// What lies between head and the end of the nut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// The clamped parts.
    pub grip: Length,
    /// All washers together.
    pub washers: Length,
    /// The nut's height.
    pub nut: Length,
    /// The pitch.
    pub pitch: Length,
}

impl Stack {
    fn height(&self) -> Result<[f64; 2], CalcError> {
        let mut height = 0.0;
        for part in [self.grip, self.washers, self.nut] {
            height += STACK.check(part.mm())?;
        }
        Ok([height, PITCH.check(self.pitch.mm())?])
    }

    /// Returns the shortest bolt: `grip + washers + nut + 2 P`.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`STACK`] or [`PITCH`].
    ///
    /// # Source
    ///
    /// [`LENGTH_SOURCE`]; the two pitches are also [`TWO_THREADS_SOURCE`].
    pub fn least_length(&self) -> Result<Length, CalcError> {
        let [height, pitch] = self.height()?;
        Ok(Length::from_mm(height + THREADS_OUT * pitch))
    }

    /// Returns how a bolt of this length stands out.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`LENGTH`], [`STACK`] or [`PITCH`].
    pub fn protrusion(&self, length: Length) -> Result<Protrusion, CalcError> {
        let [height, pitch] = self.height()?;
        let out = LENGTH.check(length.mm())? - height;
        // A hair of room, so that exactly two threads are two threads.
        let threads = out / pitch + 1e-9;
        let verdict = if threads < -1.0 {
            Standing::Short
        } else if threads < 0.0 {
            Standing::NutNotFilled
        } else if threads < 1.0 {
            Standing::UnderOneThread
        } else if threads < THREADS_OUT {
            Standing::UnderTwoThreads
        } else if length.mm() <= 100.0 && 16.0 + 1e-9 < out {
            Standing::Long
        } else {
            Standing::Good
        };
        Ok(Protrusion { out: Length::from_mm(out), threads: out / pitch, standing: verdict })
    }
}

/// How a bolt stands out of its nut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Protrusion {
    /// By how much; negative when its end lies inside the nut.
    pub out: Length,
    /// In pitches.
    pub threads: f64,
    /// What that means.
    pub standing: Standing,
}

/// What a protrusion means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// More than one thread short: nobody allows it.
    Short,
    /// Up to one thread short, which one rule lets pass ([`ONE_SHORT_SOURCE`]) for pipework; not for towing parts.
    NutNotFilled,
    /// Through, by less than one thread.
    UnderOneThread,
    /// By one thread and less than two; a truck workshop wants one and a half ([`TRUCK_SOURCE`]).
    UnderTwoThreads,
    /// By two threads or more.
    Good,
    /// Over 16 mm out of a bolt of up to 100 mm ([`TRUCK_SOURCE`]): it will catch and rust.
    Long,
}
