//! Printed tables and worked figures.

use super::{
    drop::{BULB_SHARE, area_for_drop, drop_with_load, side_by_side},
    fuse::{FusePlace, check_fuse, place},
    pins::{Between, connect, converter_needed},
    *,
};
use crate::{
    basis::Seen,
    calc::printed::{prints, says},
    model::wiring::Socket,
    tables::{
        awg,
        connectors::{Conductor, Function, pin, pins},
        fuses::{self, STEPS},
        iso_6722,
        lamp_loads::{Load, draw, total},
    },
    units::{Amps, Area, Length, Ohms, Volts},
};

const GAUGES: &str = "ASTM B258 gauge formula and NBS Handbook 100 copper, opened; figure derived";

/// Gauge; diameter, mm; area, mm²; Ω/km at 20 °C; Ω per 1000 ft; Ω/km at 60 and 85 °C.
#[rustfmt::skip]
const WIRES: &[(i32, [&str; 6])] = &[
    (20, ["0.8118",  "0.5176", "33.3083", "10.1524", "38.5443", "41.8169"]),
    (18, ["1.0237",  "0.8230", "20.9478",  "6.3849", "24.2408", "26.2989"]),
    (16, ["1.2908",  "1.3087", "13.1742",  "4.0155", "15.2452", "16.5395"]),
    (14, ["1.6277",  "2.0809",  "8.2853",  "2.5254",  "9.5878", "10.4018"]),
    (12, ["2.0525",  "3.3088",  "5.2107",  "1.5882",  "6.0298",  "6.5418"]),
    (10, ["2.5882",  "5.2612",  "3.2770",  "0.9988",  "3.7922",  "4.1142"]),
    ( 8, ["3.2636",  "8.3656",  "2.0609",  "0.6282",  "2.3849",  "2.5874"]),
    ( 6, ["4.1154", "13.3018",  "1.2961",  "0.3951",  "1.4999",  "1.6272"]),
    ( 4, ["5.1894", "21.1506",  "0.8152",  "0.2485",  "0.9433",  "1.0234"]),
];

#[test]
fn gauges_are_the_printed_ones() {
    for &(gauge, [d, area, cold, feet, warm, hot]) in WIRES {
        let source = format!("{GAUGES}, gauge {gauge}");
        let per_km = |celsius| Wire::Awg(gauge).resistance_per_metre(celsius).unwrap().ohm() * 1000.0;
        prints(&source, d, awg::diameter(gauge).unwrap().mm());
        prints(&source, area, awg::area(gauge).unwrap().mm2());
        prints(&source, cold, per_km(20.0));
        prints(&source, feet, per_km(20.0) * 0.3048);
        prints(&source, warm, per_km(60.0));
        prints(&source, hot, per_km(85.0));
    }
}

/// Nominal area, mm²; greatest resistance, mΩ/m.
#[rustfmt::skip]
const CABLES: &[(f64, &str)] = &[
    (0.5, "37.1"), (0.75, "24.7"), (1.0, "18.5"), (1.5, "12.7"), (2.0, "9.42"), (2.5, "7.60"), (3.0, "6.15"),
    (4.0, "4.71"), (5.0, "3.94"), (6.0, "3.14"), (10.0, "1.82"), (16.0, "1.16"),
];

#[test]
fn cables_are_the_printed_ones_and_resist_more_than_their_area() {
    for &(mm2, printed) in CABLES {
        let area = Area::from_mm2(mm2);
        let cable = Wire::Metric(area).resistance_per_metre(20.0).unwrap().ohm();
        prints("ISO 6722-1, from memory", printed, cable * 1000.0);
        assert!(cable > Wire::Geometric(area).resistance_per_metre(20.0).unwrap().ohm() * 0.99, "{mm2}");
    }
    assert_eq!(iso_6722::resistance_per_metre(Area::from_mm2(1.2)).unwrap_err().field(), "conductor_mm2");
    // 1.5 mm² lies between 16 and 14.
    assert!(awg::area(16).unwrap().mm2() < 1.5 && 1.5 < awg::area(14).unwrap().mm2());
}

fn run(wire: Wire, metres: f64, celsius: f64) -> Run {
    Run { wire, length: Length::from_m(metres), celsius, back: Return::Wire(wire) }
}

fn lost(wire: Wire, a: f64, metres: f64, celsius: f64, supply: f64) -> Drop {
    drop(&run(wire, metres, celsius), Amps::from_a(a), Volts::from_v(supply)).unwrap()
}

const OHM: &str = "Ohm's law on the gauge table, derived";

#[test]
fn drops_are_the_printed_ones() {
    for (gauge, volts, share) in
        [(14, "1.7258", "12.78"), (12, "1.0854", "8.04"), (10, "0.6826", "5.06"), (8, "0.4293", "3.18")]
    {
        let brake = lost(Wire::Awg(gauge), 12.0, 7.5, 60.0, 13.5);
        prints(OHM, volts, brake.lost.v());
        prints(OHM, share, brake.share * 100.0);
    }
    for (gauge, volts) in [(18, "1.4234"), (16, "0.8952"), (14, "0.5630")] {
        prints(OHM, volts, lost(Wire::Awg(gauge), 3.5, 9.0, 40.0, 12.0).lost.v());
    }
    for (mm2, geometric, cable) in [(1.5, "0.6896", "0.7620"), (2.5, "0.4138", "0.4560")] {
        let area = Area::from_mm2(mm2);
        prints(OHM, geometric, lost(Wire::Geometric(area), 5.0, 6.0, 20.0, 12.0).lost.v());
        prints(
            "ISO 6722-1, from memory; figure derived",
            cable,
            lost(Wire::Metric(area), 5.0, 6.0, 20.0, 12.0).lost.v(),
        );
    }
    let charge = lost(Wire::Awg(10), 20.0, 8.0, 60.0, 12.0);
    prints(OHM, "1.2135", charge.lost.v());
    prints(OHM, "10.11", charge.share * 100.0);
    assert!(!charge.within(DropLimit::Other));
    for (share, mm2) in [(0.03, "9.9756"), (0.10, "2.9927")] {
        let area = area_for_drop(Amps::from_a(12.0), Length::from_m(7.5), 60.0, Volts::from_v(12.0 * share)).unwrap();
        prints(OHM, mm2, area.mm2());
    }
}

#[test]
fn magnets_get_what_is_printed() {
    let four = side_by_side(Ohms::from_ohm(3.2), 4).unwrap();
    prints(OHM, "0.8", four.ohm());
    // 15 m of wire in the loop: 7.5 m out, 7.5 m back.
    let solved = drop_with_load(&run(Wire::Awg(12), 7.5, 20.0), four, Volts::from_v(12.0)).unwrap();
    prints(OHM, "13.6649", solved.current.a());
    prints(OHM, "10.9319", solved.at_load.v());
    // The same as one rung of a ladder.
    let tap = Tap { at: Length::from_m(7.5), load: four };
    let rung = ladder(Volts::from_v(12.0), Wire::Awg(12), 20.0, &[tap]).unwrap();
    prints(OHM, "13.6649", rung.total.a());
    prints(OHM, "10.9319", rung.volts[0].v());
}

#[test]
fn limits_are_the_printed_ones() {
    let source = "marine wiring tables, opened";
    prints(source, "3", DropLimit::SafetyRelevant.share() * 100.0);
    prints(source, "10", DropLimit::Other.share() * 100.0);
    let source = "California title 13 section 1249, opened; figure derived";
    prints(source, "10.88", 12.8 * BULB_SHARE);
    let bulb = |supply: f64| lost(Wire::Awg(18), 2.1, 5.0, 20.0, supply);
    assert!(bulb(12.8).lights(Volts::from_v(12.8)) && !bulb(11.0).lights(Volts::from_v(12.8)));
}

/// Load; amperes as printed; source.
#[rustfmt::skip]
const DRAWS: &[(Load, &str, &str)] = &[
    (Load::StopTurnFilament, "2.10",   "SAE J573, from memory"),
    (Load::TailFilament,     "0.59",   "SAE J573, from memory"),
    (Load::WedgeMarker,      "0.27",   "SAE J573, from memory"),
    (Load::P21w,             "1.75",   "UN Regulation 37, from memory"),
    (Load::FiveWatt,         "0.4167", "UN Regulation 37, from memory"),
    (Load::BrakeMagnet,      "3.0",    "a brake maker's table as quoted, opened"),
    (Load::SmallBrakeMagnet, "2.5",    "a brake maker's table as quoted, opened"),
];

#[test]
fn loads_draw_what_is_printed() {
    for &(load, printed, source) in DRAWS {
        prints(source, printed, draw(load).current.a());
    }
    prints("SAE J573, from memory", "2.10", 26.9 / 12.8);
    prints("SAE J573, from memory", "0.59", 8.26 / 14.0);
    prints("UN Regulation 37, from memory", "1.5556", 21.0 / 13.5);
    for (brakes, printed) in [(2, "6"), (4, "12"), (6, "18")] {
        prints("a brake maker's table as quoted, opened", printed, total(&[(Load::BrakeMagnet, brakes)]).a());
    }
    prints("SAE J573, from memory; sum derived", "2.80", total(&[(Load::TailFilament, 2), (Load::WedgeMarker, 6)]).a());
}

/// Amperes and colour, as printed.
#[rustfmt::skip]
const COLOURS: &[(f64, &str)] = &[
    (2.0, "grey"), (3.0, "violet"), (4.0, "pink"), (5.0, "tan"), (7.5, "brown"), (10.0, "red"), (15.0, "blue"),
    (20.0, "yellow"), (25.0, "clear"), (30.0, "green"),
];

#[test]
fn fuses_have_the_printed_colours() {
    for &(a, colour) in COLOURS {
        let step = STEPS.iter().find(|step| step.rating.a() == a).unwrap();
        says(&format!("ISO 8820-3, colours as listed on a public page, opened, {a} A"), &Some(colour), &step.colour);
        assert_eq!(step.source.seen, Seen::Opened);
    }
    for a in [1.0, 35.0, 40.0] {
        let step = STEPS.iter().find(|step| step.rating.a() == a).unwrap();
        assert_eq!(step.source.seen, Seen::FromMemory, "ISO 8820-3, from memory: {a} A");
    }
}

/// Gauge, cautious and usual figure; then area, mm². Common practice, no source.
#[rustfmt::skip]
const MAXIMA: &[(Wire, f64, f64)] = &[
    (Wire::Awg(18), 7.5, 7.5), (Wire::Awg(16), 10.0, 15.0), (Wire::Awg(14), 15.0, 20.0), (Wire::Awg(12), 20.0, 30.0),
    (Wire::Awg(10), 30.0, 40.0),
    (Wire::Metric(Area::from_mm2(0.75)), 7.5, 7.5), (Wire::Metric(Area::from_mm2(1.5)), 15.0, 15.0),
    (Wire::Metric(Area::from_mm2(2.5)), 20.0, 20.0), (Wire::Metric(Area::from_mm2(4.0)), 30.0, 30.0),
    (Wire::Metric(Area::from_mm2(6.0)), 40.0, 40.0),
];

#[test]
fn wires_take_what_is_common_practice() {
    for &(wire, low, high) in MAXIMA {
        let most = fuse::wire_max(wire).unwrap();
        let source = format!("fuse maxima of bundled wire, common practice, no source, {wire}");
        prints(&source, &low.to_string(), most.cautious.a());
        prints(&source, &high.to_string(), most.usual_most.a());
    }
    // A size between two rows takes what the thinner one takes; beyond the thickest, what the thickest does.
    assert_eq!(fuse::takes(Wire::Awg(13)), fuse::wire_max(Wire::Awg(14)));
    assert_eq!(fuse::takes(Wire::Awg(12)), fuse::wire_max(Wire::Awg(12)));
    assert_eq!(fuse::takes(Wire::Awg(4)), fuse::wire_max(Wire::Awg(10)));
    assert_eq!(fuse::takes(Wire::Metric(Area::from_mm2(2.0))), fuse::wire_max(Wire::Metric(Area::from_mm2(1.5))));
    assert_eq!(fuse::takes(Wire::Metric(Area::from_mm2(16.0))), fuse::wire_max(Wire::Metric(Area::from_mm2(6.0))));
    assert_eq!(fuse::takes(Wire::Awg(20)).unwrap_err().field(), "awg_code");
    assert_eq!(fuse::takes(Wire::Metric(Area::from_mm2(0.5))).unwrap_err().field(), "conductor_mm2");
    assert_eq!(fuse::wire_max(Wire::Awg(13)).unwrap_err().field(), "awg_code");
    assert_eq!(fuse::wire_max(Wire::Geometric(Area::from_mm2(2.0))).unwrap_err().field(), "wire");
}

fn choice(load: f64, fill: f64, wire: Wire) -> FuseChoice {
    choose_fuse(&FuseInput { load: Amps::from_a(load), fill, wire }).unwrap()
}

fn fits(choice: FuseChoice) -> f64 {
    match choice {
        FuseChoice::Fits(fuse) => fuse.rating.a(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn fuses_are_chosen_as_printed() {
    let source = "common practice, no source; figure derived";
    prints(source, "3.73", 2.80 / 0.75);
    prints(source, "4", fits(choice(2.80, 0.75, Wire::Awg(18))));
    prints(source, "15", fits(choice(12.0, 0.8, Wire::Awg(12))));
    prints(source, "25", fits(choice(18.0, 0.75, Wire::Awg(10))));
    let thin = choice(18.0, 0.75, Wire::Awg(14));
    let FuseChoice::WireTooThin { needed, wire_max, thicker } = thin else { panic!("{thin:?}") };
    assert_eq!((needed.rating.a(), wire_max.a(), thicker), (25.0, 15.0, Some(Wire::Awg(10))));
    assert!(matches!(choice(60.0, 0.8, Wire::Awg(10)), FuseChoice::BeyondSteps { .. }));
    let input = FuseInput { load: Amps::from_a(12.0), fill: 0.8, wire: Wire::Awg(12) };
    assert!(check_fuse(&input, Amps::from_a(20.0)).unwrap().good());
    assert!(!check_fuse(&input, Amps::from_a(25.0)).unwrap().protects_wire);
    assert!(!check_fuse(&input, Amps::from_a(10.0)).unwrap().holds_load);
    assert!(!check_fuse(&input, Amps::from_a(18.0)).unwrap().is_step);
    assert_eq!(place(Length::from_in(7.0)).unwrap(), FusePlace::Good);
    assert_eq!(place(Length::from_mm(450.0)).unwrap(), FusePlace::Far);
    assert_eq!(place(Length::from_mm(451.0)).unwrap(), FusePlace::TooFar);
    assert!(fuses::at_least(Amps::from_a(41.0)).is_none());
}

/// Connector, pin, function, colour, conductor.
type PinRow = (Socket, &'static str, Function, Option<&'static str>, Option<Conductor>);

#[rustfmt::skip]
const PINS: &[PinRow] = &[
    (Socket::Iso1724, "1", Function::LeftTurn,  Some("yellow"), Some(Conductor::Mm2(1.5))),
    (Socket::Iso1724, "2", Function::RearFog,   Some("blue"),   Some(Conductor::Mm2(1.5))),
    (Socket::Iso1724, "3", Function::Earth,     Some("white"),  Some(Conductor::Mm2(2.5))),
    (Socket::Iso1724, "4", Function::RightTurn, Some("green"),  Some(Conductor::Mm2(1.5))),
    (Socket::Iso1724, "5", Function::RightTail, Some("brown"),  Some(Conductor::Mm2(1.5))),
    (Socket::Iso1724, "6", Function::Stop,      Some("red"),    Some(Conductor::Mm2(1.5))),
    (Socket::Iso1724, "7", Function::LeftTail,  Some("black"),  Some(Conductor::Mm2(1.5))),
    (Socket::Iso11446, "1",  Function::LeftTurn,         None, None),
    (Socket::Iso11446, "2",  Function::RearFog,          None, None),
    (Socket::Iso11446, "3",  Function::Earth,            None, Some(Conductor::Mm2(2.5))),
    (Socket::Iso11446, "4",  Function::RightTurn,        None, None),
    (Socket::Iso11446, "5",  Function::RightTail,        None, None),
    (Socket::Iso11446, "6",  Function::Stop,             None, None),
    (Socket::Iso11446, "7",  Function::LeftTail,         None, None),
    (Socket::Iso11446, "8",  Function::Reverse,          None, None),
    (Socket::Iso11446, "9",  Function::Permanent,        None, Some(Conductor::Mm2(2.5))),
    (Socket::Iso11446, "10", Function::Switched,         None, Some(Conductor::Mm2(2.5))),
    (Socket::Iso11446, "11", Function::EarthOfSwitched,  None, Some(Conductor::Mm2(2.5))),
    (Socket::Iso11446, "12", Function::Presence,         None, None),
    (Socket::Iso11446, "13", Function::EarthOfPermanent, None, Some(Conductor::Mm2(2.5))),
    (Socket::SevenWayHeavy, "1", Function::Earth,     Some("white"),  Some(Conductor::Awg(8))),
    (Socket::SevenWayHeavy, "2", Function::Marker,    Some("black"),  Some(Conductor::Awg(12))),
    (Socket::SevenWayHeavy, "3", Function::LeftTurn,  Some("yellow"), Some(Conductor::Awg(12))),
    (Socket::SevenWayHeavy, "4", Function::Stop,      Some("red"),    Some(Conductor::Awg(10))),
    (Socket::SevenWayHeavy, "5", Function::RightTurn, Some("green"),  Some(Conductor::Awg(12))),
    (Socket::SevenWayHeavy, "6", Function::Tail,      Some("brown"),  Some(Conductor::Awg(12))),
    (Socket::SevenWayHeavy, "7", Function::Auxiliary, Some("blue"),   Some(Conductor::Awg(10))),
];

#[test]
fn pins_are_the_printed_ones() {
    for &(socket, name, function, colour, conductor) in PINS {
        let found = pins(socket).iter().find(|pin| pin.name == name).unwrap();
        let source = format!("{}, opened, pin {name}", found.source);
        says(&source, &function, &found.function);
        if colour.is_some() {
            says(&source, &colour, &found.colour);
        }
        if conductor.is_some() {
            says(&source, &conductor, &found.conductor);
        }
        assert_eq!((found.colour, found.conductor), (colour, conductor), "{source}");
        assert_eq!(found.source.seen, Seen::Opened);
    }
    // SAE J2863: four conductors of 14, one of 12, two of 10, opened; which is which, from memory.
    let of = |gauge| pins(Socket::SevenWayLight).iter().filter(|p| p.conductor == Some(Conductor::Awg(gauge))).count();
    for (gauge, printed) in [(14, 4), (12, 1), (10, 2)] {
        says(&format!("SAE J2863, sizes in a cable overview, opened, {gauge} AWG"), &printed, &of(gauge));
    }
    for (function, colour) in [
        (Function::LeftStopTurn, "yellow"),
        (Function::RightStopTurn, "green"),
        (Function::Tail, "brown"),
        (Function::Earth, "white"),
        (Function::ElectricBrake, "blue"),
        (Function::Permanent, "black or red"),
        (Function::Reverse, "purple or yellow"),
    ] {
        let found = pin(Socket::SevenWayLight, function).unwrap();
        says("SAE J2863, which conductor is which, from memory", &Some(colour), &found.colour);
        assert_eq!(found.source.seen, Seen::FromMemory);
    }
    for (function, colour) in [
        (Function::Earth, "white"),
        (Function::Tail, "brown"),
        (Function::LeftStopTurn, "yellow"),
        (Function::RightStopTurn, "green"),
    ] {
        assert_eq!(pin(Socket::FourFlat, function).unwrap().colour, Some(colour), "common practice, no source");
    }
}

#[test]
fn converters_go_between_the_two_ways_of_signalling() {
    use Socket::{FourFlat, Iso1724, Iso11446, SevenWayHeavy, SevenWayLight};
    for (socket, plug, between) in [
        (FourFlat, FourFlat, Between::Nothing),
        (SevenWayLight, FourFlat, Between::Adapter),
        (Iso11446, Iso1724, Between::Adapter),
        (Iso1724, FourFlat, Between::Converter),
        (SevenWayLight, SevenWayHeavy, Between::Converter),
        (FourFlat, Iso11446, Between::Converter),
    ] {
        assert_eq!(connect(socket, plug).between, between, "{socket:?} {plug:?}");
    }
    assert!(connect(FourFlat, SevenWayLight).loses_brakes());
    assert_eq!(connect(SevenWayLight, FourFlat).lost, []);
    assert_eq!(connect(Iso11446, Iso1724).lost, []);
    assert_eq!(connect(Iso1724, Iso11446).lost, [Function::Reverse, Function::Permanent, Function::Switched]);
    assert!(converter_needed(false, FourFlat) && !converter_needed(true, FourFlat) && converter_needed(true, Iso1724));
}
