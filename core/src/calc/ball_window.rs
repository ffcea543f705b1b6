//! The height window of the ball's centre, where a jurisdiction has one.

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::Length,
};

/// Allowed height of the ball's centre, laden.
pub const BALL_CENTRE: Range = Range::new("ball_centre_mm", "mm", 50.0, 2000.0);

/// Whose window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// Europe: 350 to 420 mm, vehicle laden; vehicles of the off-road class are exempt.
    Europe,
    /// Australia: 350 to 460 mm.
    Australia,
    /// United States: no federal figure for light ball hitches.
    UnitedStates,
}

/// A window and where it is published.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Least and greatest height; `None` where there is no such rule.
    pub heights: Option<(Length, Length)>,
    /// Where it is published.
    pub source: Source,
}

/// Returns a regime's window.
#[must_use]
pub const fn window(regime: Regime) -> Window {
    match regime {
        Regime::Europe => Window {
            heights: Some((Length::from_mm(350.0), Length::from_mm(420.0))),
            source: Source::new("UN Regulation 55, annex 7; Directive 94/20/EC, annex VII", "", Seen::FromMemory),
        },
        Regime::Australia => Window {
            heights: Some((Length::from_mm(350.0), Length::from_mm(460.0))),
            source: Source::new("Australian coupling height, as quoted in a motoring magazine", "", Seen::Opened),
        },
        Regime::UnitedStates => Window {
            heights: None,
            source: Source::new("no federal figure for light ball hitches", "", Seen::FromMemory),
        },
    }
}

/// How a ball stands to its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Standing {
    /// Inside, the bounds included.
    Inside,
    /// Too low, by so much.
    TooLow(Length),
    /// Too high, by so much.
    TooHigh(Length),
    /// The rule does not apply: there is none, or the vehicle is exempt.
    NotApplicable,
    /// Whether the vehicle is exempt is not known, and without that it would be outside.
    Unknown,
}

/// Returns how a ball stands to the window.
///
/// `off_road` says whether the vehicle is of the off-road class, which Europe exempts.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`BALL_CENTRE`].
pub fn ball_window(regime: Regime, centre: Length, off_road: Option<bool>) -> Result<Standing, CalcError> {
    BALL_CENTRE.check(centre.mm())?;
    let Some((low, high)) = window(regime).heights else {
        return Ok(Standing::NotApplicable);
    };
    let exempts = regime == Regime::Europe;
    if exempts && off_road == Some(true) {
        return Ok(Standing::NotApplicable);
    }
    Ok(if (centre - low).mm() >= -1e-9 && (high - centre).mm() >= -1e-9 {
        Standing::Inside
    } else if exempts && off_road.is_none() {
        Standing::Unknown
    } else if centre < low {
        Standing::TooLow(low - centre)
    } else {
        Standing::TooHigh(centre - high)
    })
}

/// Returns the step behind [`ball_window`].
#[must_use]
pub fn basis(regime: Regime, centre: Length) -> Vec<Basis> {
    vec![Basis::new(
        "ball-height-window",
        "low ≤ centre ≤ high",
        window(regime).source,
        &[("ball_centre_mm", centre.mm())],
    )]
}

#[cfg(test)]
mod handbook {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::printed::prints;

    #[test]
    fn windows_are_the_printed_ones() {
        for (regime, low, high, source) in [
            (Regime::Europe, "350", "420", "UN Regulation 55 annex 7, from memory"),
            (Regime::Australia, "350", "460", "Australian coupling height in a motoring magazine, opened"),
        ] {
            let (least, most) = window(regime).heights.unwrap();
            prints(source, low, least.mm());
            prints(source, high, most.mm());
        }
        assert_eq!(window(Regime::UnitedStates).heights, None);
    }

    #[test]
    fn the_bounds_are_inside_and_off_road_is_exempt() {
        let at = |mm, off_road| ball_window(Regime::Europe, Length::from_mm(mm), off_road).unwrap();
        assert_eq!((at(350.0, Some(false)), at(420.0, None)), (Standing::Inside, Standing::Inside));
        assert_eq!(at(430.0, Some(false)), Standing::TooHigh(Length::from_mm(10.0)));
        assert_eq!(at(340.0, Some(false)), Standing::TooLow(Length::from_mm(10.0)));
        assert_eq!((at(500.0, Some(true)), at(500.0, None)), (Standing::NotApplicable, Standing::Unknown));
        assert!(ball_window(Regime::Europe, Length::from_mm(f64::NAN), None).is_err());
    }

    proptest! {
        #[test]
        fn what_is_too_low_by_so_much_is_inside_so_much_higher(mm in 60.0..349.0_f64) {
            let at = |height| ball_window(Regime::Australia, height, None).unwrap();
            let Standing::TooLow(by) = at(Length::from_mm(mm)) else { panic!("{mm}") };
            prop_assert_eq!(at(Length::from_mm(mm) + by), Standing::Inside);
        }
    }
}
