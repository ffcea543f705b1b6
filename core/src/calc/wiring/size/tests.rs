//! Worked examples through the whole circuit, and laws of the sizes.

use proptest::prelude::*;

use super::*;
use crate::calc::printed::prints;

/// The worked examples are derived on invented circuits; the figures are those of the reference sheet, section 6.3.
const WORKED: &str = "worked examples on invented circuits, derived";

fn brake() -> Circuit {
    Circuit {
        safety_relevant: Some(true),
        load: Some(Amps::from_a(12.0)),
        supply: Some(Volts::from_v(13.5)),
        length: Some(Length::from_m(7.5)),
        wire: Some(Wire::Awg(10)),
        celsius: Some(60.0),
        back: Some(ReturnPath::Wire),
        ..Circuit::default()
    }
}

fn sized(circuit: &Circuit) -> SizedCircuit {
    size(&Sizing::of(circuit).unwrap(), limit(circuit), FILL_CAUTIOUS).unwrap()
}

#[test]
fn the_brake_feed_needs_more_than_twelve_gauge() {
    let found = sized(&brake());
    prints(WORKED, "0.6826", found.given.unwrap().lost.v());
    prints(WORKED, "5.06", found.given.unwrap().share * 100.0);
    let lost = |gauge: i32| found.sizes.iter().find(|size| size.wire == Wire::Awg(gauge)).unwrap().drop.lost.v();
    prints(WORKED, "1.7258", lost(14));
    prints(WORKED, "1.0854", lost(12));
    prints(WORKED, "0.4293", lost(8));
    assert_eq!((found.wire.within, found.wire_up.unwrap().wire), (false, Wire::Awg(8)));
    // 12 A over 0.75 is 16 A: the 20 A step, which 10 gauge takes.
    assert_eq!(found.wire.fuse, Some(Amps::from_a(20.0)));
}

#[test]
fn three_per_cent_of_twelve_volts_take_ten_square_millimetres() {
    let found = sized(&Circuit { supply: Some(Volts::from_v(12.0)), ..brake() });
    prints(WORKED, "9.9756", found.area_needed.unwrap().mm2());
    let other = sized(&Circuit { supply: Some(Volts::from_v(12.0)), safety_relevant: Some(false), ..brake() });
    prints(WORKED, "2.9927", other.area_needed.unwrap().mm2());
}

#[test]
fn four_magnets_are_a_loop_to_be_solved() {
    let found = sized(&Circuit {
        load: None,
        load_resistance: Some(Ohms::from_ohm(3.2)),
        loads: Some(4),
        supply: Some(Volts::from_v(12.0)),
        wire: Some(Wire::Awg(12)),
        celsius: Some(20.0),
        ..brake()
    });
    let drop = found.solved.unwrap();
    prints(WORKED, "13.6649", drop.current.a());
    prints(WORKED, "10.9319", drop.at_load.v());
    assert_eq!((found.given, found.carried), (None, drop.current));
}

#[test]
fn everything_that_is_missing_is_named_at_once() {
    let all = ["awg_code", "length_mm", "conductor_c", "supply_v", "return_path", "load_a"];
    assert_eq!(Sizing::of(&Circuit::default()).unwrap_err(), all);
    let body = Circuit { back: Some(ReturnPath::Body), ..brake() };
    assert_eq!(Sizing::of(&body).unwrap_err(), ["joint_count"]);
    assert_eq!(limit(&Circuit::default()), DropLimit::SafetyRelevant);
}

#[test]
fn copper_of_unknown_insulation_is_not_fused_by_guess() {
    let found = sized(&Circuit { wire: Some(Wire::Geometric(Area::from_mm2(6.0))), ..brake() });
    assert_eq!((found.fuse.unwrap_err().field(), found.wire.most, found.wire.fuse), ("wire", None, None));
}

prop_compose! {
    fn circuits()(
        load in 0.05..40.0_f64, ohm in prop::option::of(0.2..200.0_f64), supply in 10.0..28.0_f64,
        metres in 0.2..20.0_f64, gauge in 2..10_i32, celsius in -20.0..120.0_f64,
        body in any::<bool>(), joints in 0..6_i32, safety in prop::option::of(any::<bool>()),
    ) -> Circuit {
        Circuit {
            safety_relevant: safety,
            load: Some(Amps::from_a(load)),
            load_resistance: ohm.map(Ohms::from_ohm),
            supply: Some(Volts::from_v(supply)),
            length: Some(Length::from_m(metres)),
            wire: Some(Wire::Awg(gauge * 2)),
            celsius: Some(celsius),
            back: Some(if body { ReturnPath::Body } else { ReturnPath::Wire }),
            joints: Some(joints),
            ..Circuit::default()
        }
    }
}

proptest! {
    /// A thicker wire of the same kind never loses more, never takes a smaller fuse.
    #[test]
    fn thicker_never_loses_more(circuit in circuits()) {
        let found = sized(&circuit);
        for pair in found.sizes.windows(2) {
            let [thin, thick] = pair else { continue };
            if matches!(thin.wire, Wire::Awg(_)) != matches!(thick.wire, Wire::Awg(_)) { continue; }
            // With a resistance the thicker wire lets more current flow and still loses no more.
            prop_assert!(thick.drop.lost <= thin.drop.lost + Volts::from_v(1e-12));
            if let (Some(thin), Some(thick)) = (thin.most, thick.most) {
                prop_assert!(thin.cautious <= thick.cautious);
            }
        }
    }

    /// The answers to the other questions, put back in, sit on the limit.
    #[test]
    fn length_and_current_that_keep_the_limit_sit_on_it(circuit in circuits()) {
        let circuit = Circuit { load_resistance: None, ..circuit };
        let found = sized(&circuit);
        let lost = |changed: Circuit| {
            Sizing::of(&changed).unwrap().given().ok().flatten().map(|drop| drop.share)
        };
        let share = limit(&circuit).share();
        if let Some(length) = found.length_limit.filter(|length| (0.001..100.0).contains(&length.m())) {
            let there = lost(Circuit { length: Some(length), ..circuit.clone() }).unwrap();
            prop_assert!((there - share).abs() < 1e-9, "{there}");
        }
        if let Some(current) = found.current_limit.filter(|current| (0.001..500.0).contains(&current.a())) {
            let there = lost(Circuit { load: Some(current), ..circuit.clone() }).unwrap();
            prop_assert!((there - share).abs() < 1e-9, "{there}");
        }
    }

    /// The smallest is the first that does: everything thinner of its kind does not.
    #[test]
    fn the_smallest_is_the_first_that_does(circuit in circuits()) {
        let found = sized(&circuit);
        for smallest in found.smallest() {
            prop_assert!(smallest.within && smallest.fuse <= smallest.most.map(|most| most.cautious));
            let kind = matches!(smallest.wire, Wire::Awg(_));
            let thinner = found.sizes.iter().filter(|size| matches!(size.wire, Wire::Awg(_)) == kind);
            for size in thinner.take_while(|size| size.wire != smallest.wire) {
                prop_assert!(!size.does());
            }
        }
    }
}
