//! What people write: quantities, designations, numbers of vehicles.

use baybook_core::{
    calc::{tyres::Designation, vin},
    model::{
        fastener::{BoltClass, NutClass},
        thread::Thread,
        vehicle::Market,
    },
    units::{
        Amps, Angle, Force, Length, Mass, Rate, Stress, Torque, Volts,
        text::{self, Quantity},
    },
};

use crate::engine::{lines, mutate_text, run};

const UNITS: [&str; 30] = [
    "lb-ft", "N·m", "in", "mm", "kg", "lb", "kN", "MPa", "ksi", "°", "deg", "%", "V", "A", "t", "ft", "\"", "'", "/",
    " ", "-", ",", ".", "e", "E9", "½", "\u{a0}", "−", "×", "m",
];

const LETTERS: [&str; 20] = [
    "M", "x", "UNC", "UNF", "UNEF", "#", "-", "/", "R", "C", "LT", "P", "ST", " ", ".", ",", "10.9", "A4-80", "I", "O",
];

/// What is read again from what is printed of it is the same, for whatever can be read at all.
fn round_trip<Q: Quantity>(written: &str) {
    if let Ok(read) = text::read::<Q>(written) {
        let again = text::read::<Q>(&text::exact(read));
        assert!(again.is_ok(), "{written:?} is read, and its own print {:?} is not", text::exact(read));
    }
}

#[test]
fn fuzz_quantities() {
    let corpus = lines(include_str!("../../fuzz/corpus/quantities.txt"));
    run("quantities", |dice| {
        let written = mutate_text(dice, &corpus, &UNITS);
        round_trip::<Length>(&written);
        round_trip::<Mass>(&written);
        round_trip::<Angle>(&written);
        round_trip::<Force>(&written);
        round_trip::<Torque>(&written);
        round_trip::<Stress>(&written);
        round_trip::<Rate>(&written);
        round_trip::<Volts>(&written);
        round_trip::<Amps>(&written);
        let _ = text::split_header(&written);
    });
}

#[test]
fn fuzz_designations() {
    let corpus = lines(include_str!("../../fuzz/corpus/designations.txt"));
    run("designations", |dice| {
        let written = mutate_text(dice, &corpus, &LETTERS);
        let _ = Thread::read(&written);
        let _ = BoltClass::read(&written);
        let _ = NutClass::read(&written);
        let _ = Designation::read(&written);
    });
}

#[test]
fn fuzz_vehicle_numbers() {
    let corpus = lines(include_str!("../../fuzz/corpus/designations.txt"));
    run("vehicle numbers", |dice| {
        let written = mutate_text(dice, &corpus, &LETTERS);
        if let Ok(number) = vin::Vin::read(&written) {
            let _ = (number.check(), number.whole_maker());
            for light in [Some(true), Some(false), None] {
                let _ = number.model_years(light).map(|years| years.candidates(2_026));
            }
        }
        for market in [None, Some(Market::NorthAmerica), Some(Market::Europe)] {
            for free_serial in [true, false] {
                let context = vin::reading::VinContext { market, light: None, free_serial };
                let _ = vin::reading::read_in(&written, context);
            }
        }
    });
}
