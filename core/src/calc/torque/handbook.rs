//! Printed tables and worked examples.

mod army_tables;
mod preload_tables;
mod worked_examples;

/// A figure as it is printed, digits and all.
#[derive(Debug, Clone, Copy)]
pub(in crate::calc) struct Printed(pub &'static str);

impl Printed {
    /// Returns the figure.
    pub fn value(self) -> f64 {
        self.0.parse().unwrap()
    }

    /// Returns half a unit of the last printed digit.
    pub fn half_digit(self) -> f64 {
        let decimals = self.0.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap())
    }

    /// Asserts that a computed figure rounds to the printed one.
    #[track_caller]
    pub fn is(self, source: &str, got: f64) {
        self.is_within(source, got, 0.0);
    }

    /// Asserts it with a derived allowance, as a share, on top of half a digit.
    #[track_caller]
    pub fn is_within(self, source: &str, got: f64, share: f64) {
        let tolerance = self.half_digit() * (1.0 + 1e-9) + self.value().abs() * share;
        assert!((got - self.value()).abs() <= tolerance, "{source}: prints {}, got {got}", self.0);
    }
}
