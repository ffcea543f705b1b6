//! How a figure is held against the one a book prints.

/// Asserts that a figure rounds to the printed one: within half of the last printed digit.
///
/// `printed` is the text in the book, `1363.951` or `10 500`, so that its digits are not lost.
#[track_caller]
pub fn prints(source: &str, printed: &str, got: f64) {
    let bare: String = printed.chars().filter(|c| !c.is_whitespace()).collect();
    let decimals = bare.split_once('.').map_or(0, |(_, behind)| behind.len());
    let value: f64 = bare.parse().unwrap();
    let half = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap());
    // The slack is for a figure that lies on the half itself, where binary fractions fall on either side.
    assert!((got - value).abs() <= half + 1e-9, "{source}: prints {printed}, got {got}");
}

#[test]
fn half_a_digit_is_all_there_is() {
    prints("a figure", "1 290.10", 1290.1049);
    assert!(std::panic::catch_unwind(|| prints("a figure", "1 290.10", 1290.1051)).is_err());
    assert!(std::panic::catch_unwind(|| prints("a figure", "3", 3.51)).is_err());
}
