//! Tail swing, and at what angle a trailer touches the vehicle that backs it.
//!
//! Seen from above, at a crawl, without tyre slip.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::{Angle, Length},
};

/// Allowed turning radius, of the rear axle's centre.
pub const TURN: Range = Range::new("turn_radius_mm", "mm", 1000.0, 50_000.0);
/// Allowed half of a vehicle's width.
pub const HALF_WIDTH: Range = Range::new("half_width_mm", "mm", 300.0, 2000.0);
/// Allowed distance of the rearmost corner behind the rear axle.
pub const OVERHANG: Range = Range::new("overhang_mm", "mm", 0.0, 6000.0);
/// Allowed swing.
pub const SWING: Range = Range::new("swing_mm", "mm", 0.0, 3000.0);
/// Allowed distance from the vehicle's rear face back to the ball.
pub const FACE_TO_BALL: Range = Range::new("face_to_ball_mm", "mm", 0.0, 6000.0);
/// Allowed distance of a trailer's point behind the ball; below zero is ahead of it, as a jack's handle may be, and the
/// whole nose over a king pin.
pub const BEHIND_BALL: Range = Range::new("behind_ball_mm", "mm", -4000.0, 10_000.0);
/// Allowed distance of a trailer's point from its middle line.
pub const ASIDE: Range = Range::new("aside_mm", "mm", -2000.0, 2000.0);

const PLAN: Source = Source::new("geometry in plan", "", Seen::Derived);

/// A vehicle's tail in a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TailSwing {
    /// R, turning radius of the rear axle's centre, in the range [`TURN`].
    pub turn_radius: Length,
    /// w, half the width at the tail, in the range [`HALF_WIDTH`].
    pub half_width: Length,
    /// o, rear axle to the rearmost corner, in the range [`OVERHANG`]. Gear that sticks out counts.
    pub overhang: Length,
}

/// Returns how far a rear corner swings out beyond the line that the vehicle's side drives on.
///
/// ```text
/// swing = √((R + w)² + o²) − (R + w)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
///
/// # Source
///
/// Derived.
pub fn tail_swing(tail: &TailSwing) -> Result<Length, CalcError> {
    let side = TURN.check(tail.turn_radius.mm())? + HALF_WIDTH.check(tail.half_width.mm())?;
    let overhang = OVERHANG.check(tail.overhang.mm())?;
    Ok(Length::from_mm(side.hypot(overhang) - side))
}

/// Returns how far behind the rear axle something may reach for a swing: `o = √(s · (2 (R + w) + s))`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`TURN`], [`HALF_WIDTH`] or [`SWING`].
pub fn overhang_for_swing(turn_radius: Length, half_width: Length, swing: Length) -> Result<Length, CalcError> {
    let side = TURN.check(turn_radius.mm())? + HALF_WIDTH.check(half_width.mm())?;
    let swing = SWING.check(swing.mm())?;
    Ok(Length::from_mm((swing * (2.0 * side + swing)).sqrt()))
}

/// Returns how tight the rear axle's centre may turn for a swing: `R = (o² − s²) / (2 s) − w`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for an input, or for a radius that comes out outside [`TURN`].
pub fn turn_for_swing(half_width: Length, overhang: Length, swing: Length) -> Result<Length, CalcError> {
    let half_width = HALF_WIDTH.check(half_width.mm())?;
    let overhang = OVERHANG.check(overhang.mm())?;
    let swing = Range { min: 0.001, ..SWING }.check(swing.mm())?;
    let radius = (overhang * overhang - swing * swing) / (2.0 * swing) - half_width;
    TURN.check(radius).map(Length::from_mm)
}

/// Returns by how much more the tail swings when gear sticks out further.
///
/// # Errors
///
/// As [`tail_swing`].
pub fn swing_gain(tail: &TailSwing, further: Length) -> Result<Length, CalcError> {
    let longer = TailSwing { overhang: tail.overhang + further, ..*tail };
    Ok(tail_swing(&longer)? - tail_swing(tail)?)
}

/// A point of the trailer, seen from above, when it stands straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanPoint {
    /// Behind the ball, in the range [`BEHIND_BALL`].
    pub behind: Length,
    /// Off the middle line, in the range [`ASIDE`].
    pub aside: Length,
}

/// A vehicle's tail and a trailer's nose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JackKnife<'a> {
    /// g, the vehicle's rear face to the ball, in the range [`FACE_TO_BALL`].
    pub face_to_ball: Length,
    /// Half the vehicle's width at its rear face, in the range [`HALF_WIDTH`].
    pub half_width: Length,
    /// The trailer's front corner: d behind the ball, b to the side. The trailer is as wide on the other side.
    pub corner: PlanPoint,
    /// Further points of the trailer: a jack's handle, a gas bottle's box. Each stands on its own side alone.
    pub points: &'a [PlanPoint],
}

/// What touches first as the trailer swings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meets {
    /// The trailer's front corner meets the vehicle's rear face.
    CornerOnFace,
    /// The vehicle's rear corner meets the trailer's front.
    VehicleCornerOnFront,
    /// The trailer's front corner has passed behind the vehicle and meets its side.
    CornerOnSide,
    /// The vehicle's rear corner has passed the trailer's front and meets its side.
    VehicleCornerOnSide,
    /// A further point, by its index, meets the vehicle's rear face or side.
    Point(usize),
}

/// At what angle a trailer touches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JackKnifeContact {
    /// Where the trailer's corner reaches the line of the vehicle's rear face, whether the vehicle is there or not:
    /// `None` when it never does.
    pub corner_reaches: Option<Angle>,
    /// Whether the vehicle is there.
    pub corner_meets: bool,
    /// The first contact to either side, and what touches; `None` up to a right angle and a half, 135°.
    pub first: Option<(Angle, Meets)>,
}

/// As far as a trailer is swung, degrees.
const FURTHEST_DEG: f64 = 135.0;

/// Returns the articulation at which the trailer's nose and the vehicle's tail touch.
///
/// ```text
/// corner on face          ψ = acos(−g / ρ) − atan2(b, d)        ρ = hypot(b, d)
/// ... if it is there      √(ρ² − g²) ≤ half width
/// vehicle's corner        w · sin ψ − g · cos ψ = d
/// ... if the trailer is   w · cos ψ + g · sin ψ within ± b
/// corner on side          ψ = π − asin(w / ρ) − atan2(b, d), if it has passed the face
/// vehicle's on side       ψ = atan2(g, w) + acos(b / √(w² + g²)), if it has passed the front
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range; [`CalcError::Conflict`] for a point of the
/// trailer that is inside the vehicle when the train stands straight.
///
/// # Source
///
/// Derived.
pub fn jack_knife(input: &JackKnife<'_>) -> Result<JackKnifeContact, CalcError> {
    let gap = FACE_TO_BALL.check(input.face_to_ball.mm())?;
    let half = HALF_WIDTH.check(input.half_width.mm())?;
    let place = |point: &PlanPoint| -> Result<(f64, f64), CalcError> {
        let (behind, aside) = (BEHIND_BALL.check(point.behind.mm())?, ASIDE.check(point.aside.mm())?);
        if behind <= -gap && aside.abs() <= half {
            return Err(CalcError::Conflict {
                field: "behind_ball_mm",
                other: "face_to_ball_mm",
                why: "the point is inside the vehicle when the train stands straight",
            });
        }
        Ok((behind, aside.abs()))
    };
    let (d, b) = place(&input.corner)?;
    let corner = reaches(d, b, gap);
    let corner_meets = corner.is_some() && (d * d + b * b - gap * gap).sqrt() <= half;
    let mut first: Option<(f64, Meets)> = None;
    let mut offer = |angle: f64, meets: Meets| {
        if angle <= FURTHEST_DEG.to_radians() && first.is_none_or(|(least, _)| angle < least) {
            first = Some((angle, meets));
        }
    };
    if let Some(angle) = corner.filter(|_| corner_meets) {
        offer(angle, Meets::CornerOnFace);
    }
    if let Some(angle) = front_meets(half, gap, d, b) {
        offer(angle, Meets::VehicleCornerOnFront);
    }
    if let Some(angle) = side(d, b, half, gap) {
        offer(angle, Meets::CornerOnSide);
    }
    if let Some(angle) = trailer_side(half, gap, d, b) {
        offer(angle, Meets::VehicleCornerOnSide);
    }
    for (index, point) in input.points.iter().enumerate() {
        let (behind, aside) = place(point)?;
        // A point of one side is swung to the face by turning one way, and by turning the other further round.
        for aside in [aside, -aside] {
            if let Some(angle) = reaches(behind, aside, gap).filter(|angle| *angle >= 0.0)
                && (behind * behind + aside * aside - gap * gap).max(0.0).sqrt() <= half
            {
                offer(angle, Meets::Point(index));
            }
            if let Some(angle) = side(behind, aside, half, gap).filter(|angle| *angle >= 0.0) {
                offer(angle, Meets::Point(index));
            }
        }
    }
    Ok(JackKnifeContact {
        corner_reaches: corner.map(Angle::from_rad),
        corner_meets,
        first: first.map(|(angle, meets)| (Angle::from_rad(angle), meets)),
    })
}

/// Returns the angle at which a point reaches the line of the rear face; `None` when it swings clear behind it.
fn reaches(behind: f64, aside: f64, gap: f64) -> Option<f64> {
    let radius = behind.hypot(aside);
    (radius > gap).then(|| (-gap / radius).acos() - aside.atan2(behind))
}

/// Returns the angle at which the vehicle's corner reaches the trailer's front, when the front is there.
fn front_meets(half: f64, gap: f64, d: f64, b: f64) -> Option<f64> {
    let radius = half.hypot(gap);
    if d.abs() > radius {
        return None;
    }
    let angle = (d / radius).asin() + gap.atan2(half);
    let along = half * angle.cos() + gap * angle.sin();
    (angle >= 0.0 && along.abs() <= b).then_some(angle)
}

/// Returns the angle at which a point that has swung past the rear face comes back to the vehicle's side.
fn side(behind: f64, aside: f64, half: f64, gap: f64) -> Option<f64> {
    let radius = behind.hypot(aside);
    let passed = radius >= half && (radius * radius - half * half).sqrt() > gap;
    passed.then(|| std::f64::consts::PI - (half / radius).asin() - aside.atan2(behind))
}

/// Returns the angle at which the vehicle's corner, past the trailer's front, comes to its side.
fn trailer_side(half: f64, gap: f64, d: f64, b: f64) -> Option<f64> {
    let radius = half.hypot(gap);
    if b > radius {
        return None;
    }
    let angle = gap.atan2(half) + (b / radius).acos();
    (half * angle.sin() - gap * angle.cos() > d).then_some(angle)
}

/// Returns the steps behind [`tail_swing`].
#[must_use]
pub fn swing_basis(tail: &TailSwing) -> Vec<Basis> {
    vec![Basis::new(
        "tail-swing",
        "swing = √((R + w)² + o²) − (R + w)",
        PLAN,
        &[
            ("turn_radius_mm", tail.turn_radius.mm()),
            ("half_width_mm", tail.half_width.mm()),
            ("overhang_mm", tail.overhang.mm()),
        ],
    )]
}

/// Returns the step behind [`jack_knife`].
#[must_use]
pub fn jack_knife_basis(input: &JackKnife<'_>) -> Vec<Basis> {
    vec![Basis::new(
        "jack-knife",
        "ψ = acos(−g / ρ) − atan2(b, d), and the vehicle's corner on the trailer's front",
        PLAN,
        &[
            ("face_to_ball_mm", input.face_to_ball.mm()),
            ("half_width_mm", input.half_width.mm()),
            ("behind_ball_mm", input.corner.behind.mm()),
            ("aside_mm", input.corner.aside.mm()),
        ],
    )]
}
