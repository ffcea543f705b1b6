//! Printed tables and worked examples.

mod army_tables;
mod preload_tables;
mod worked_examples;

use crate::calc::printed::{half_digit, prints_within, value};

/// A figure as it is printed, digits and all.
#[derive(Debug, Clone, Copy)]
pub(in crate::calc) struct Printed(pub &'static str);

impl Printed {
    /// Returns the figure.
    pub fn value(self) -> f64 {
        value(self.0)
    }

    /// Returns half a unit of the last printed digit.
    pub fn half_digit(self) -> f64 {
        half_digit(self.0)
    }

    /// Asserts that a computed figure rounds to the printed one.
    #[track_caller]
    pub fn is(self, source: &str, got: f64) {
        self.is_within(source, got, 0.0);
    }

    /// Asserts it with a derived allowance, as a share, on top of half a digit.
    #[track_caller]
    pub fn is_within(self, source: &str, got: f64, share: f64) {
        prints_within(source, self.0, got, self.value().abs() * share);
    }
}
