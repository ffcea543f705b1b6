//! Voltages and currents.

use super::super::{Quantity, Unit, UnitSystem};
use crate::units::{Amps, Volts};

impl Quantity for Volts {
    const FIELD: &'static str = "voltage";
    const WANTED: &'static str = "a voltage";
    const EXAMPLE: &'static str = "12.6 V";
    const UNITS: &'static [Unit<Self>] = &[
        Unit::new("V", &["v", "volt", "volts", "vdc"], Self::from_v, Self::v, (3, 2)),
        // Millivolts are written `mV`; folding case would take MV for them, but no vehicle has megavolts.
        Unit::new(
            "mV",
            &["mv", "millivolt", "millivolts"],
            |mv| Self::from_v(mv / 1000.0),
            |volts| volts.v() * 1000.0,
            (3, 1),
        ),
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
        Unit::new("A", &["a", "amp", "amps", "ampere", "amperes"], Self::from_a, Self::a, (3, 2)),
        Unit::new(
            "mA",
            &["ma", "milliamp", "milliamps"],
            |ma| Self::from_a(ma / 1000.0),
            |amps| amps.a() * 1000.0,
            (3, 1),
        ),
    ];
    const REFUSED: &'static [(&'static str, &'static str)] = &[];

    fn shown_in(self, _: UnitSystem) -> &'static Unit<Self> {
        &Self::UNITS[0]
    }
}
