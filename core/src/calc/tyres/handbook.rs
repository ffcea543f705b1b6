//! Printed tables and laws.

use proptest::prelude::*;

use super::{designation::Service, *};
use crate::calc::printed::prints;

/// Size, overall diameter, free radius, 0.96 of it.
#[rustfmt::skip]
const SIZES: &[(&str, &str, &str, &str)] = &[
    ("205/55R16", "631.90", "315.95", "303.3"),
    ("235/65R16", "711.90", "355.95", "341.7"),
    ("225/75R16", "743.90", "371.95", "357.1"),
    ("245/75R17", "799.30", "399.65", "383.7"),
    ("265/70R17", "802.80", "401.40", "385.3"),
    ("275/65R18", "814.70", "407.35", "391.1"),
];

#[test]
fn sizes_measure_as_printed() {
    for (size, diameter, radius, loaded) in SIZES {
        let source = format!("tyre size arithmetic, derived, {size}");
        let tyre = Designation::read(size).unwrap();
        prints(&source, diameter, tyre.overall_diameter().mm());
        prints(&source, radius, tyre.free_radius().mm());
        prints(&source, loaded, loaded_radius_estimate(tyre.free_radius()).likely.mm());
    }
    let published = Designation::read("245/55R18").unwrap();
    prints("published size arithmetic, opened, 245/55R18", "726.7", published.overall_diameter().mm());
}

/// The printed table in the layout of the page: index and load, seven pairs across.
#[rustfmt::skip]
const LOADS: [[(i32, &str); 7]; 8] = [
    [(70, "335"), (78, "425"), (86, "530"), (94, "670"), (102, "850"), (110, "1060"), (118, "1320")],
    [(71, "345"), (79, "437"), (87, "545"), (95, "690"), (103, "875"), (111, "1090"), (119, "1360")],
    [(72, "355"), (80, "450"), (88, "560"), (96, "710"), (104, "900"), (112, "1120"), (120, "1400")],
    [(73, "365"), (81, "462"), (89, "580"), (97, "730"), (105, "925"), (113, "1150"), (121, "1450")],
    [(74, "375"), (82, "475"), (90, "600"), (98, "750"), (106, "950"), (114, "1180"), (122, "1500")],
    [(75, "387"), (83, "487"), (91, "615"), (99, "775"), (107, "975"), (115, "1215"), (123, "1550")],
    [(76, "400"), (84, "500"), (92, "630"), (100, "800"), (108, "1000"), (116, "1250"), (124, "1600")],
    [(77, "412"), (85, "515"), (93, "650"), (101, "825"), (109, "1030"), (117, "1285"), (125, "1650")],
];

#[test]
fn every_load_index_carries_what_is_printed() {
    for (index, kg) in LOADS.as_flattened() {
        prints(&format!("{}, opened", load_index::SOURCE), kg, load_index::load(*index).unwrap().kg());
    }
}

fn van_tyres(designation: &str, kind: TyreKind, load_index: Option<i32>) -> Tyres {
    Tyres {
        designation: designation.into(),
        kind: Some(kind),
        count: Some(2),
        load_index,
        load_index_dual: None,
        loaded_radius: None,
        rate: None,
        wheel_rating: None,
        temporary_spare: None,
        same_across_axle: None,
    }
}

#[test]
fn a_car_tyre_on_a_van_carries_what_is_printed() {
    let tyres = van_tyres("235/65R16 103H", TyreKind::PassengerCar, Some(103));
    let source = "NHTSA letter nht76-1.47, rule opened; figures derived";
    let on_van = axle_capacity(&tyres, 1, Carried::from(VehicleKind::Truck)).unwrap();
    prints(source, "795.455", on_van.each.kg());
    prints(source, "1590.909", on_van.tyres.kg());
    assert!(on_van.divided && on_van.tyres < Mass::from_kg(1776.896));
    let on_car = axle_capacity(&tyres, 1, Carried::from(VehicleKind::PassengerCar)).unwrap();
    prints(source, "1750", on_car.tyres.kg());
    let truck_tyre = Tyres { kind: Some(TyreKind::LightTruck), ..tyres };
    prints(source, "1750", axle_capacity(&truck_tyre, 1, Carried::TruckOrTrailer).unwrap().tyres.kg());
}

#[test]
fn dual_fitment_uses_the_second_mark() {
    let mut tyres = van_tyres("235/65R16C 115/113R", TyreKind::LightTruck, None);
    assert_eq!(axle_capacity(&tyres, 1, Carried::TruckOrTrailer).unwrap().tyres, Mass::from_kg(2.0 * 1215.0));
    tyres.count = Some(4);
    let dual = axle_capacity(&tyres, 1, Carried::TruckOrTrailer).unwrap();
    assert!(dual.dual);
    assert_eq!(dual.tyres, Mass::from_kg(4.0 * 1150.0));
    // Four tyres over two axles are single fitment.
    assert!(!axle_capacity(&tyres, 2, Carried::TruckOrTrailer).unwrap().dual);
    tyres.count = Some(3);
    assert!(axle_capacity(&tyres, 1, Carried::TruckOrTrailer).is_err());
}

#[test]
fn the_lower_of_tyre_and_wheel_counts_and_an_unknown_wheel_is_not_passed_over() {
    let mut tyres = van_tyres("235/65R16C 115/113R", TyreKind::LightTruck, None);
    assert_eq!(axle_capacity(&tyres, 1, Carried::TruckOrTrailer).unwrap().lower(), None);
    tyres.wheel_rating = Some(Mass::from_kg(1100.0));
    let capacity = axle_capacity(&tyres, 1, Carried::TruckOrTrailer).unwrap();
    assert_eq!(capacity.lower(), Some(Mass::from_kg(2200.0)));
    tyres.wheel_rating = Some(Mass::from_kg(1300.0));
    assert_eq!(axle_capacity(&tyres, 1, Carried::TruckOrTrailer).unwrap().lower(), Some(capacity.tyres));
}

#[test]
fn what_is_unknown_is_named() {
    let known = van_tyres("", TyreKind::LightTruck, Some(115));
    let field = |tyres: &Tyres| axle_capacity(tyres, 1, Carried::TruckOrTrailer).unwrap_err().field();
    assert_eq!(field(&Tyres { count: None, ..known.clone() }), "tyre_count");
    assert_eq!(field(&Tyres { kind: None, ..known.clone() }), "kind");
    assert_eq!(field(&Tyres { load_index: None, ..known.clone() }), "load_index_code");
    assert_eq!(field(&Tyres { load_index: Some(126), ..known.clone() }), "load_index_code");
    assert_eq!(field(&Tyres { load_index: None, designation: "banana".into(), ..known }), "designation");
}

#[test]
fn designations_read_as_written() {
    let read = |text| Designation::read(text).unwrap();
    let van = read("235/65R16C 115/113R");
    assert_eq!((van.load_index, van.load_index_dual, van.speed), (Some(115), Some(113), Some('R')));
    assert_eq!((van.service, van.kind()), (Service::Commercial, Some(TyreKind::LightTruck)));
    let truck = read("lt245/75 r17 121/118S");
    assert_eq!((truck.service, truck.load_index_dual), (Service::LightTruck, Some(118)));
    assert_eq!(read("P235/75R15 105T").kind(), Some(TyreKind::PassengerCar));
    assert_eq!(read("ST205/75R14").kind(), Some(TyreKind::Trailer));
    assert_eq!(read("T125/70D16 96M").service, Service::TemporarySpare);
    assert_eq!(read("205/55ZR16 91W").kind(), None);
    assert_eq!(read("195/50B10 98A8").speed, Some('A'));
    let flotation = read("31x10.50R15LT 109Q");
    assert_eq!((flotation.service, flotation.overall_diameter().mm()), (Service::LightTruck, 31.0 * 25.4));
    for bad in ["", "235", "235/65", "235/65R", "65/235R16", "235/65R16 7", "235/65R16 115/113R extra", "235/65R99"] {
        assert!(Designation::read(bad).is_err(), "{bad}");
    }
}

#[test]
fn indices_beside_a_designation_are_held_against_it() {
    let tyres = van_tyres("235/65R16C 115/113R", TyreKind::LightTruck, Some(115));
    assert_eq!(indices_agree(&tyres), Some(true));
    assert_eq!(indices_agree(&Tyres { load_index: Some(121), ..tyres.clone() }), Some(false));
    assert_eq!(indices_agree(&Tyres { load_index: None, ..tyres }), None);
}

proptest! {
    #[test]
    fn reading_never_panics(text in "\\PC{0,24}") {
        let _ = Designation::read(&text);
    }

    #[test]
    fn a_metric_size_reads_back(width in 10_u32..50, aspect in 4_u32..20, rim in 8_u32..31, index in 10_i32..300) {
        let (width, aspect) = (width * 10 + 5, aspect * 5);
        prop_assume!(width <= 500);
        let tyre = Designation::read(&format!("{width}/{aspect}R{rim} {index}T")).unwrap();
        let expected = 25.4 * f64::from(rim) + 2.0 * f64::from(width) * f64::from(aspect) / 100.0;
        prop_assert!((tyre.overall_diameter().mm() - expected).abs() < 1e-9);
        prop_assert_eq!(tyre.load_index, Some(index));
    }

    #[test]
    fn the_divisor_never_raises(index in 70_i32..=125) {
        let tyres = van_tyres("", TyreKind::PassengerCar, Some(index));
        let on = |carried| axle_capacity(&tyres, 1, carried).unwrap().tyres;
        prop_assert!(on(Carried::TruckOrTrailer) < on(Carried::PassengerCar));
    }
}
