//! Heads, holes, washers and nuts by size, whichever standard prints them.
//!
//! `None` means that no table here has the size; it is for the caller to ask for the measure, never to assume one.

use super::{asme_b18, iso_273, iso_4014, iso_4032, iso_7089};
use crate::basis::Source;
use crate::model::thread::{Thread, ThreadSystem};
use crate::units::Length;

/// How much room a clearance hole leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleSeries {
    /// Fine; inch: close, which no table here has.
    Fine,
    /// Medium; inch: normal. The usual one.
    Medium,
    /// Coarse; inch: loose, which no table here has.
    Coarse,
}

/// Which series of plain washers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WasherSeries {
    /// ISO 7089, metric.
    Iso,
    /// Narrow inch washers, sold as SAE.
    Narrow,
    /// Wide inch washers, sold as USS.
    Wide,
}

/// The measures of a plain washer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WasherSize {
    /// Inner diameter.
    pub inner: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Thickness.
    pub thickness: Length,
    /// Where the row was read.
    pub source: Source,
}

fn metric<'r, R>(rows: &'r [R], diameter_mm: impl Fn(&R) -> f64, thread: &Thread) -> Option<&'r R> {
    let d = thread.diameter.mm();
    rows.iter().find(|row| thread.system == ThreadSystem::Metric && (diameter_mm(row) - d).abs() < 1e-4)
}

fn inch(thread: &Thread) -> Option<&'static asme_b18::Row> {
    let d = thread.diameter.inches();
    asme_b18::ROWS.iter().find(|row| thread.system == ThreadSystem::Unified && (row.diameter_in - d).abs() < 1e-6)
}

/// Returns the least outer diameter of a hexagon head's bearing face (ISO 4014); metric only.
#[must_use]
pub fn bearing_diameter(thread: &Thread) -> Option<Length> {
    metric(iso_4014::ROWS, |row| row.diameter_mm, thread).map(|row| Length::from_mm(row.bearing_mm))
}

/// Returns the width across flats of a hexagon head (ISO 4014, ASME B18.2.1).
#[must_use]
pub fn across_flats(thread: &Thread) -> Option<Length> {
    let iso = metric(iso_4014::ROWS, |row| row.diameter_mm, thread).map(|row| Length::from_mm(row.across_flats_mm));
    iso.or_else(|| inch(thread).map(|row| Length::from_in(row.across_flats_in)))
}

/// Returns the clearance hole (ISO 273, ASME B18.2.8). Inch sizes have the medium series only.
#[must_use]
pub fn clearance_hole(thread: &Thread, series: HoleSeries) -> Option<Length> {
    if let Some(row) = metric(iso_273::ROWS, |row| row.diameter_mm, thread) {
        let [fine, medium, coarse] = row.holes_mm;
        return Some(Length::from_mm(match series {
            HoleSeries::Fine => fine,
            HoleSeries::Medium => medium,
            HoleSeries::Coarse => coarse,
        }));
    }
    inch(thread).filter(|_| series == HoleSeries::Medium).map(|row| Length::from_in(row.hole_in))
}

/// Returns the plain washer of a series that belongs to a thread.
#[must_use]
pub fn washer(thread: &Thread, series: WasherSeries) -> Option<WasherSize> {
    let size = |[inner, outer, thickness]: [f64; 3], source| WasherSize {
        inner: Length::from_in(inner),
        outer: Length::from_in(outer),
        thickness: Length::from_in(thickness),
        source,
    };
    match series {
        WasherSeries::Iso => metric(iso_7089::ROWS, |row| row.diameter_mm, thread).map(|row| {
            let [inner, outer, thickness] = row.washer_mm.map(Length::from_mm);
            WasherSize { inner, outer, thickness, source: row.source }
        }),
        WasherSeries::Narrow => inch(thread).map(|row| size(row.narrow_in, asme_b18::WASHERS)),
        WasherSeries::Wide => inch(thread).map(|row| size(row.wide_in, asme_b18::WASHERS)),
    }
}

/// Returns the height of a regular nut: greatest of ISO 4032, nominal of ASME B18.2.2.
#[must_use]
pub fn nut_height(thread: &Thread) -> Option<Length> {
    let iso = metric(iso_4032::ROWS, |row| row.diameter_mm, thread).map(|row| Length::from_mm(row.height_mm));
    iso.or_else(|| inch(thread).map(|row| Length::from_in(row.nut_in)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thread(text: &str) -> Thread {
        Thread::read(text).unwrap()
    }

    #[test]
    fn every_tabled_size_fits_its_bolt() {
        let tabled: Vec<_> =
            Thread::all().filter(|thread| clearance_hole(thread, HoleSeries::Medium).is_some()).collect();
        assert!(40 < tabled.len());
        for thread in tabled {
            let hole = clearance_hole(&thread, HoleSeries::Medium).unwrap();
            assert!(thread.diameter < hole, "{thread}");
            assert!(hole < across_flats(&thread).unwrap(), "{thread}");
            assert!(nut_height(&thread).unwrap() < thread.diameter, "{thread}");
            // A full nut is at least 0.8 d high (ISO 898-2, from memory).
            assert!(0.8 * thread.diameter < nut_height(&thread).unwrap(), "{thread}");
            if let Some(bearing) = bearing_diameter(&thread) {
                assert!(hole < bearing && bearing < across_flats(&thread).unwrap(), "{thread}");
                let [fine, coarse] =
                    [HoleSeries::Fine, HoleSeries::Coarse].map(|s| clearance_hole(&thread, s).unwrap());
                assert!(thread.diameter < fine && fine < hole && hole < coarse, "{thread}");
            }
            for series in [WasherSeries::Iso, WasherSeries::Narrow, WasherSeries::Wide] {
                if let Some(washer) = washer(&thread, series) {
                    assert!(thread.diameter < washer.inner && washer.inner < washer.outer, "{thread}");
                    assert!(washer.thickness < washer.inner, "{thread}");
                }
            }
        }
    }

    #[test]
    fn an_inch_washer_on_a_metric_bolt_leaves_the_known_gap() {
        // Derived from ASME B18.22.1 (from memory) and the nominal bolt: 1.49, 0.32 and 0.67 mm.
        for (inch, metric, gap) in [("1/2-13", "M12", 1.49), ("3/8-16", "M10", 0.32), ("5/8-11", "M16", 0.67)] {
            let inner = washer(&thread(inch), WasherSeries::Narrow).unwrap().inner;
            assert!(((inner - thread(metric).diameter).mm() - gap).abs() < 0.005, "{inch} on {metric}");
        }
    }

    #[test]
    fn sizes_without_a_row_have_no_figure() {
        for thread in ["M5", "M27", "1/4-20", "1-8"].map(thread) {
            assert_eq!(bearing_diameter(&thread), None);
            assert_eq!(across_flats(&thread), None);
            assert_eq!(nut_height(&thread), None);
            assert_eq!(clearance_hole(&thread, HoleSeries::Medium), None);
            for series in [WasherSeries::Iso, WasherSeries::Narrow, WasherSeries::Wide] {
                assert_eq!(washer(&thread, series), None);
            }
        }
        let half = thread("1/2-13");
        assert_eq!(bearing_diameter(&half), None);
        assert_eq!(clearance_hole(&half, HoleSeries::Fine), None);
        assert_eq!(washer(&half, WasherSeries::Iso), None);
        assert_eq!(washer(&thread("M12"), WasherSeries::Wide), None);
    }
}
