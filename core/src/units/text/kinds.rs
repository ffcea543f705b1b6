//! The units of each quantity, how they are written, and how many digits of them people want.

use super::{Quantity, Unit, UnitSystem};
use crate::units::{Amps, Angle, Force, Length, Mass, Rate, Stress, Torque, Volts};

impl Quantity for Length {
    const FIELD: &'static str = "length";
    const WANTED: &'static str = "a length";
    const EXAMPLE: &'static str = "21 5/8 in, 5 ft 6 in or 549 mm";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "mm",
            spellings: &["mm", "millimeter", "millimeters", "millimetre", "millimetres"],
            from: Self::from_mm,
            to: Self::mm,
            digits: (4, 2),
            minor: None,
        },
        Unit {
            name: "m",
            spellings: &["m", "meter", "meters", "metre", "metres"],
            from: Self::from_m,
            to: Self::m,
            digits: (4, 3),
            minor: None,
        },
        Unit {
            name: "in",
            spellings: &["in", "inch", "inches", "\"", "''"],
            from: Self::from_in,
            to: Self::inches,
            digits: (4, 3),
            minor: None,
        },
        Unit {
            name: "ft",
            spellings: &["ft", "foot", "feet", "'"],
            from: Self::from_ft,
            to: Self::ft,
            digits: (4, 2),
            minor: Some(("in", 12.0)),
        },
        Unit {
            name: "cm",
            spellings: &["cm", "centimeter", "centimeters", "centimetre", "centimetres"],
            from: |cm| Self::from_mm(cm * 10.0),
            to: |length| length.mm() / 10.0,
            digits: (4, 2),
            minor: None,
        },
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[];

    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match system {
            UnitSystem::Us => &Self::UNITS[2],
            UnitSystem::Si => &Self::UNITS[0],
        }
    }
}

impl Quantity for Mass {
    const FIELD: &'static str = "mass";
    const WANTED: &'static str = "a mass";
    const EXAMPLE: &'static str = "7,500 lb, 13 lb 4 oz or 3400 kg";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "kg",
            spellings: &["kg", "kgs", "kilogram", "kilograms", "kilo", "kilos"],
            from: Self::from_kg,
            to: Self::kg,
            digits: (4, 1),
            minor: None,
        },
        Unit {
            name: "t",
            spellings: &["t", "tonne", "tonnes"],
            from: Self::from_t,
            to: Self::t,
            digits: (4, 3),
            minor: None,
        },
        Unit {
            name: "lb",
            spellings: &["lb", "lbs", "lbm", "pound", "pounds", "#"],
            from: Self::from_lb,
            to: Self::lb,
            digits: (4, 1),
            minor: Some(("oz", 16.0)),
        },
        Unit {
            name: "oz",
            spellings: &["oz", "ozs", "ounce", "ounces"],
            from: |oz| Self::from_lb(oz / 16.0),
            to: |mass| mass.lb() * 16.0,
            digits: (4, 1),
            minor: None,
        },
        Unit {
            name: "g",
            spellings: &["g", "gram", "grams", "gramme", "grammes"],
            from: |g| Self::from_kg(g / 1000.0),
            to: |mass| mass.kg() * 1000.0,
            digits: (4, 1),
            minor: None,
        },
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[
        ("ton", "a ton is 2000 lb, 2240 lb or 1000 kg; write lb, kg, or t for tonnes"),
        ("tons", "a ton is 2000 lb, 2240 lb or 1000 kg; write lb, kg, or t for tonnes"),
    ];

    fn shown_in(self, system: UnitSystem) -> &'static Unit<Self> {
        match system {
            UnitSystem::Us => &Self::UNITS[2],
            UnitSystem::Si => &Self::UNITS[0],
        }
    }
}

impl Quantity for Force {
    const FIELD: &'static str = "force";
    const WANTED: &'static str = "a force";
    const EXAMPLE: &'static str = "15.6 kN or 3500 lbf";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "N",
            spellings: &["n", "newton", "newtons"],
            from: Self::from_n,
            to: Self::n,
            digits: (4, 1),
            minor: None,
        },
        Unit {
            name: "kN",
            spellings: &["kn", "kilonewton", "kilonewtons"],
            from: Self::from_kn,
            to: Self::kn,
            digits: (4, 2),
            minor: None,
        },
        Unit {
            name: "lbf",
            spellings: &["lbf", "lb", "lbs", "pound", "pounds", "poundforce", "poundsforce"],
            from: Self::from_lbf,
            to: Self::lbf,
            digits: (4, 1),
            minor: None,
        },
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
        Unit {
            name: "N·m",
            spellings: &["nm", "newtonmeter", "newtonmeters", "newtonmetre", "newtonmetres"],
            from: Self::from_n_m,
            to: Self::n_m,
            digits: (4, 1),
            minor: None,
        },
        Unit {
            name: "lb-ft",
            spellings: &[
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
            from: Self::from_lb_ft,
            to: Self::lb_ft,
            digits: (4, 1),
            minor: None,
        },
        Unit {
            name: "lb-in",
            spellings: &[
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
            from: Self::from_lb_in,
            to: Self::lb_in,
            digits: (4, 1),
            minor: None,
        },
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
        Unit {
            name: "MPa",
            spellings: &["mpa", "n/mm²", "megapascal", "megapascals"],
            from: Self::from_mpa,
            to: Self::mpa,
            digits: (3, 3),
            minor: None,
        },
        Unit {
            name: "kPa",
            spellings: &["kpa", "kilopascal", "kilopascals"],
            from: Self::from_kpa,
            to: Self::kpa,
            digits: (3, 1),
            minor: None,
        },
        Unit { name: "ksi", spellings: &["ksi"], from: Self::from_ksi, to: Self::ksi, digits: (4, 1), minor: None },
        Unit {
            name: "psi",
            spellings: &["psi", "lbf/in²", "lb/in²"],
            from: Self::from_psi,
            to: Self::psi,
            digits: (3, 1),
            minor: None,
        },
        Unit {
            name: "bar",
            spellings: &["bar", "bars"],
            from: |bar| Self::from_kpa(bar * 100.0),
            to: |stress| stress.kpa() / 100.0,
            digits: (3, 2),
            minor: None,
        },
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

impl Quantity for Angle {
    const FIELD: &'static str = "angle";
    const WANTED: &'static str = "an angle";
    const EXAMPLE: &'static str = "11.5° or 11.5 deg";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "rad",
            spellings: &["rad", "radian", "radians"],
            from: Self::from_rad,
            to: Self::rad,
            digits: (4, 4),
            minor: None,
        },
        Unit {
            name: "°",
            spellings: &["°", "deg", "degs", "degree", "degrees"],
            from: Self::from_deg,
            to: Self::deg,
            digits: (3, 1),
            minor: None,
        },
    ];
    const REFUSED: &'static [(&'static str, &'static str)] =
        &[("°c", "that is a temperature"), ("°f", "that is a temperature"), ("'", "write an angle in decimal degrees")];

    fn shown_in(self, _: UnitSystem) -> &'static Unit<Self> {
        &Self::UNITS[1]
    }
}

impl Quantity for Rate {
    const FIELD: &'static str = "rate";
    const WANTED: &'static str = "a spring rate";
    const EXAMPLE: &'static str = "70 N/mm or 400 lbf/in";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "N/mm",
            spellings: &["n/mm", "kn/m"],
            from: Self::from_n_per_mm,
            to: Self::n_per_mm,
            digits: (3, 1),
            minor: None,
        },
        Unit {
            name: "lbf/in",
            spellings: &["lbf/in", "lb/in", "lbs/in", "lbf/inch", "lb/inch", "lbs/inch", "lb/\""],
            from: Self::from_lbf_per_in,
            to: Self::lbf_per_in,
            digits: (3, 1),
            minor: None,
        },
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

impl Quantity for Volts {
    const FIELD: &'static str = "voltage";
    const WANTED: &'static str = "a voltage";
    const EXAMPLE: &'static str = "12.6 V";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "V",
            spellings: &["v", "volt", "volts", "vdc"],
            from: Self::from_v,
            to: Self::v,
            digits: (3, 2),
            minor: None,
        },
        // Millivolts are written `mV`; folding case would take MV for them, but no vehicle has megavolts.
        Unit {
            name: "mV",
            spellings: &["mv", "millivolt", "millivolts"],
            from: |mv| Self::from_v(mv / 1000.0),
            to: |volts| volts.v() * 1000.0,
            digits: (3, 1),
            minor: None,
        },
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[];

    fn shown_in(self, _: UnitSystem) -> &'static Unit<Self> {
        &Self::UNITS[0]
    }
}

impl Quantity for Amps {
    const FIELD: &'static str = "current";
    const WANTED: &'static str = "a current";
    const EXAMPLE: &'static str = "7.5 A";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            name: "A",
            spellings: &["a", "amp", "amps", "ampere", "amperes"],
            from: Self::from_a,
            to: Self::a,
            digits: (3, 2),
            minor: None,
        },
        Unit {
            name: "mA",
            spellings: &["ma", "milliamp", "milliamps"],
            from: |ma| Self::from_a(ma / 1000.0),
            to: |amps| amps.a() * 1000.0,
            digits: (3, 1),
            minor: None,
        },
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[];

    fn shown_in(self, _: UnitSystem) -> &'static Unit<Self> {
        &Self::UNITS[0]
    }
}
