//! An invented van and trailer that the worked examples share. They say nothing about any real vehicle.

use crate::{
    calc::{
        axles::{AxleInput, Station},
        clearance::Wheels,
        sag::{AxleSpring, SagInput},
    },
    units::{Length, Mass, Rate},
};

pub const SOURCE: &str = "worked example on an invented van, derived";

pub const WHEELBASE: Length = Length::from_mm(3640.0);
pub const BALL: Length = Length::from_mm(3640.0 + 1280.0);
pub const TONGUE: Mass = Mass::from_kg(210.0);

pub const ITEMS: [Station; 4] = [at(150.0, 1450.0), at(400.0, 3300.0), at(38.0, 4650.0), at(9.0, 4900.0)];

pub const fn at(kg: f64, mm: f64) -> Station {
    Station { mass: Mass::from_kg(kg), station: Length::from_mm(mm) }
}

pub const fn axles(items: &[Station], tongue: Option<Mass>) -> AxleInput<'_> {
    AxleInput {
        wheelbase: WHEELBASE,
        kerb_front: Mass::from_kg(1250.0),
        kerb_rear: Mass::from_kg(1010.0),
        items,
        tongue: match tongue {
            Some(mass) => Some(Station { mass, station: BALL }),
            None => None,
        },
    }
}

pub const WHEELS: Wheels =
    Wheels { wheelbase: WHEELBASE, front_radius: Length::from_mm(345.0), rear_radius: Length::from_mm(345.0) };

pub const fn spring(suspension: f64) -> AxleSpring {
    AxleSpring {
        suspension: Rate::from_n_per_mm(suspension),
        tyre: Rate::from_n_per_mm(250.0),
        tyre_count: 2,
        self_levelling: false,
    }
}

pub fn sag_input(front_change: Mass, rear_change: Mass) -> SagInput {
    SagInput { wheels: WHEELS, front: spring(70.0), rear: spring(90.0), front_change, rear_change }
}
