//! Screw threads: what they measure, and what they carry.

mod designation;
#[cfg(test)]
mod handbook;

use std::f64::consts::PI;

use crate::basis::Source;
use crate::error::CalcError;
use crate::tables::{asme_b1_1, iso_261, iso_724};
use crate::units::{Angle, Area, Length, MM_PER_IN};

/// Which family of standards a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSystem {
    /// ISO metric, 60°, designated `M12x1.75`.
    Metric,
    /// Unified inch, 60°, designated `1/2-13 UNC`.
    Unified,
}

/// Which series of its system a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSeries {
    /// Metric coarse, or UNC.
    Coarse,
    /// The metric fine pitches that are selected for bolts, or UNF.
    Fine,
    /// Any other pitch of the diameter, listed or not.
    Special,
}

/// A screw thread: nominal diameter and pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// The family.
    pub system: ThreadSystem,
    /// The series.
    pub series: ThreadSeries,
    /// Nominal (major) diameter.
    pub diameter: Length,
    /// Pitch; 25.4 mm over the threads per inch for unified threads.
    pub pitch: Length,
}

/// Two lengths of a designation are the same when they differ by less than this, mm: a tenth of a micrometre.
const SAME_MM: f64 = 1e-4;

fn same(a: Length, b: Length) -> bool {
    (a - b).abs().mm() < SAME_MM
}

impl Thread {
    /// Builds a thread of any diameter and pitch, listed or not, and finds its series.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] when a measure is not above zero, or [`CalcError::Conflict`] when the pitch is too
    /// coarse to leave a core: the diameter must be above 1.3 times the pitch.
    pub fn new(system: ThreadSystem, diameter: Length, pitch: Length) -> Result<Self, CalcError> {
        for (field, value) in [("diameter_mm", diameter.mm()), ("pitch_mm", pitch.mm())] {
            if !(0.01..=1000.0).contains(&value) {
                return Err(CalcError::OutOfRange { field, value, unit: "mm", min: 0.01, max: 1000.0 });
            }
        }
        if diameter.mm() <= 1.3 * pitch.mm() {
            return Err(CalcError::Conflict {
                field: "pitch_mm",
                other: "diameter_mm",
                why: "the diameter must be more than 1.3 times the pitch, or no core is left",
            });
        }
        let series = series(system, diameter, pitch);
        Ok(Self { system, series, diameter, pitch })
    }

    /// Builds a metric thread from millimetres.
    ///
    /// # Errors
    ///
    /// As [`Thread::new`].
    pub fn metric(diameter_mm: f64, pitch_mm: f64) -> Result<Self, CalcError> {
        Self::new(ThreadSystem::Metric, Length::from_mm(diameter_mm), Length::from_mm(pitch_mm))
    }

    /// Builds a unified thread from inches and threads per inch.
    ///
    /// # Errors
    ///
    /// As [`Thread::new`].
    pub fn unified(diameter_in: f64, threads_per_inch: f64) -> Result<Self, CalcError> {
        Self::new(ThreadSystem::Unified, Length::from_in(diameter_in), Length::from_in(1.0 / threads_per_inch))
    }

    /// Returns every thread that the tables list, metric first, by diameter.
    pub fn all() -> impl Iterator<Item = Self> {
        let metric = iso_261::ROWS.iter().flat_map(|row| row.pitches_mm().map(|p| Self::metric(row.diameter_mm, p)));
        let unified =
            asme_b1_1::ROWS.iter().flat_map(|row| row.threads().map(|(n, _)| Self::unified(row.diameter_in, n)));
        metric.chain(unified).flatten()
    }

    /// Returns where its dimensions are published.
    #[must_use]
    pub const fn source(&self) -> Source {
        match self.system {
            ThreadSystem::Metric => iso_724::SOURCE,
            ThreadSystem::Unified => asme_b1_1::SOURCE,
        }
    }

    /// Returns where its stress area is published.
    #[must_use]
    pub const fn stress_area_source(&self) -> Source {
        match self.system {
            ThreadSystem::Metric => iso_724::STRESS_AREA,
            ThreadSystem::Unified => asme_b1_1::SOURCE,
        }
    }

    /// Returns the basic pitch diameter, `d2 = d − 0.649519 P`, of either system.
    #[must_use]
    pub fn pitch_diameter(&self) -> Length {
        self.diameter - iso_724::PITCH_DIAMETER * self.pitch
    }

    /// Returns the minor diameter of the external thread with a rounded root.
    ///
    /// Metric: `d3 = d − 1.226869 P` (ISO 724). Unified: `D − 1.3/n` (ASME B1.1, as its printed areas use it).
    #[must_use]
    pub fn minor_diameter(&self) -> Length {
        let depth = match self.system {
            ThreadSystem::Metric => iso_724::ROUNDED_ROOT,
            ThreadSystem::Unified => asme_b1_1::MINOR,
        };
        self.diameter - depth * self.pitch
    }

    /// Returns the basic minor diameter of the internal thread, `D1 = d − 1.082532 P`, of either system.
    #[must_use]
    pub fn internal_minor_diameter(&self) -> Length {
        self.diameter - iso_724::INTERNAL_MINOR * self.pitch
    }

    /// Returns the diameter of the stress area.
    ///
    /// Metric: `d0 = (d2 + d3)/2` (ISO 898-1). Unified: `D − 0.9743/n` (ASME B1.1).
    #[must_use]
    pub fn stress_diameter(&self) -> Length {
        match self.system {
            ThreadSystem::Metric => (self.pitch_diameter() + self.minor_diameter()) / 2.0,
            ThreadSystem::Unified => self.diameter - asme_b1_1::STRESS_DIAMETER * self.pitch,
        }
    }

    /// Returns the tensile stress area, `As = π/4 · d0²`, from [`Thread::stress_diameter`].
    #[must_use]
    pub fn stress_area(&self) -> Area {
        circle(self.stress_diameter())
    }

    /// Returns the area at the minor diameter, `A3 = π/4 · d3²`, from [`Thread::minor_diameter`].
    #[must_use]
    pub fn minor_area(&self) -> Area {
        circle(self.minor_diameter())
    }

    /// Returns the lead angle at the pitch diameter of a single start, `tan φ = P/(π d2)`.
    #[must_use]
    pub fn lead_angle(&self) -> Angle {
        Angle::from_rad((self.pitch / (PI * self.pitch_diameter())).atan())
    }

    /// Returns the threads per inch, of either system.
    #[must_use]
    pub fn threads_per_inch(&self) -> f64 {
        MM_PER_IN / self.pitch.mm()
    }

    /// Returns whether an inch and a metric thread start in each other and then jam or strip.
    ///
    /// They do when the diameters differ by less than 0.8 mm and the pitches by less than 0.35 mm
    /// (common practice, no source): 1/4 with M6, 5/16 with M8, 3/8 with M10, 1/2 with M12, 5/8 with M16.
    #[must_use]
    pub fn is_mistaken_for(&self, other: &Self) -> bool {
        self.system != other.system
            && (self.diameter - other.diameter).abs().mm() < 0.8
            && (self.pitch - other.pitch).abs().mm() < 0.35
    }

    /// Returns whether both have the same system, diameter and pitch, so that one runs on the other.
    #[must_use]
    pub fn mates(&self, other: &Self) -> bool {
        self.system == other.system && same(self.diameter, other.diameter) && same(self.pitch, other.pitch)
    }
}

fn circle(diameter: Length) -> Area {
    PI / 4.0 * (diameter * diameter)
}

/// Finds the series of a diameter and pitch; what no table lists is special.
fn series(system: ThreadSystem, diameter: Length, pitch: Length) -> ThreadSeries {
    let (coarse, fine) = match system {
        ThreadSystem::Metric => iso_261::ROWS
            .iter()
            .find(|row| same(Length::from_mm(row.diameter_mm), diameter))
            .map_or((false, false), |row| {
                let is = |&p: &f64| same(Length::from_mm(p), pitch);
                (is(&row.coarse_mm), row.fine_mm.iter().any(is))
            }),
        ThreadSystem::Unified => asme_b1_1::ROWS
            .iter()
            .find(|row| same(Length::from_in(row.diameter_in), diameter))
            .map_or((false, false), |row| {
                let is = |n: f64| same(Length::from_in(1.0 / n), pitch);
                (row.unc.is_some_and(is), row.unf.is_some_and(is))
            }),
    };
    match (coarse, fine) {
        (true, _) => ThreadSeries::Coarse,
        (false, true) => ThreadSeries::Fine,
        (false, false) => ThreadSeries::Special,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn no_core_is_refused() {
        assert_eq!(Thread::metric(1.3, 1.0).unwrap_err().field(), "pitch_mm");
        assert_eq!(Thread::metric(10.0, 0.0).unwrap_err().field(), "pitch_mm");
        assert_eq!(Thread::metric(10.0, -1.0).unwrap_err().field(), "pitch_mm");
        assert_eq!(Thread::metric(0.0, 1.0).unwrap_err().field(), "diameter_mm");
        for n in [0.0, -13.0, f64::NAN] {
            assert_eq!(Thread::unified(0.5, n).unwrap_err().field(), "pitch_mm", "{n}");
        }
        assert!(Thread::metric(f64::INFINITY, 1.0).is_err());
    }

    #[test]
    fn series_follow_the_tables() {
        use ThreadSeries::{Coarse, Fine, Special};
        for (d, p, series) in [(12.0, 1.75, Coarse), (12.0, 1.5, Fine), (12.0, 1.0, Special), (12.0, 1.6, Special)] {
            assert_eq!(Thread::metric(d, p).unwrap().series, series, "M{d}x{p}");
        }
        for (d, n, series) in [(0.5, 13.0, Coarse), (0.5, 20.0, Fine), (1.0, 14.0, Special), (2.0, 4.5, Coarse)] {
            assert_eq!(Thread::unified(d, n).unwrap().series, series, "{d}-{n}");
        }
    }

    #[test]
    fn inch_and_metric_look_alikes_are_caught() {
        // Common practice, no source.
        for (inch, metric) in
            [("1/4-20", "M6"), ("5/16-18", "M8"), ("3/8-16", "M10"), ("1/2-13", "M12"), ("5/8-11", "M16")]
        {
            let (inch, metric) = (Thread::read(inch).unwrap(), Thread::read(metric).unwrap());
            assert!(inch.is_mistaken_for(&metric) && metric.is_mistaken_for(&inch), "{inch} {metric}");
            assert!(!inch.mates(&metric));
        }
        let (a, b) = (Thread::read("3/8-16").unwrap(), Thread::read("M12").unwrap());
        assert!(!a.is_mistaken_for(&b));
        assert!(!a.is_mistaken_for(&a));
    }

    proptest! {
        #[test]
        fn areas_grow_with_diameter_and_shrink_with_pitch(
            d in 1.0..100.0_f64, share in 0.05..0.7_f64, more in 1.001..2.0_f64, metric: bool
        ) {
            let system = if metric { ThreadSystem::Metric } else { ThreadSystem::Unified };
            let thread = |d: f64, p: f64| Thread::new(system, Length::from_mm(d), Length::from_mm(p)).unwrap();
            let (p, base) = (d * share, thread(d, d * share));
            let wider = thread(d * more, p);
            prop_assert!(base.stress_area() < wider.stress_area());
            prop_assert!(base.minor_area() < wider.minor_area());
            let finer = thread(d, p / more);
            prop_assert!(base.stress_area() < finer.stress_area());
            prop_assert!(base.minor_area() < finer.minor_area());
            prop_assert!(finer.lead_angle() < base.lead_angle());
            prop_assert!(base.minor_diameter() < base.internal_minor_diameter());
            prop_assert!(base.minor_diameter() < base.stress_diameter());
            prop_assert!(base.stress_diameter() < base.pitch_diameter());
            prop_assert!(base.pitch_diameter() < base.diameter);
        }

        #[test]
        fn shape_does_not_depend_on_scale(d in 1.0..50.0_f64, share in 0.2..0.7_f64, k in 0.1..10.0_f64) {
            let one = Thread::metric(d, d * share).unwrap();
            let many = Thread::metric(d * k, d * share * k).unwrap();
            prop_assert!((many.stress_area() / one.stress_area() / (k * k) - 1.0).abs() < 1e-12);
            prop_assert!((many.lead_angle() / one.lead_angle() - 1.0).abs() < 1e-12);
        }
    }
}
