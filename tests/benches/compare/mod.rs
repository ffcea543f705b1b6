//! The arithmetic of comparing.

use std::fmt::Write as _;

/// The least, the middle and the greatest of some figures.
#[must_use]
pub fn spread(mut figures: Vec<f64>) -> (f64, f64, f64) {
    figures.sort_by(f64::total_cmp);
    let at = |share: f64| figures.get(((figures.len() - 1) as f64 * share) as usize).copied().unwrap_or(f64::NAN);
    (at(0.0), at(0.5), at(1.0))
}

/// One line of a comparison: what was measured, the floor of the same run, their ratio and the bar for it.
#[must_use]
pub fn line(what: &str, unit: &str, ours: &[f64], floor: &[f64], bar: &str) -> String {
    let ratios = ours.iter().zip(floor).map(|(ours, floor)| ours / floor).collect();
    let ((_, ours, _), (_, floor, _), (least, middle, most)) =
        (spread(ours.to_vec()), spread(floor.to_vec()), spread(ratios));
    let mut text = String::new();
    let _ = write!(
        text,
        "{what:34} {ours:10.1} {unit:8} floor {floor:10.1} {unit:8} ratio {middle:5.2} ({least:.2} to {most:.2}), bar {bar}"
    );
    text
}
