//! Forces, torques, stresses and spring rates.

use super::super::{Quantity, Unit, UnitSystem};
use crate::units::{Force, Rate, Stress, Torque};

impl Quantity for Force {
    const FIELD: &'static str = "force";
    const WANTED: &'static str = "a force";
    const EXAMPLE: &'static str = "15.6 kN or 3500 lbf";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new("N", &["n", "newton", "newtons"], Self::from_n, Self::n, (4, 1)),
        Unit::new("kN", &["kn", "kilonewton", "kilonewtons"], Self::from_kn, Self::kn, (4, 2)),
        Unit::new(
            "lbf",
            &["lbf", "lb", "lbs", "pound", "pounds", "poundforce", "poundsforce"],
            Self::from_lbf,
            Self::lbf,
            (4, 1),
        ),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[
        ("kg", "a kilogram is a mass; write N, kN or lbf"),
        ("kgf", "kilograms-force are not used here; 1 kgf is 9.80665 N"),
        ("kp", "kiloponds are not used here; 1 kp is 9.80665 N"),
    ];

    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match system {
            UnitSystem::Us => &Self::UNITS[2],
            UnitSystem::Si if self.n().abs() < 1000.0 => &Self::UNITS[0],
            UnitSystem::Si => &Self::UNITS[1],
        }
    }
}

impl Quantity for Torque {
    const FIELD: &'static str = "torque";
    const WANTED: &'static str = "a torque";
    const EXAMPLE: &'static str = "75 lb-ft, 600 lb-in or 101.7 N·m";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new(
            "N·m",
            &["nm", "newtonmeter", "newtonmeters", "newtonmetre", "newtonmetres"],
            Self::from_n_m,
            Self::n_m,
            (4, 1),
        ),
        Unit::new(
            "lb-ft",
            &[
                "lbft",
                "lbsft",
                "lbfft",
                "ftlb",
                "ftlbs",
                "ftlbf",
                "footpound",
                "footpounds",
                "poundfoot",
                "poundfeet",
                "poundsfeet",
            ],
            Self::from_lb_ft,
            Self::lb_ft,
            (4, 1),
        ),
        Unit::new(
            "lb-in",
            &[
                "lbin",
                "lbsin",
                "lbfin",
                "inlb",
                "inlbs",
                "inlbf",
                "inchpound",
                "inchpounds",
                "poundinch",
                "poundinches",
            ],
            Self::from_lb_in,
            Self::lb_in,
            (4, 1),
        ),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[
        ("lb", "a torque needs its lever too; write lb-ft or lb-in"),
        ("lbs", "a torque needs its lever too; write lb-ft or lb-in"),
        ("lbf", "a torque needs its lever too; write lb-ft or lb-in"),
        ("ft", "a torque needs its force too; write lb-ft"),
        ("kgm", "kilogram metres are not used here; 1 kgf·m is 9.80665 N·m"),
        ("mkg", "kilogram metres are not used here; 1 kgf·m is 9.80665 N·m"),
        ("kgfm", "kilogram metres are not used here; 1 kgf·m is 9.80665 N·m"),
        ("lb/ft", "pounds per foot are no torque; write lb-ft"),
        ("ft/lb", "feet per pound are no torque; write lb-ft"),
    ];

    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match system {
            UnitSystem::Us => &Self::UNITS[1],
            UnitSystem::Si => &Self::UNITS[0],
        }
    }
}

impl Quantity for Stress {
    const FIELD: &'static str = "stress";
    const WANTED: &'static str = "a stress or pressure";
    const EXAMPLE: &'static str = "640 MPa, 92 ksi or 65 psi";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new("MPa", &["mpa", "n/mm²", "megapascal", "megapascals"], Self::from_mpa, Self::mpa, (3, 3)),
        Unit::new("kPa", &["kpa", "kilopascal", "kilopascals"], Self::from_kpa, Self::kpa, (3, 1)),
        Unit::new("ksi", &["ksi"], Self::from_ksi, Self::ksi, (4, 1)),
        Unit::new("psi", &["psi", "lbf/in²", "lb/in²"], Self::from_psi, Self::psi, (3, 1)),
        Unit::new("bar", &["bar", "bars"], |bar| Self::from_kpa(bar * 100.0), |stress| stress.kpa() / 100.0, (3, 2)),
        Unit::new("GPa", &["gpa", "kn/mm²"], |gpa| Self::from_mpa(gpa * 1e3), |stress| stress.mpa() / 1e3, (3, 3)),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[];

    // Ten megapascals part the pressure in a tyre from the stress in a bolt.
    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match (system, self.mpa().abs() < 10.0) {
            (UnitSystem::Us, true) => &Self::UNITS[3],
            (UnitSystem::Us, false) => &Self::UNITS[2],
            (UnitSystem::Si, true) => &Self::UNITS[1],
            (UnitSystem::Si, false) => &Self::UNITS[0],
        }
    }
}

impl Quantity for Rate {
    const FIELD: &'static str = "rate";
    const WANTED: &'static str = "a spring rate";
    const EXAMPLE: &'static str = "70 N/mm or 400 lbf/in";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new("N/mm", &["n/mm", "kn/m"], Self::from_n_per_mm, Self::n_per_mm, (3, 1)),
        Unit::new(
            "lbf/in",
            &["lbf/in", "lb/in", "lbs/in", "lbf/inch", "lb/inch", "lbs/inch", "lb/\""],
            Self::from_lbf_per_in,
            Self::lbf_per_in,
            (3, 1),
        ),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] =
        &[("lbin", "that is a torque; write lbf/in for a spring rate"), ("n/m", "write N/mm; 1 N/mm is 1000 N/m")];

    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match system {
            UnitSystem::Us => &Self::UNITS[1],
            UnitSystem::Si => &Self::UNITS[0],
        }
    }
}
