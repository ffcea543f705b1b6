//! How far off a figure may be when its measures may be.
//!
//! A good tape is right to about a millimetre in three metres; the habit of reading it adds two or three (common
//! practice, no source). Heights are what it must get right.

use crate::{
    basis::{Basis, Seen, Source},
    calc::{
        clearance::{TAPE, tangent_two_radius},
        drop::{DropInput, attitude, level_drop},
        swing::{JackKnife, TailSwing, jack_knife, tail_swing},
    },
    error::CalcError,
    model::vehicle::WHEELBASE,
    units::{Angle, Length},
};

const PROPAGATION: Source = Source::new("propagation of uncertainty, central differences", "", Seen::Derived);

/// How far off a figure may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Every measure off the wrong way at once: the sum. What a limit is held against.
    pub worst: f64,
    /// Errors that know nothing of each other: the root of the sum of squares.
    pub likely: f64,
}

/// Carries the uncertainty of measures through a figure.
///
/// ```text
/// u_i = |f(x_i + Δ) − f(x_i − Δ)| / 2        worst = Σ u_i        likely = √(Σ u_i²)
/// ```
///
/// # Errors
///
/// Those of the figure itself, on measures that are off.
pub fn carried<const N: usize>(
    measures: [f64; N],
    off: [f64; N],
    figure: impl Fn([f64; N]) -> Result<f64, CalcError>,
) -> Result<Uncertainty, CalcError> {
    let (mut worst, mut squares) = (0.0, 0.0);
    for index in 0..N {
        let moved = |by: f64| {
            let mut at = measures;
            at[index] += by;
            figure(at)
        };
        let each = (moved(off[index])? - moved(-off[index])?).abs() / 2.0;
        worst += each;
        squares += each * each;
    }
    Ok(Uncertainty { worst, likely: squares.sqrt() })
}

/// Returns how far off the level drop may be, in millimetres: tube, coupler and ball by the tape, the sag by its own.
///
/// # Errors
///
/// As [`level_drop`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn of_drop(input: &DropInput, tape: Length, sag_off: Length) -> Result<Uncertainty, CalcError> {
    let (tape, sag_off) = (TAPE.check(tape.mm())?, TAPE.check(sag_off.mm())?);
    let at = [input.tube_top.mm(), input.coupler_level.mm(), input.ball_height.mm(), input.sag.mm()];
    carried(at, [tape, tape, tape, sag_off], |[tube, coupler, ball, sag]| {
        let mm = Length::from_mm;
        let moved = DropInput { tube_top: mm(tube), sag: mm(sag), coupler_level: mm(coupler), ball_height: mm(ball) };
        Ok(level_drop(&moved)?.drop.mm())
    })
}

/// Returns how far off a trailer's attitude may be, in degrees: both heights and the length by the tape.
///
/// # Errors
///
/// As [`attitude`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn of_attitude(
    ball_top: Length,
    coupler_level: Length,
    coupler_to_axle: Length,
    tape: Length,
) -> Result<Uncertainty, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    carried([ball_top.mm(), coupler_level.mm(), coupler_to_axle.mm()], [tape; 3], |[ball, level, axle]| {
        Ok(attitude(Length::from_mm(ball - level), Length::from_mm(axle))?.deg())
    })
}

/// Returns how far off a tail swing may be, in millimetres; the turning radius is known less well than the tape reads.
///
/// # Errors
///
/// As [`tail_swing`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn of_tail_swing(tail: &TailSwing, tape: Length, turn_off: Length) -> Result<Uncertainty, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    let at = [tail.turn_radius.mm(), tail.half_width.mm(), tail.overhang.mm()];
    carried(at, [turn_off.mm().abs(), tape, tape], |[turn, half, overhang]| {
        let mm = Length::from_mm;
        Ok(tail_swing(&TailSwing { turn_radius: mm(turn), half_width: mm(half), overhang: mm(overhang) })?.mm())
    })
}

/// Returns how far off the angle may be at which the trailer's corner reaches the rear face, in degrees; `None` when it
/// never does.
///
/// # Errors
///
/// As [`jack_knife`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn of_jack_knife(input: &JackKnife<'_>, tape: Length) -> Result<Option<Uncertainty>, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    if jack_knife(input)?.corner_reaches.is_none() {
        return Ok(None);
    }
    let at = [input.face_to_ball.mm(), input.corner.behind.mm(), input.corner.aside.mm()];
    let missing = CalcError::Missing { field: "aside_mm", by: "a contact that the tape's error leaves standing" };
    carried(at, [tape; 3], |[gap, behind, aside]| {
        let mut moved = JackKnife { face_to_ball: Length::from_mm(gap), points: &[], ..*input };
        (moved.corner.behind, moved.corner.aside) = (Length::from_mm(behind), Length::from_mm(aside));
        Ok(jack_knife(&moved)?.corner_reaches.ok_or(missing.clone())?.deg())
    })
    .map(Some)
}

/// Returns how far off a two-radius tangent angle may be, in degrees: distance, height, hub and radius by the tape.
///
/// # Errors
///
/// As [`tangent_two_radius`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn of_two_radius(u: Length, z: Length, hub: Length, r: Length, tape: Length) -> Result<Uncertainty, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    carried([u.mm(), z.mm(), hub.mm(), r.mm()], [tape; 4], |[u, z, hub, r]| {
        let mm = Length::from_mm;
        Ok(tangent_two_radius(mm(u), mm(z), mm(hub), mm(r))?.deg())
    })
}

/// Returns what a floor that is off level by so much from axle to axle adds to every angle: `atan(Δ / L)`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`WHEELBASE`] or [`TAPE`].
pub fn floor_slope(off_level: Length, wheelbase: Length) -> Result<Angle, CalcError> {
    let off = TAPE.check(off_level.mm())?;
    Ok(Angle::from_rad((off / WHEELBASE.check(wheelbase.mm())?).atan()))
}

/// Returns the step behind [`carried`].
#[must_use]
pub fn basis(tape: Length) -> Vec<Basis> {
    vec![Basis::new("measurement-uncertainty", "Σ |f(x + Δ) − f(x − Δ)| / 2", PROPAGATION, &[("tape_mm", tape.mm())])]
}

#[cfg(test)]
mod handbook {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::{
        clearance::{tangent, tape_uncertainty},
        example_van::SOURCE,
        printed::prints,
        swing::PlanPoint,
    };

    const fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    #[test]
    fn a_floor_off_by_three_millimetres_is_worth_what_is_printed() {
        prints("measuring practice, derived", "0.05", floor_slope(mm(3.0), mm(3640.0)).unwrap().deg());
        prints(SOURCE, "0.0472", floor_slope(mm(3.0), mm(3640.0)).unwrap().deg());
    }

    /// A height, a tape of 3 mm: 0.1362°, which makes ±0.15° with what else is measured.
    #[test]
    fn three_millimetres_are_about_a_seventh_of_a_degree() {
        let figure = |[z]: [f64; 1]| Ok(tangent(mm(1280.0), mm(z), mm(345.0))?.deg());
        prints(SOURCE, "0.136", carried([255.0], [3.0], figure).unwrap().worst);
    }

    #[test]
    fn a_drop_adds_up_three_readings_and_the_sag() {
        let input =
            DropInput { tube_top: mm(560.0), sag: mm(131.026), coupler_level: mm(470.0), ball_height: mm(62.0) };
        let off = of_drop(&input, mm(3.0), mm(10.0)).unwrap();
        prints("derived: 3 + 3 + 3 + 10", "19", off.worst);
        prints("derived: root of 3 · 9 + 100", "11.27", off.likely);
    }

    #[test]
    fn an_attitude_hangs_on_its_two_heights() {
        let off = of_attitude(mm(500.0), mm(470.0), mm(4300.0), mm(3.0)).unwrap();
        // Derived: two readings of 3 mm over 4300, and next to nothing from the length.
        prints("derived", "0.0802", off.worst);
        prints("derived", "0.0565", off.likely);
    }

    #[test]
    fn a_swing_and_a_contact_carry_theirs() {
        let tail = TailSwing { turn_radius: mm(6000.0), half_width: mm(950.0), overhang: mm(1300.0) };
        let off = of_tail_swing(&tail, mm(3.0), mm(100.0)).unwrap();
        // Derived from the slopes: o / √ = 0.1839 a millimetre, and (R + w) / √ − 1 = −0.01705.
        prints("derived", "2.31", off.worst);
        let corner = PlanPoint { behind: mm(1100.0), aside: mm(1000.0) };
        let input = JackKnife { face_to_ball: mm(250.0), half_width: mm(2000.0), corner, points: &[] };
        let off = of_jack_knife(&input, mm(3.0)).unwrap().unwrap();
        assert!(off.worst > off.likely && off.worst < 0.5, "{off:?}");
        let never = JackKnife { face_to_ball: mm(1500.0), ..input };
        assert_eq!(of_jack_knife(&never, mm(3.0)), Ok(None));
    }

    proptest! {
        /// Central differences against the slopes in closed form.
        #[test]
        fn differences_and_slopes_agree(u in 500.0..3000.0_f64, z in 20.0..600.0_f64, tape in 0.1..5.0_f64) {
            let slopes = tape_uncertainty(mm(u), mm(z), mm(345.0), mm(tape)).unwrap().deg();
            let figure = |[u, z, r]: [f64; 3]| Ok(tangent(mm(u), mm(z), mm(r))?.deg());
            let off = carried([u, z, 345.0], [tape; 3], figure).unwrap();
            prop_assert!((off.worst - slopes).abs() < 1e-3 * slopes.max(0.01), "{off:?} {slopes}");
            prop_assert!(off.likely <= off.worst + 1e-15);
        }

        #[test]
        fn a_worse_tape_is_never_better(tape in 0.0..5.0_f64, more in 0.0..5.0_f64) {
            let of = |tape| of_two_radius(mm(1280.0), mm(255.0), mm(345.0), mm(362.0), mm(tape)).unwrap().worst;
            prop_assert!(of(tape) <= of(tape + more) + 1e-12);
        }
    }
}
