//! A yard that hangs a trailer over the rear axle: a fifth wheel, its rails and a king pin go into the book, and the train is
//! rated, weighed, turned and judged.

use baybook_proto::v1 as pb;
use serde_json::{Value, json};

use crate::driver::Driver;

fn entry(name: &str, spec: Value) -> pb::Entry {
    let mut all = json!({"name": name, "source": {"document": "plate and tape", "date_seen": "2026-10-12"}});
    if let (Some(all), Some(spec)) = (all.as_object_mut(), spec.as_object()) {
        all.extend(spec.clone());
    }
    serde_json::from_value(all).expect("an entry")
}

fn kg(value: f64) -> Value {
    json!({ "value_kg": value })
}

fn rating(trailer: f64, tongue: f64) -> Value {
    json!({ "trailer": kg(trailer), "tongue": kg(tongue) })
}

/// An invented pickup: a bed with rails at 1300 mm, a cab whose back stands 1900 mm behind the front axle.
fn pickup() -> pb::Entry {
    let tyres = json!({
        "designation": "235/65R16C 115/113R", "kind": "TYRE_KIND_LIGHT_TRUCK", "tyre_count": 2, "load_index_code": 115,
        "load_index_dual_code": 113, "loaded_radius_mm": 345, "rate_n_per_mm": 250, "wheel_rating": kg(1200.0),
        "temporary_spare": false, "same_across_axle": true
    });
    let axle = |kerb: f64, gawr: f64, rate: f64| {
        json!({
            "kerb_kg": kerb, "gawr": kg(gawr), "suspension_rate_n_per_mm": rate, "self_levelling": false,
            "tyres": tyres.clone()
        })
    };
    let spec = json!({"vehicle": {
        "label": "pickup with a long bed", "market": "MARKET_NORTH_AMERICA", "kind": "VEHICLE_KIND_TRUCK",
        "wheelbase_mm": 3640, "front": axle(1250.0, 1550.0, 70.0), "rear": axle(1010.0, 1900.0, 90.0),
        "gvwr": kg(3200.0), "gcwr": kg(5800.0),
        "profile": {"join": "PROFILE_JOIN_SEPARATE_POINTS", "points": [
            {"label": "front lip", "station_mm": -820, "height_mm": 260},
            {"label": "belly", "station_mm": 1820, "height_mm": 200},
            {"label": "bumper", "station_mm": 4700, "height_mm": 480}]},
        "bed": {
            "towing": rating(3000.0, 600.0), "cab_back_station_mm": 1900, "cab_width_mm": 1800,
            "rail_height_mm": 1300, "rail_end_station_mm": 4600
        }
    }});
    entry("vehicles/pickup-long-bed", spec)
}

fn fifth_wheel() -> pb::Entry {
    let spec = json!({"bed_coupling": {
        "label": "fifth wheel on rails", "kind": "BED_COUPLING_KIND_FIFTH_WHEEL", "mass_kg": 60,
        "size": {"printed": "2 in"}, "rating": rating(4000.0, 800.0), "mounting": rating(3500.0, 700.0),
        "fits": [{
            "vehicle": "vehicles/pickup-long-bed", "mass_station_mm": 3500, "pin_station_mm": 3500,
            "face_height_mm": 1250
        }],
        "joints": [{"id": "rail", "bolt_count": 8}]
    }});
    entry("bedcouplings/rails-4t", spec)
}

fn trailer() -> pb::Entry {
    let spec = json!({"trailer": {
        "label": "machine trailer on a king pin", "gvwr": kg(2200.0), "gawr": kg(2300.0), "axle_count": 2,
        "coupler_to_axle_mm": 4300, "coupler_height_level_mm": 1155, "drawbar": "DRAWBAR_KIND_FIFTH_WHEEL",
        "brakes": "TRAILER_BRAKES_ELECTRIC", "breakaway": true, "jack_rating": kg(500.0), "plug": "SOCKET_SEVEN_WAY_LIGHT",
        "tyres": {
            "designation": "195/70R14C 100/98N", "kind": "TYRE_KIND_TRAILER", "tyre_count": 4, "load_index_code": 100,
            "load_index_dual_code": 98, "wheel_rating": kg(1200.0), "temporary_spare": false, "same_across_axle": true
        },
        "nose": {"behind_ball_mm": -900, "width_mm": 2000},
        "king_pin": {"diameter": {"printed": "2 in"}, "rating": {"trailer": kg(3200.0)}},
        "underside_above_coupling_mm": 350
    }});
    entry("trailers/machine-king-pin", spec)
}

fn plan() -> pb::UpfitPlan {
    serde_json::from_value(json!({
        "unit": "BED-1",
        "vehicle": {"name": "vehicles/pickup-long-bed"},
        "bed_coupling": {"name": "bedcouplings/rails-4t"},
        "trailer": {"name": "trailers/machine-king-pin"},
        "trailer_mass": kg(1600.0),
        "tongue_load": kg(300.0),
        "items": [
            {"label": "two people", "mass": kg(150.0), "station_mm": 1450},
            {"label": "cargo", "mass": kg(400.0), "station_mm": 3300}
        ],
        "jurisdiction": "US-TX",
        "joints": [{"id": "rail"}]
    }))
    .expect("a plan")
}

fn near(got: Option<f64>, derived: f64) {
    assert!(got.is_some_and(|got| (got - derived).abs() < 5e-4), "{got:?} against {derived}");
}

/// Returns what one rule says of the plan, its subjects.
fn said(driver: &mut dyn Driver, plan: pb::UpfitPlan, rule: &str) -> (pb::Verdict, Vec<String>) {
    let checked = driver.check(vec![plan]).expect("it is judged");
    let Some(pb::checked_plan::Outcome::Report(report)) = &checked.results[0].outcome else {
        panic!("{:?}", checked.results[0])
    };
    let own = report.findings.iter().filter(|finding| finding.rule == rule);
    (report.verdict(), own.map(|finding| finding.subject.clone()).collect())
}

pub fn a_fifth_wheel_stands_in_the_bed(driver: &mut dyn Driver) {
    let all = pb::BatchPutEntriesRequest {
        entries: vec![pickup(), fifth_wheel(), trailer()],
        ..pb::BatchPutEntriesRequest::default()
    };
    driver.put_all(all).expect("they are put");
    assert_eq!(driver.list(pb::EntryKind::BedCoupling).expect("a folder").entries.len(), 1);
    // Moments about the axles, worked by hand, 140 mm ahead of the rear one: the pin presses on both.
    let axles = driver.axles(plan()).expect("everything is known");
    near(axles.front_kg, 1250.0 + 90.2473 + 37.3626 + 2.3077 + 11.5385);
    near(axles.rear_kg, 1010.0 + 59.7527 + 362.6374 + 57.6923 + 288.4615);
    let room = axles.tongue_room.expect("the pin's place is known");
    assert!(room.links.iter().any(|link| link.field == "vehicle.front.gawr"), "{:?}", room.links);
    // What each plate allows: the trailer's own 2200 kg, and on the pin the 330 kg that 3200 kg leave of 2870 kg.
    let rated = driver.rate(plan()).expect("everything is known");
    let (heaviest, on_pin) = (rated.trailer.expect("a chain"), rated.tongue.expect("a chain"));
    assert_eq!((heaviest.governing.as_str(), heaviest.unknown_count), ("trailer, gross rating", 0));
    near(heaviest.limit_kg, 2200.0);
    assert_eq!((on_pin.governing.as_str(), on_pin.unknown_count), ("vehicle, gross rating", 0));
    near(on_pin.limit_kg, 330.0);
    // 330 kg are 18.75 % of 1760 kg.
    near(rated.trailer_limit_at_share_kg, 1760.0);
    // 0.6 g T R / (T + R - U), the formula of an encyclopaedia article, opened: 8.1250 kN.
    near(rated.d_value_needed_kn, 8.124_988);
    let fits: Vec<_> = rated.part_fits.iter().map(|fit| (fit.label.as_str(), fit.holds)).collect();
    assert_eq!(fits, [("king pin in the fifth wheel", Some(true))]);
    // A corner 900 mm ahead and 1000 aside turns on 1345.362 mm; the cab is 1600 mm off.
    let turned = driver.turning(plan()).expect("what lacks is told");
    near(turned.cab_gap_mm, 1600.0 - 1_345.362_405);
    // Nothing touches up to a right angle; far past it the cab's corner meets the trailer's side: by hand 60.642 + 56.993.
    assert_eq!(turned.contact(), pb::TurnContact::VehicleOnSide);
    assert!(turned.contact_deg.is_some_and(|angle| (angle - 117.635).abs() < 0.01), "{:?}", turned.contact_deg);
    for rule in [
        "rating-missing",
        "weakest-link-trailer",
        "weakest-link-tongue",
        "pin-size",
        "cab-clearance",
        "rail-clearance",
        "fifth-wheel-on-ball",
        "fit-list",
        "gawr-front",
        "gawr-rear",
        "gvwr",
        "chain-strength",
    ] {
        assert_eq!(said(driver, plan(), rule).1, Vec::<String>::new(), "{rule}");
    }
}

pub fn what_lacks_or_does_not_fit_in_the_bed_is_told(driver: &mut dyn Driver) {
    let all = pb::BatchPutEntriesRequest {
        entries: vec![pickup(), fifth_wheel(), trailer()],
        ..pb::BatchPutEntriesRequest::default()
    };
    driver.put_all(all).expect("they are put");
    let blocked = |driver: &mut dyn Driver, plan: pb::UpfitPlan, rule: &str, subject: &str| {
        let (verdict, subjects) = said(driver, plan, rule);
        assert_eq!(verdict, pb::Verdict::Blocked, "{rule}");
        assert!(subjects.iter().any(|told| told == subject), "{rule}: {subjects:?}");
    };
    let coupling = |change: &dyn Fn(&mut pb::BedCoupling)| {
        let Some(pb::entry::Spec::BedCoupling(mut spec)) = fifth_wheel().spec else { panic!("a coupling") };
        change(&mut spec);
        let given = pb::bed_coupling_ref::BedCoupling::Spec(Box::new(spec));
        pb::UpfitPlan { bed_coupling: Some(pb::BedCouplingRef { bed_coupling: Some(given) }), ..plan() }
    };
    blocked(driver, coupling(&|it| it.mounting = None), "rating-missing", "bed_coupling.mounting.trailer");
    blocked(driver, coupling(&|it| it.rating = None), "rating-missing", "bed_coupling.rating.tongue");
    let thick = pb::Length { printed: "3.5 in".to_owned(), ..pb::Length::default() };
    blocked(driver, coupling(&|it| it.size = Some(thick.clone())), "pin-size", "trailer.king_pin.diameter");
    let forward = coupling(&|it| it.fits[0].pin_station_mm = Some(3200.0));
    blocked(driver, forward, "cab-clearance", "limits.cab_gap_min_mm");
    blocked(driver, coupling(&|it| it.fits.clear()), "fit-list", "bed_coupling");
    blocked(
        driver,
        pb::UpfitPlan { bed_coupling: None, joints: Vec::new(), ..plan() },
        "fifth-wheel-on-ball",
        "trailer.drawbar",
    );
    let nowhere = pb::bed_coupling_ref::BedCoupling::Name("bedcouplings/rails-4".to_owned());
    let nowhere = pb::UpfitPlan { bed_coupling: Some(pb::BedCouplingRef { bed_coupling: Some(nowhere) }), ..plan() };
    driver.rate(nowhere).expect_err("there is none").expect(4, &["bedcouplings/rails-4t"]);
}
