//! From preload to the angle of a turn and back, counted from where the joint is snug.

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::thread::{Thread, ThreadSystem},
    range::Range,
    units::{Angle, Force, Length, Rate},
};

/// Where the angle of a turn comes from.
pub const SOURCE: Source = Source::new("angle of a turn from pitch and stiffness (statics)", "", Seen::Derived);
/// Where the turns of structural bolts are printed.
pub const TURN_SOURCE: Source =
    Source::new("RCSC specification, turn-of-nut table, as reproduced by a supplier", "", Seen::Opened);
/// Where it is printed that a bolt turned too far is never backed off.
pub const BACK_OFF_SOURCE: Source =
    Source::new("RCSC specification, as explained by a supplier and by AISC", "", Seen::Opened);

/// A turn from the snug point.
pub const TURN: Range = Range::new("turn_deg", "deg", 0.1, 720.0);
/// A preload.
pub const PRELOAD: Range = Range::new("preload_n", "N", 1.0, 5.0e6);
/// Stiffness of a bolt, or of what it clamps.
pub const STIFFNESS: Range = Range::new("stiffness_n_per_mm", "N/mm", 1000.0, 5.0e7);
/// Nominal diameter of structural bolts the printed turns hold for: 1/2 to 1-1/4 in.
pub const TURN_DIAMETER: Range = Range::new("diameter_mm", "mm", 12.7, 31.75);
/// Length over diameter up to which turns are printed.
pub const TURN_LENGTH: Range = Range::new("length_over_diameter", "", 1.0, 12.0);

/// How bolt and clamped parts give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Springs {
    /// The bolt.
    pub bolt: Rate,
    /// The clamped parts.
    pub parts: Rate,
}

impl Springs {
    /// Returns what bolt and parts give together, mm/N.
    fn give(&self) -> Result<f64, CalcError> {
        let (bolt, parts) = (STIFFNESS.check(self.bolt.n_per_mm())?, STIFFNESS.check(self.parts.n_per_mm())?);
        Ok(1.0 / bolt + 1.0 / parts)
    }

    /// Returns the share of a turn that stretches the bolt; the rest squeezes the parts.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] outside [`STIFFNESS`].
    pub fn bolt_share(&self) -> Result<f64, CalcError> {
        Ok(1.0 / self.bolt.n_per_mm() / self.give()?)
    }
}

/// Returns the turn from the snug point that makes a preload.
///
/// ```text
/// θ = 360° / P · F · (1/kb + 1/kc)
/// ```
///
/// | symbol | input                    | unit | range         |
/// |--------|--------------------------|------|---------------|
/// | F      | `preload`                | N    | [`PRELOAD`]   |
/// | P      | `thread.pitch`           | mm   | any thread    |
/// | kb, kc | [`Springs`]              | N/mm | [`STIFFNESS`] |
///
/// Holds while the bolt is elastic and from where the parts touch all over; what was lost before that is not in it.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first input outside its range, or a turn outside [`TURN`].
///
/// # Source
///
/// [`SOURCE`].
pub fn turn_for(preload: Force, thread: &Thread, springs: &Springs) -> Result<Angle, CalcError> {
    let travel = PRELOAD.check(preload.n())? * springs.give()?;
    Ok(Angle::from_deg(TURN.check(travel / thread.pitch.mm() * 360.0)?))
}

/// Returns the preload that a turn from the snug point makes: [`turn_for`] turned round.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first input outside its range, or a preload outside [`PRELOAD`].
///
/// # Source
///
/// [`SOURCE`].
pub fn preload_of(turn: Angle, thread: &Thread, springs: &Springs) -> Result<Force, CalcError> {
    let travel = TURN.check(turn.deg())? / 360.0 * thread.pitch.mm();
    Ok(Force::from_n(PRELOAD.check(travel / springs.give()?)?))
}

/// Returns how stiff bolt and parts are together, from a turn and the preload it was seen to make.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the first input outside its range.
///
/// # Source
///
/// [`SOURCE`].
pub fn stiffness_of(turn: Angle, preload: Force, thread: &Thread) -> Result<Rate, CalcError> {
    let travel = TURN.check(turn.deg())? / 360.0 * thread.pitch.mm();
    Ok(Rate::from_n_per_mm(PRELOAD.check(preload.n())? / travel))
}

/// Returns the turn that is printed for a structural bolt from snug, both faces square: a third up to four diameters of
/// length, a half up to eight, two thirds up to twelve.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`TURN_LENGTH`] or [`TURN_DIAMETER`]; [`CalcError::Conflict`] for a metric thread:
/// the table is printed for inch bolts.
///
/// # Source
///
/// [`TURN_SOURCE`].
pub fn turn_of_nut(thread: &Thread, length: Length) -> Result<Angle, CalcError> {
    if thread.system != ThreadSystem::Unified {
        return Err(CalcError::Conflict {
            field: "structural",
            other: "thread",
            why: "the printed turns hold for inch structural bolts",
        });
    }
    // Inches that are exact in print are not in binary: a hair of room at both ends.
    let diameter = TURN_DIAMETER.check((thread.diameter.mm() * 1e9).round() / 1e9)?;
    let slender = TURN_LENGTH.check((length.mm() / diameter * 1e9).round() / 1e9)?;
    Ok(Angle::from_deg(if slender <= 4.0 {
        120.0
    } else if slender <= 8.0 {
        180.0
    } else {
        240.0
    }))
}

/// Returns what a turn rests on.
#[must_use]
pub fn basis(preload: Force, turn: Angle, thread: &Thread, springs: &Springs) -> Vec<Basis> {
    vec![Basis::new(
        "turn-angle",
        "θ = 360°/P · F · (1/kb + 1/kc)",
        SOURCE,
        &[
            ("preload_n", preload.n()),
            ("turn_deg", turn.deg()),
            ("pitch_mm", thread.pitch.mm()),
            ("bolt_n_per_mm", springs.bolt.n_per_mm()),
            ("parts_n_per_mm", springs.parts.n_per_mm()),
        ],
    )]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::printed::prints;

    fn springs(bolt: f64, parts: f64) -> Springs {
        Springs { bolt: Rate::from_n_per_mm(bolt), parts: Rate::from_n_per_mm(parts) }
    }

    /// Derived: M12x1.75 with a bolt of 666.4 and parts of 2498 kN/mm takes 15.64° for 40 kN.
    #[test]
    fn a_worked_turn() {
        let (thread, springs) = (Thread::read("M12").unwrap(), springs(666_400.0, 2_498_000.0));
        let turn = turn_for(Force::from_kn(40.0), &thread, &springs).unwrap();
        prints("derived: angle of a turn, M12", "15.64", turn.deg());
        // The bolt gives four times as much as the parts: C = 0.2106 the other way round.
        prints("derived: share of the bolt's stretch", "0.7894", springs.bolt_share().unwrap());
    }

    /// The table as a supplier reproduces it, rows for 1/2 to 1-1/4 in, both ends of every row.
    #[test]
    fn printed_turns() {
        for (designation, diameter) in [("1/2-13", 0.5), ("3/4-10", 0.75), ("1-8", 1.0), ("1 1/4-7", 1.25)] {
            let thread = Thread::read(designation).unwrap();
            for (diameters, printed) in
                [(2.0, "120"), (4.0, "120"), (4.001, "180"), (8.0, "180"), (8.001, "240"), (12.0, "240")]
            {
                let length = Length::from_in(diameter * diameters);
                let source = "RCSC specification, turn-of-nut table, degrees, as reproduced by a supplier (opened)";
                prints(source, printed, turn_of_nut(&thread, length).unwrap().deg());
            }
            assert!(turn_of_nut(&thread, Length::from_in(diameter * 12.01)).is_err());
        }
        assert!(turn_of_nut(&Thread::read("M12").unwrap(), Length::from_mm(40.0)).is_err());
        assert!(turn_of_nut(&Thread::read("3/8-16").unwrap(), Length::from_in(1.0)).is_err());
    }

    #[test]
    fn what_no_joint_has_is_refused() {
        let thread = Thread::read("M12").unwrap();
        let stiff = springs(666_400.0, 2_498_000.0);
        assert_eq!(turn_for(Force::ZERO, &thread, &stiff).unwrap_err().field(), "preload_n");
        assert_eq!(preload_of(Angle::from_deg(f64::NAN), &thread, &stiff).unwrap_err().field(), "turn_deg");
        assert!(turn_for(Force::from_kn(40.0), &thread, &springs(0.0, 1e6)).is_err());
        assert_eq!(stiffness_of(Angle::from_deg(900.0), Force::from_kn(1.0), &thread).unwrap_err().field(), "turn_deg");
    }

    proptest! {
        #[test]
        fn each_figure_is_found_again(kn in 1.0..100.0_f64, bolt in 1e5..2e6_f64, parts in 2e5..9e6_f64) {
            let (thread, springs) = (Thread::read("M12x1.25").unwrap(), springs(bolt, parts));
            let preload = Force::from_kn(kn);
            let turn = turn_for(preload, &thread, &springs).unwrap();
            prop_assert!((preload_of(turn, &thread, &springs).unwrap() / preload - 1.0).abs() < 1e-12);
            // Both in a row give together.
            let together = stiffness_of(turn, preload, &thread).unwrap().n_per_mm();
            prop_assert!((together * (1.0 / bolt + 1.0 / parts) - 1.0).abs() < 1e-12);
        }

        #[test]
        fn a_softer_joint_and_a_finer_thread_turn_farther(kn in 1.0..100.0_f64, bolt in 1e5..1e6_f64, parts in 2e5..5e6_f64, more in 1.01..2.0_f64) {
            let (coarse, fine) = (Thread::read("M12").unwrap(), Thread::read("M12x1.25").unwrap());
            let at = |kn: f64, thread: &Thread, bolt: f64, parts: f64| {
                turn_for(Force::from_kn(kn), thread, &springs(bolt, parts)).unwrap()
            };
            let base = at(kn, &coarse, bolt, parts);
            prop_assert!(base < at(kn * more, &coarse, bolt, parts));
            prop_assert!(base < at(kn, &fine, bolt, parts));
            prop_assert!(at(kn, &coarse, bolt * more, parts) < base && at(kn, &coarse, bolt, parts * more) < base);
        }
    }
}
