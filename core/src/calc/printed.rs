//! How a figure is held against the one a book prints, and the register of all that are.
//!
//! Every check of a printed figure goes through one of the functions here. Each holds the figure and enters it in the
//! register, from which the page of sources is made: what is not checked is not on the page.
//!
//! A source is told in one line: the document, a comma, the place in it, then how it was seen: `opened`, `from memory`,
//! `common practice, no source`, or `derived` for a figure that somebody worked from the source and no book prints.

mod page;
mod register;

use register::{Tolerance, enter};

/// Asserts that a figure rounds to the printed one: within half of the last printed digit.
///
/// `printed` is the text in the book, `1363.951` or `10 500`, so that its digits are not lost.
#[track_caller]
pub fn prints(source: &str, printed: &str, got: f64) {
    let half = half_digit(printed);
    // The slack is for a figure that lies on the half itself, where binary fractions fall on either side.
    assert!((got - value(printed)).abs() <= half + 1e-9, "{source}: prints {printed}, got {got}");
    enter(source, printed, Tolerance::HalfDigit);
}

/// Asserts that a figure is the printed one within half of its last digit and a derived allowance on top.
#[track_caller]
pub fn prints_within(source: &str, printed: &str, got: f64, more: f64) {
    let tolerance = half_digit(printed) * (1.0 + 1e-9) + more;
    assert!((got - value(printed)).abs() <= tolerance, "{source}: prints {printed}, got {got}, tolerance {tolerance}");
    enter(source, printed, if more == 0.0 { Tolerance::HalfDigit } else { Tolerance::Wider(tolerance) });
}

/// Asserts that what is held or found is exactly what the source says: a mark, a colour, an order, a whole number.
#[track_caller]
pub fn says<T: std::fmt::Debug + PartialEq>(source: &str, printed: &T, got: &T) {
    assert_eq!(printed, got, "{source}");
    enter(source, &format!("{printed:?}"), Tolerance::Exact);
}

/// Asserts that a figure of our own has not moved. It is nobody's printed figure, and is not entered.
#[track_caller]
pub fn pinned(what: &str, ours: &str, got: f64) {
    let half = half_digit(ours) * (1.0 + 1e-9);
    assert!((got - value(ours)).abs() <= half, "pinned {what}: {ours}, got {got}");
}

/// Returns the value of a printed figure.
pub fn value(printed: &str) -> f64 {
    let bare: String = printed.chars().filter(|c| !c.is_whitespace()).collect();
    bare.parse().unwrap()
}

/// Returns half a unit of the last printed digit.
pub fn half_digit(printed: &str) -> f64 {
    let decimals =
        printed.split_once('.').map_or(0, |(_, behind)| behind.chars().filter(|c| !c.is_whitespace()).count());
    0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap())
}

#[test]
fn half_a_digit_is_all_there_is() {
    let source = "derived: an example of rounding";
    prints(source, "1 290.10", 1290.1049);
    prints_within(source, "3", 3.6, 0.1);
    says(source, &4, &4);
    assert!(std::panic::catch_unwind(|| prints(source, "1 290.10", 1290.1051)).is_err());
    assert!(std::panic::catch_unwind(|| prints(source, "3", 3.51)).is_err());
    assert!(std::panic::catch_unwind(|| prints_within(source, "3", 3.61, 0.1)).is_err());
    assert!(std::panic::catch_unwind(|| says(source, &4, &5)).is_err());
    assert!(std::panic::catch_unwind(|| prints("a book that nobody says how he saw", "3", 3.0)).is_err());
}
