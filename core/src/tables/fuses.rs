//! Blade fuses: the steps they come in and their colours, and what a wire may be fused at.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    units::{Amps, Length},
};

/// Where steps and colours are published.
pub const SOURCE: Source = Source::new("ISO 8820-3, blade fuse colours, as listed on a public page", "", Seen::Opened);
/// Where the steps that the page did not list come from.
pub const RECALLED_SOURCE: Source = Source::new("ISO 8820-3, blade fuse colours", "", Seen::FromMemory);
/// Where the wire's maxima come from: a default to be set by the shop, never a law.
pub const WIRE_SOURCE: Source =
    Source::new("fuse maxima of bundled wire in a 12 V engine bay", "", Seen::CommonPractice);

/// The furthest from its source a fuse should sit.
pub const DISTANCE_GOOD: Length = Length::from_mm(180.0);
/// The furthest from its source a fuse may sit.
pub const DISTANCE_MAX: Length = Length::from_mm(450.0);

/// One step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuse {
    /// Its rating.
    pub rating: Amps,
    /// Its colour, where a source names one.
    pub colour: Option<&'static str>,
    /// Where the row was read.
    pub source: Source,
}

const fn step(a: f64, colour: &'static str) -> Fuse {
    Fuse { rating: Amps::from_a(a), colour: Some(colour), source: SOURCE }
}

const fn recalled(a: f64, colour: Option<&'static str>) -> Fuse {
    Fuse { rating: Amps::from_a(a), colour, source: RECALLED_SOURCE }
}

/// The steps, by rising rating.
pub const STEPS: [Fuse; 13] = [
    recalled(1.0, Some("black")),
    step(2.0, "grey"),
    step(3.0, "violet"),
    step(4.0, "pink"),
    step(5.0, "tan"),
    step(7.5, "brown"),
    step(10.0, "red"),
    step(15.0, "blue"),
    step(20.0, "yellow"),
    step(25.0, "clear"),
    step(30.0, "green"),
    recalled(35.0, None),
    recalled(40.0, None),
];

/// Returns the least step of at least that rating; `None` beyond the last.
#[must_use]
pub fn at_least(current: Amps) -> Option<&'static Fuse> {
    // A load that fills a fuse exactly comes out a few parts in 10¹⁶ over it.
    STEPS.iter().find(|fuse| fuse.rating.a() >= current.a() * (1.0 - 1e-12))
}

/// What a wire may be fused at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireMax {
    /// The figure to hold to.
    pub cautious: Amps,
    /// The upper end of what shops use; not to be relied on without the cable maker's own figure.
    pub usual_most: Amps,
}

const fn max(low: f64, high: f64) -> WireMax {
    WireMax { cautious: Amps::from_a(low), usual_most: Amps::from_a(high) }
}

/// By gauge.
pub const BY_GAUGE: [(i32, WireMax); 5] =
    [(18, max(7.5, 7.5)), (16, max(10.0, 15.0)), (14, max(15.0, 20.0)), (12, max(20.0, 30.0)), (10, max(30.0, 40.0))];

/// By nominal area, mm².
pub const BY_AREA: [(f64, WireMax); 5] = [
    (0.75, max(7.5, 7.5)),
    (1.5, max(15.0, 15.0)),
    (2.5, max(20.0, 20.0)),
    (4.0, max(30.0, 30.0)),
    (6.0, max(40.0, 40.0)),
];

/// Returns what a gauge may be fused at.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a gauge without a row.
pub fn gauge_max(gauge: i32) -> Result<WireMax, CalcError> {
    BY_GAUGE.iter().find(|row| row.0 == gauge).map(|row| row.1).ok_or_else(|| CalcError::NoSuchRow {
        field: "awg_code",
        key: gauge.to_string(),
        table: "fuse maxima by gauge",
        rows: BY_GAUGE.map(|row| row.0.to_string()).join(", "),
    })
}

/// Returns what a nominal area, mm², may be fused at.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for an area without a row.
pub fn area_max(mm2: f64) -> Result<WireMax, CalcError> {
    BY_AREA.iter().find(|row| row.0 == mm2).map(|row| row.1).ok_or_else(|| CalcError::NoSuchRow {
        field: "conductor_mm2",
        key: mm2.to_string(),
        table: "fuse maxima by area",
        rows: BY_AREA.map(|row| row.0.to_string()).join(", "),
    })
}
