use baybook_proto::v1 as pb;

use super::*;
use crate::wire::{
    WireError,
    fixture::{Book, entries, kg, paths},
};

fn read(name: &str, spec: Wire) -> Result<Spec, WireError> {
    let entry = pb::Entry { name: name.to_owned(), spec: Some(spec), ..pb::Entry::default() };
    let mut fields = Fields::default();
    let spec = Spec::from_entry(&entry, &mut fields);
    fields.finish(spec)
}

fn wrong(name: &str, spec: Wire) -> WireError {
    read(name, spec).unwrap_err()
}

#[test]
fn the_demonstration_book_is_read_and_refers_to_nothing_that_is_missing() {
    let book = Book::demo();
    assert_eq!(book.0.len(), entries().len());
    for (name, spec) in &book.0 {
        assert_eq!(spec.name(), name);
        assert!(!spec.label().is_empty(), "{name}");
        assert_eq!(names::parse(name).map(|(folder, _)| folder.kind), Ok(spec.kind()));
        let mut fields = Fields::default();
        spec.check_references(book, &mut fields);
        assert_eq!(fields.finish(Some(())), Ok(()), "{name}");
    }
}

#[test]
fn a_name_and_a_specification_must_be_of_one_kind() {
    let error = wrong("bolts/van-7", Wire::Vehicle(pb::Vehicle { wheelbase_mm: Some(3640.0), ..Default::default() }));
    assert_eq!(paths(&error), ["vehicle"]);
    assert_eq!(error.violations[0].description, "is a vehicle, but bolts/van-7 names a bolt: change one of them");
    let mut fields = Fields::default();
    let empty = pb::Entry { name: "ballmounts/b".to_owned(), ..pb::Entry::default() };
    let spec = Spec::from_entry(&empty, &mut fields);
    assert_eq!(paths(&fields.finish(spec).unwrap_err()), ["ball_mount"]);
    let spec = Spec::from_entry(&pb::Entry::default(), &mut fields);
    assert_eq!(paths(&fields.finish(spec).unwrap_err()), ["name", "spec"]);
}

#[test]
fn everything_wrong_with_a_vehicle_comes_back_at_once() {
    let point = |station, height| pb::ProfilePoint { label: String::new(), station_mm: station, height_mm: height };
    let vehicle = pb::Vehicle {
        market: 77,
        front: Some(pb::Axle {
            kerb_kg: Some(-1.0),
            tyres: Some(pb::Tyres { tyre_count: Some(3_000), ..Default::default() }),
            ..Default::default()
        }),
        gvwr: kg(f64::INFINITY),
        spring_bars: pb::SpringBarRule::RequiredAbove.into(),
        tongue_min_share: Some(0.2),
        tongue_max_share: Some(0.1),
        profile: Some(pb::Profile {
            points: vec![point(Some(0.0), Some(300.0)), point(Some(-900.0), None), point(None, Some(1.0))],
            join: 0,
        }),
        ..Default::default()
    };
    let error = wrong("vehicles/v", Wire::Vehicle(vehicle));
    assert_eq!(
        paths(&error),
        [
            "vehicle.market",
            "vehicle.wheelbase_mm",
            "vehicle.front.kerb_kg",
            "vehicle.front.tyres.tyre_count",
            "vehicle.gvwr.value_kg",
            "vehicle.spring_bars_required_above",
            "vehicle.tongue_min_share",
            "vehicle.profile.points[1].height_mm",
            "vehicle.profile.points[2].station_mm",
            "vehicle.profile.join",
        ]
    );
    assert_eq!(error.violations[0].description, "is 77, which no value has; known values are 1 to 3");
}

#[test]
fn a_mass_that_goes_with_another_answer_contradicts() {
    let vehicle = pb::Vehicle {
        wheelbase_mm: Some(3640.0),
        spring_bars: pb::SpringBarRule::Forbidden.into(),
        spring_bars_required_above: kg(2000.0),
        ..Default::default()
    };
    assert_eq!(paths(&wrong("vehicles/v", Wire::Vehicle(vehicle))), ["vehicle.spring_bars_required_above"]);
}

#[test]
fn points_of_a_profile_and_of_a_terrain_are_in_order() {
    let point = |station| pb::ProfilePoint { label: String::new(), station_mm: Some(station), height_mm: Some(300.0) };
    let vehicle = pb::Vehicle {
        wheelbase_mm: Some(3640.0),
        profile: Some(pb::Profile {
            points: vec![point(0.0), point(900.0), point(800.0)],
            join: pb::ProfileJoin::StraightEdges.into(),
        }),
        ..Default::default()
    };
    assert_eq!(paths(&wrong("vehicles/v", Wire::Vehicle(vehicle))), ["vehicle.profile.points[2].station_mm"]);
    let corner = |run| pb::GroundPoint { run_mm: Some(run), rise_mm: Some(0.0) };
    let terrain = |points| Wire::Terrain(pb::Terrain { label: String::new(), points });
    assert_eq!(paths(&wrong("terrains/t", terrain(vec![corner(0.0)]))), ["terrain.points"]);
    let twice = vec![corner(0.0), corner(0.0)];
    assert_eq!(paths(&wrong("terrains/t", terrain(twice))), ["terrain.points[1].run_mm"]);
}

#[test]
fn a_receiver_fits_a_vehicle_once_and_calls_its_joints_differently() {
    let fit = |vehicle: &str| pb::ReceiverFit { vehicle: vehicle.to_owned(), ..Default::default() };
    let joint = |id: &str, bolt: &str| pb::Joint { id: id.to_owned(), bolt: bolt.to_owned(), ..Default::default() };
    let receiver = pb::Receiver {
        hitch_class_code: Some(6),
        fits: vec![fit("vehicles/a"), fit(""), fit("vehicles/a"), fit("bolts/b")],
        joints: vec![joint("frame", "bolts/B"), joint("", "bolts/b"), joint("frame", "nuts/b")],
        ..Default::default()
    };
    assert_eq!(
        paths(&wrong("receivers/r", Wire::Receiver(receiver))),
        [
            "receiver.hitch_class_code",
            "receiver.fits[1].vehicle",
            "receiver.fits[3].vehicle",
            "receiver.joints[0].bolt",
            "receiver.joints[1].id",
            "receiver.joints[2].bolt",
            "receiver.fits[2].vehicle",
            "receiver.joints[2].id",
        ]
    );
}

#[test]
fn a_band_has_all_three_and_rises_and_a_ring_is_a_ring() {
    let band = |low, nominal, high| {
        Some(pb::Band { low_share: Some(low), nominal_share: Some(nominal), high_share: Some(high) })
    };
    let finish = pb::Finish {
        nut_factor: band(0.2, 0.1, 0.3),
        thread_friction: band(0.9, 0.1, 0.12),
        face_friction: Some(pb::Band { low_share: Some(0.1), ..Default::default() }),
        ..Default::default()
    };
    assert_eq!(
        paths(&wrong("finishes/f", Wire::Finish(finish))),
        [
            "finish.nut_factor",
            "finish.thread_friction.low_share",
            "finish.face_friction.nominal_share",
            "finish.face_friction.high_share",
        ]
    );
    let bolt = pb::Bolt {
        thread: "M12".to_owned(),
        bearing_diameter_mm: Some(13.0),
        hole_diameter_mm: Some(13.5),
        ..Default::default()
    };
    assert_eq!(paths(&wrong("bolts/b", Wire::Bolt(bolt))), ["bolt.bearing_diameter_mm"]);
}

#[test]
fn what_an_entry_refers_to_is_listed_with_its_path() {
    let Some(spec) = Book::demo().find("receivers/van-tuck") else { panic!("no such receiver") };
    let all = spec.references();
    assert_eq!(all[0], Reference { field: "receiver.fits[0].vehicle".to_owned(), name: "vehicles/van-l35" });
    assert!(all.contains(&Reference { field: "receiver.joints[0].finish".to_owned(), name: "finishes/zinc-dry" }));
    let mut fields = Fields::default();
    fields.under("entry", |fields| spec.check_references(&Book::default(), fields));
    let error = fields.finish(Some(())).unwrap_err();
    assert_eq!(error.not_found.len(), all.len());
    assert_eq!(error.not_found[0].field, "entry.receiver.fits[0].vehicle");
}
