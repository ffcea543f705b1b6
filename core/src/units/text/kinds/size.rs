//! Lengths, masses and angles.

use super::super::{Quantity, Unit, UnitSystem};
use crate::units::{Angle, Length, Mass};

impl Quantity for Length {
    const FIELD: &'static str = "length";
    const WANTED: &'static str = "a length";
    const EXAMPLE: &'static str = "21 5/8 in, 5 ft 6 in or 549 mm";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new(
            "mm",
            &["mm", "millimeter", "millimeters", "millimetre", "millimetres"],
            Self::from_mm,
            Self::mm,
            (4, 2),
        ),
        Unit::new("m", &["m", "meter", "meters", "metre", "metres"], Self::from_m, Self::m, (4, 3)),
        Unit::new("in", &["in", "inch", "inches", "\"", "''"], Self::from_in, Self::inches, (4, 3)),
        Unit::new("ft", &["ft", "foot", "feet", "'"], Self::from_ft, Self::ft, (4, 2)).followed_by("in", 12.0),
        Unit::new(
            "cm",
            &["cm", "centimeter", "centimeters", "centimetre", "centimetres"],
            |cm| Self::from_mm(cm * 10.0),
            |length| length.mm() / 10.0,
            (4, 2),
        ),
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
        Unit::new("kg", &["kg", "kgs", "kilogram", "kilograms", "kilo", "kilos"], Self::from_kg, Self::kg, (4, 1)),
        Unit::new("t", &["t", "tonne", "tonnes"], Self::from_t, Self::t, (4, 3)),
        Unit::new("lb", &["lb", "lbs", "lbm", "pound", "pounds", "#"], Self::from_lb, Self::lb, (4, 1))
            .followed_by("oz", 16.0),
        Unit::new(
            "oz",
            &["oz", "ozs", "ounce", "ounces"],
            |oz| Self::from_lb(oz / 16.0),
            |mass| mass.lb() * 16.0,
            (4, 1),
        ),
        Unit::new(
            "g",
            &["g", "gram", "grams", "gramme", "grammes"],
            |g| Self::from_kg(g / 1000.0),
            |mass| mass.kg() * 1000.0,
            (4, 1),
        ),
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

impl Quantity for Angle {
    const FIELD: &'static str = "angle";
    const WANTED: &'static str = "an angle";
    const EXAMPLE: &'static str = "11.5° or 11.5 deg";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new("rad", &["rad", "radian", "radians"], Self::from_rad, Self::rad, (4, 4)),
        Unit::new("°", &["°", "deg", "degs", "degree", "degrees"], Self::from_deg, Self::deg, (3, 1)),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] =
        &[("°c", "that is a temperature"), ("°f", "that is a temperature"), ("'", "write an angle in decimal degrees")];

    fn shown_in(self, _: UnitSystem) -> &'static Unit<Self> {
        &Self::UNITS[1]
    }
}
