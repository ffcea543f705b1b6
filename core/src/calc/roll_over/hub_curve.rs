//! The curve that a hub follows over the ground, told piece by piece.

use super::{
    Place,
    ground::Ground,
    locus::{Locus, Shape},
};
use crate::{calc::clearance::FRONT_RADIUS, error::CalcError, model::terrain::Terrain, units::Length};

/// A stretch of the curve: a line, or an arc about a corner of the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HubPiece {
    /// Where it begins; `None` for the level line that comes from far ahead of the ground.
    pub from: Option<Place>,
    /// Where it ends; `None` for the level line that goes on.
    pub to: Option<Place>,
    /// The corner of the ground that an arc is about; `None` for a line.
    pub about: Option<Place>,
}

/// Returns the curve that the hub of a wheel follows over a terrain, from left to right without a hole.
///
/// ```text
/// z_c(x) = max over pieces (line + r / cos θ) and corners (z_v + √(r² − (x − x_v)²))
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the radius, in the range of a wheel's, or for a corner; [`CalcError::Conflict`] for
/// corners that do not rise in distance.
///
/// # Source
///
/// Derived.
pub fn hub_curve(terrain: &Terrain, radius: Length) -> Result<Vec<HubPiece>, CalcError> {
    let radius = FRONT_RADIUS.check(radius.mm())?;
    let locus = Locus::over(&Ground::of(terrain)?, radius);
    let place = |x: f64, z: f64| Place { run: Length::from_mm(x), rise: Length::from_mm(z) };
    let end = |shape: &Shape, x: f64| x.is_finite().then(|| place(x, shape.height(x)));
    let told = locus.pieces.iter().map(|piece| HubPiece {
        from: end(&piece.shape, piece.lo),
        to: end(&piece.shape, piece.hi),
        about: match piece.shape {
            Shape::Line { .. } => None,
            Shape::Arc { x, z, .. } => Some(place(x, z)),
        },
    });
    Ok(told.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::roll_over::handbook::terrain;

    fn at(pieces: &[HubPiece], x: f64) -> f64 {
        let within = |piece: &&HubPiece| {
            piece.from.is_none_or(|from| from.run.mm() <= x) && piece.to.is_none_or(|to| x <= to.run.mm())
        };
        let piece = pieces.iter().find(within).unwrap();
        match (piece.about, piece.from, piece.to) {
            (Some(about), ..) => {
                let off = x - about.run.mm();
                about.rise.mm() + (345.0_f64 * 345.0 - off * off).sqrt()
            }
            (None, Some(from), Some(to)) => {
                let share = (x - from.run.mm()) / (to.run.mm() - from.run.mm());
                from.rise.mm() + share * (to.rise.mm() - from.rise.mm())
            }
            (None, Some(level), None) | (None, None, Some(level)) => level.rise.mm(),
            (None, None, None) => f64::NAN,
        }
    }

    /// Worked locus of an invented van on a 15 % ramp, derived: figures to 0.00001 mm.
    #[test]
    fn the_curve_over_a_ramp_is_the_worked_one() {
        let pieces = hub_curve(&terrain(&[(0.0, 0.0), (3000.0, 450.0)]), Length::from_mm(345.0)).unwrap();
        for (x, z) in [(-20.0, 345.859_66), (0.0, 348.859_66), (2980.0, 794.419_80), (3100.0, 795.0)] {
            assert!((at(&pieces, x) - z).abs() < 0.5e-5, "{x}: {} {z}", at(&pieces, x));
        }
        assert_eq!(pieces.iter().filter(|piece| piece.about.is_some()).count(), 1, "only the crest makes an arc");
        for pair in pieces.windows(2) {
            assert_eq!(pair[0].to, pair[1].from.map(|from| Place { rise: pair[0].to.unwrap().rise, ..from }));
            assert!((pair[0].to.unwrap().rise - pair[1].from.unwrap().rise).mm().abs() < 1e-9);
        }
    }

    #[test]
    fn a_wheel_bridges_a_slot_and_no_wheel_is_smaller_than_its_range() {
        // Derived: over a slot of 200 mm the hub rests on both edges, √(345² − 100²) above them.
        let slot = terrain(&[(0.0, 0.0), (1.0, -300.0), (199.0, -300.0), (200.0, 0.0)]);
        let pieces = hub_curve(&slot, Length::from_mm(345.0)).unwrap();
        assert!((at(&pieces, 100.0) - (345.0_f64 * 345.0 - 1e4).sqrt()).abs() < 1e-9);
        assert_eq!(hub_curve(&slot, Length::from_mm(5.0)).unwrap_err().field(), "front_radius_mm");
    }
}
