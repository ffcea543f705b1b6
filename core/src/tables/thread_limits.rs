//! Limits of size of threads: what is left to shear when bolt and nut are both at their worst.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::thread::{Thread, ThreadSeries, ThreadSystem},
    units::Length,
};

/// Inch limits.
pub const INCH: Source = Source::new("ASME B1.1, classes 2A and 2B", "", Seen::FromMemory);
/// Metric limits; of M6, the least major and pitch diameter were seen in a catalogue.
pub const METRIC: Source = Source::new("ISO 965, classes 6g and 6H", "", Seen::FromMemory);

/// The diameters at which a thread is weakest against stripping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Least pitch diameter of the bolt, Es min or d2 min.
    pub bolt_pitch_min: Length,
    /// Least major diameter of the bolt, Ds min or d min.
    pub bolt_major_min: Length,
    /// Greatest pitch diameter of the nut, En max or D2 max.
    pub nut_pitch_max: Length,
    /// Greatest minor diameter of the nut, Kn max or D1 max.
    pub nut_minor_max: Length,
    /// Where they are printed.
    pub source: Source,
}

/// One coarse thread: nominal diameter, then the four limits, inches or millimetres as its table says.
pub type Row = (f64, [f64; 4]);

/// UNC, inches.
#[rustfmt::skip]
pub const ROWS_IN: &[Row] = &[
    (0.25,  [0.2127, 0.2408, 0.2224, 0.2070]),
    (0.375, [0.3287, 0.3643, 0.3401, 0.3210]),
    (0.5,   [0.4435, 0.4876, 0.4565, 0.4340]),
    (0.625, [0.5589, 0.6113, 0.5732, 0.5460]),
];

/// Metric coarse, millimetres.
#[rustfmt::skip]
pub const ROWS_MM: &[Row] = &[
    ( 6.0, [ 5.212,  5.794,  5.500,  5.153]),
    ( 8.0, [ 7.042,  7.760,  7.348,  6.912]),
    (10.0, [ 8.862,  9.732,  9.206,  8.676]),
    (12.0, [10.679, 11.701, 11.063, 10.441]),
    (16.0, [14.503, 15.682, 14.913, 14.210]),
];

/// Returns the limits of a coarse thread.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for a thread the tables do not hold; limits are never taken from a neighbour.
pub fn limits(thread: &Thread) -> Result<Limits, CalcError> {
    let (rows, unit, source): (_, fn(f64) -> Length, _) = match thread.system {
        ThreadSystem::Metric => (ROWS_MM, Length::from_mm, METRIC),
        ThreadSystem::Unified => (ROWS_IN, Length::from_in, INCH),
    };
    let row = rows.iter().find(|(diameter, _)| {
        thread.series == ThreadSeries::Coarse && (unit(*diameter) - thread.diameter).abs().mm() < 1e-4
    });
    let &(_, [bolt_pitch, bolt_major, nut_pitch, nut_minor]) = row.ok_or_else(|| CalcError::NoSuchRow {
        field: "thread",
        key: thread.to_string(),
        table: "thread limits of size, ISO 965 and ASME B1.1",
        rows: "M6, M8, M10, M12, M16, 1/4-20, 3/8-16, 1/2-13, 5/8-11; else give the four limits".to_owned(),
    })?;
    Ok(Limits {
        bolt_pitch_min: unit(bolt_pitch),
        bolt_major_min: unit(bolt_major),
        nut_pitch_max: unit(nut_pitch),
        nut_minor_max: unit(nut_minor),
        source,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_enclose_the_basic_profile() {
        for text in ["M6", "M8", "M10", "M12", "M16", "1/4-20", "3/8-16", "1/2-13", "5/8-11"] {
            let thread = Thread::read(text).unwrap();
            let limits = limits(&thread).unwrap();
            assert!(limits.bolt_pitch_min < thread.pitch_diameter(), "{text}");
            assert!(thread.pitch_diameter() < limits.nut_pitch_max, "{text}");
            assert!(limits.bolt_major_min < thread.diameter, "{text}");
            assert!(thread.internal_minor_diameter() < limits.nut_minor_max, "{text}");
            // Threads that do not overlap would hold nothing.
            assert!(limits.nut_minor_max < limits.bolt_pitch_min, "{text}");
            assert!(limits.nut_pitch_max < limits.bolt_major_min, "{text}");
        }
    }

    #[test]
    fn m6_is_as_seen_and_other_threads_are_refused() {
        // ISO 965 6g as reproduced in a catalogue (opened): M6 least major 5.794, least pitch 5.212.
        let limits_of = |text: &str| limits(&Thread::read(text).unwrap());
        let m6 = limits_of("M6").unwrap();
        let source = "ISO 965, 6g as reproduced in a catalogue, opened, M6";
        crate::calc::printed::prints(source, "5.794", m6.bolt_major_min.mm());
        crate::calc::printed::prints(source, "5.212", m6.bolt_pitch_min.mm());
        for text in ["M12x1.5", "M14", "1/2-20", "7/16-14"] {
            assert_eq!(limits_of(text).unwrap_err().field(), "thread", "{text}");
        }
    }
}
