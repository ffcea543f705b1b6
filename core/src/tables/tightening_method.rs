//! How far preload scatters by method of tightening.

use crate::basis::{Seen, Source};

/// The scatter printed by method; its reprint breaks off at the last row.
pub const SOURCE: Source = Source::new("VDI 2230 part 1, tolerances by tightening method", "1986", Seen::Opened);
/// The tightening factors of later printings.
pub const FACTORS: Source = Source::new("VDI 2230 part 1, table A8", "", Seen::FromMemory);
/// The greatest scatter of all, ±60 %.
pub const OVERALL: Source = Source::new("VDI 2230 part 1, tightening factor", "2001", Seen::Opened);

/// A way to tighten.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Elongation measured by ultrasound.
    Ultrasonic,
    /// Into yield, by hand or motor.
    YieldControlled,
    /// Through an angle.
    AngleControlled,
    /// Pulled by hydraulics, the nut run down.
    HydraulicTension,
    /// Torque wrench, the torque found by trial on the very joint.
    TorqueByTrial,
    /// Torque wrench, the torque from estimated friction.
    TorqueByEstimate,
    /// Precision power screwdriver.
    PowerScrewdriver,
    /// Impact wrench without control. No control at all: never a way to tighten a towing part.
    Impact,
}

/// One method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The method.
    pub method: Method,
    /// Its stable name.
    pub id: &'static str,
    /// Plus or minus this share of preload: the good end and the bad end.
    pub scatter: [f64; 2],
    /// Where each end was read.
    pub scatter_seen: [Seen; 2],
    /// Tightening factor: least and greatest.
    pub factor: [f64; 2],
}

use Seen::{FromMemory, Opened};

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row(Method::Ultrasonic,       "ultrasonic",         [0.02, 0.10], [FromMemory, FromMemory], [1.05, 1.2]),
    row(Method::YieldControlled,  "yield-controlled",   [0.05, 0.12], [Opened, Opened],         [1.2, 1.4]),
    row(Method::AngleControlled,  "angle-controlled",   [0.05, 0.12], [Opened, Opened],         [1.2, 1.4]),
    row(Method::HydraulicTension, "hydraulic-tension",  [0.09, 0.23], [Opened, Opened],         [1.2, 1.6]),
    row(Method::TorqueByTrial,    "torque-by-trial",    [0.17, 0.23], [Opened, Opened],         [1.4, 1.6]),
    row(Method::TorqueByEstimate, "torque-by-estimate", [0.23, 0.28], [Opened, Opened],         [1.6, 2.5]),
    row(Method::PowerScrewdriver, "power-screwdriver",  [0.26, 0.43], [Opened, Opened],         [1.7, 2.5]),
    row(Method::Impact,           "impact",             [0.43, 0.60], [FromMemory, Opened],     [2.5, 4.0]),
];

const fn row(method: Method, id: &'static str, scatter: [f64; 2], scatter_seen: [Seen; 2], factor: [f64; 2]) -> Row {
    Row { method, id, scatter, scatter_seen, factor }
}

impl Method {
    /// Returns the row of this method.
    #[must_use]
    pub fn row(self) -> Option<&'static Row> {
        ROWS.iter().find(|row| row.method == self)
    }
}

/// Preload variation Γ by method where it was not tested, plus or minus; nobody opened the table.
pub const VARIATIONS_SOURCE: Source =
    Source::new("NASA-STD-5020B and NSTS 08307, section 3.4, preload variation", "", Seen::FromMemory);

/// What is done, and the variation it is given.
#[rustfmt::skip]
pub const VARIATIONS: &[(&str, f64)] = &[
    ("torque wrench, unlubricated",     0.35),
    ("torque wrench, lubricated",       0.25),
    ("hydraulic tensioner",             0.15),
    ("ultrasonic or indicating washer", 0.10),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// VDI 2230:1986 as reprinted (opened; ultrasonic and the good end of impact from memory), percent; VDI 2230 table A8
    /// (from memory); ±60 % also VDI 2230:2001 (opened).
    #[rustfmt::skip]
    const PRINTED: &[(Method, [f64; 2], [f64; 2])] = &[
        (Method::Ultrasonic,       [ 2.0, 10.0], [1.05, 1.2]),
        (Method::YieldControlled,  [ 5.0, 12.0], [1.2,  1.4]),
        (Method::AngleControlled,  [ 5.0, 12.0], [1.2,  1.4]),
        (Method::HydraulicTension, [ 9.0, 23.0], [1.2,  1.6]),
        (Method::TorqueByTrial,    [17.0, 23.0], [1.4,  1.6]),
        (Method::TorqueByEstimate, [23.0, 28.0], [1.6,  2.5]),
        (Method::PowerScrewdriver, [26.0, 43.0], [1.7,  2.5]),
        (Method::Impact,           [43.0, 60.0], [2.5,  4.0]),
    ];

    #[test]
    fn rows_are_the_printed_ones() {
        assert_eq!(PRINTED.len(), ROWS.len());
        for (method, percent, factor) in PRINTED {
            let row = method.row().unwrap();
            assert_eq!(row.scatter.map(|share| (share * 100.0).round()), *percent, "{}", row.id);
            assert_eq!(row.factor, *factor, "{}", row.id);
        }
    }

    #[test]
    fn better_methods_scatter_less_and_every_method_has_its_row() {
        for row in ROWS {
            assert_eq!(row.method.row(), Some(row));
            assert!(row.scatter[0] < row.scatter[1] && row.factor[0] < row.factor[1], "{}", row.id);
        }
        assert!(ROWS.iter().map(|row| row.scatter[1]).collect::<Vec<_>>().is_sorted());
        assert!(VARIATIONS.iter().rev().map(|row| row.1).is_sorted());
    }
}
