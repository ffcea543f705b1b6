use baybook_proto::v1::receiver_ref as by;

use super::*;
use crate::wire::{
    Spec,
    fixture::{Book, FINISH, RECEIVER, VEHICLE, kg, n_m, paths, plan, receiver_ref, trailer_ref, vehicle_ref},
};

fn read(plan: &pb::UpfitPlan) -> Result<Upfit, WireError> {
    read_plan(plan, Book::demo())
}

#[test]
fn an_ordinary_plan_is_read_with_every_name_resolved() {
    let upfit = read(&plan()).unwrap();
    assert_eq!(upfit.vehicle.name, VEHICLE);
    assert_eq!(upfit.receiver.as_ref().unwrap().name, RECEIVER);
    assert_eq!(upfit.trailer_mass, Some(Mass::from_lb(3500.0)));
    assert_eq!(upfit.tongue, Some(TongueLoad::Share(0.11)));
    // The trailer's entry names its coupler.
    assert_eq!(upfit.coupler.as_ref().unwrap().name, "couplers/two-in-5000");
    // Reading a plan twice shares the entries instead of copying them.
    assert!(Arc::ptr_eq(&upfit.vehicle, &read(&plan()).unwrap().vehicle));
}

#[test]
fn a_joint_is_as_specified_where_the_plan_says_nothing_else() {
    let mut wire = plan();
    let upfit = read(&wire).unwrap();
    let joint = &upfit.joints[0];
    let spec = &upfit.receiver.as_ref().unwrap().joints[0];
    assert_eq!(joint.bolt.as_ref().map(|bolt| bolt.name.clone()), spec.bolt);
    assert_eq!(joint.specified_bolt, joint.bolt);
    assert_eq!(joint.nut, joint.specified_nut);
    assert_eq!(joint.washer.as_ref().map(|washer| washer.name.clone()), spec.washer);
    assert_eq!(joint.specified_finish.as_ref().map(|finish| finish.name.clone()), spec.finish);
    assert_eq!((joint.specified_torque, joint.method), (spec.torque, spec.method));
    // The condition really present is never taken from the specification.
    wire.joints[0].finish = None;
    assert_eq!(read(&wire).unwrap().joints[0].finish, None);
    wire.joints[0].bolt = Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name("bolts/m12-88-40".to_owned())) });
    let joint = read(&wire).unwrap().joints.remove(0);
    assert_eq!(joint.bolt.unwrap().name, "bolts/m12-88-40");
    assert_eq!(joint.specified_bolt.unwrap().name, "bolts/m12-109-40");
}

#[test]
fn a_joint_the_receiver_does_not_have_is_refused_with_those_it_has() {
    let mut wire = plan();
    let twin = wire.joints[0].clone();
    wire.joints.push(twin);
    wire.joints.push(pb::PlannedJoint { id: "roof".to_owned(), planned_torque: n_m(-4.0), ..Default::default() });
    let error = read(&wire).unwrap_err();
    assert_eq!(paths(&error), ["joints[1].id", "joints[2].id", "joints[2].planned_torque.value_n_m"]);
    assert_eq!(error.violations[1].description, "must be one of the receiver's joints: frame");
    wire.receiver = None;
    assert_eq!(paths(&read(&wire).unwrap_err()), ["joints"]);
}

#[test]
fn every_name_that_is_not_in_the_book_comes_back_at_once() {
    let mut wire = plan();
    wire.vehicle = Some(vehicle_ref("vehicles/van-99"));
    wire.replaced_receiver = Some(receiver_ref("receivers/gone"));
    wire.trailer = Some(trailer_ref("trailers/gone"));
    wire.joints[0].finish =
        Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name("finishes/gone".to_owned())) });
    let error = read(&wire).unwrap_err();
    assert!(error.violations.is_empty(), "{error}");
    let found: Vec<(&str, &str)> =
        error.not_found.iter().map(|missing| (missing.field.as_str(), missing.name.as_str())).collect();
    assert_eq!(
        found,
        [
            ("vehicle.name", "vehicles/van-99"),
            ("replaced_receiver.name", "receivers/gone"),
            ("trailer.name", "trailers/gone"),
            ("joints[0].finish.name", "finishes/gone"),
        ]
    );
    assert!(error.not_found.iter().all(|missing| !missing.nearest.is_empty()), "{error}");
}

#[test]
fn an_entry_that_an_entry_names_is_missed_where_it_has_to_be_mended() {
    let mut book = Book(Book::demo().0.clone());
    book.0.remove("couplers/two-in-5000");
    book.0.remove("bolts/m12-109-40");
    let error = read_plan(&plan(), &book).unwrap_err();
    let found: Vec<(&str, &str)> =
        error.not_found.iter().map(|missing| (missing.field.as_str(), missing.name.as_str())).collect();
    assert_eq!(found, [("trailer.name", "couplers/two-in-5000"), ("receiver.name", "bolts/m12-109-40")]);
}

#[test]
fn a_name_of_another_kind_and_an_empty_reference_are_violations() {
    let mut wire = plan();
    wire.vehicle = Some(vehicle_ref("trailers/flatbed-2t"));
    wire.receiver = Some(receiver_ref("van-tuck"));
    wire.trailer = Some(pb::TrailerRef::default());
    let error = read(&wire).unwrap_err();
    assert_eq!(paths(&error), ["vehicle.name", "receiver.name", "trailer"]);
    assert_eq!(error.violations[0].description, "names a trailer, must name a vehicle");
}

#[test]
fn an_empty_plan_lacks_its_vehicle_and_nothing_else() {
    assert_eq!(paths(&read(&pb::UpfitPlan::default()).unwrap_err()), ["vehicle"]);
    let mut fields = Fields::default();
    let plan = fields.at("plans", 17, |fields| plan_in(&pb::UpfitPlan::default(), Book::demo(), fields));
    assert_eq!(paths(&fields.finish(plan).unwrap_err()), ["plans[17].vehicle"]);
}

#[test]
fn a_tongue_load_is_a_part_of_the_trailer() {
    let mut wire = plan();
    wire.trailer_mass = kg(300.0);
    wire.tongue = kg(300.0).map(Tongue::TongueLoad);
    assert_eq!(paths(&read(&wire).unwrap_err()), ["tongue_load"]);
    wire.tongue = kg(299.0).map(Tongue::TongueLoad);
    assert_eq!(read(&wire).unwrap().tongue, Some(TongueLoad::Load(Mass::from_kg(299.0))));
    for share in [-0.1, 1.1, f64::NAN] {
        wire.tongue = Some(Tongue::TongueShare(share));
        assert_eq!(paths(&read(&wire).unwrap_err()), ["tongue_share"], "{share}");
    }
}

#[test]
fn a_jurisdiction_is_spelled_so_that_its_law_is_found() {
    let mut wire = plan();
    for (text, good) in [("US-TX", true), ("EU", true), (" DE ", true), ("", true), ("us-tx", false), ("Texas", false)]
    {
        wire.jurisdiction = text.to_owned();
        assert_eq!(read(&wire).is_ok(), good, "{text}");
    }
}

#[test]
fn a_figure_of_the_very_unit_takes_the_place_of_the_entry_s() {
    let mut wire = plan();
    wire.unit_figures = Some(pb::UnitFigures {
        gvwr: kg(3400.0),
        rear_kerb_kg: Some(1111.0),
        trailer_gvwr: kg(2000.0),
        ..Default::default()
    });
    let (upfit, entry) = (read(&wire).unwrap(), read(&plan()).unwrap());
    assert_eq!(upfit.vehicle.gvwr, Some(Mass::from_kg(3400.0)));
    assert_eq!(upfit.vehicle.rear.kerb, Some(Mass::from_kg(1111.0)));
    assert_eq!(upfit.vehicle.front, entry.vehicle.front);
    assert_eq!(upfit.trailer.unwrap().gvwr, Some(Mass::from_kg(2000.0)));
    let Some(Spec::Vehicle(stored)) = Book::demo().find(VEHICLE) else { panic!("no such vehicle") };
    assert_ne!(stored.gvwr, upfit.vehicle.gvwr, "the book's own entry must not change");
    wire.trailer = None;
    assert_eq!(paths(&read(&wire).unwrap_err()), ["unit_figures.trailer_gvwr"]);
}

#[test]
fn what_is_given_inline_is_blamed_inline() {
    let mut wire = plan();
    let receiver = pb::Receiver {
        joints: vec![pb::Joint { id: "frame".to_owned(), bolt: "bolts/gone".to_owned(), ..Default::default() }],
        d_value_kn: Some(-1.0),
        ..Default::default()
    };
    wire.receiver = Some(pb::ReceiverRef { receiver: Some(by::Receiver::Spec(Box::new(receiver.clone()))) });
    assert_eq!(paths(&read(&wire).unwrap_err()), ["receiver.spec.d_value_kn"]);
    let receiver = pb::Receiver { d_value_kn: None, ..receiver };
    wire.receiver = Some(pb::ReceiverRef { receiver: Some(by::Receiver::Spec(Box::new(receiver))) });
    wire.joints[0].finish = Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(FINISH.to_owned())) });
    let error = read(&wire).unwrap_err();
    assert_eq!(error.not_found[0].field, "receiver.spec.joints[0].bolt");
}

#[test]
fn a_stack_is_read_and_every_field_of_it_is_checked() {
    let mut wire = plan();
    wire.joints[0].stack = Some(pb::JointStack {
        grip_mm: Some(22.0),
        washer_count: Some(1),
        head_material: "S355".to_owned(),
        coated: Some(false),
        ..pb::JointStack::default()
    });
    let read = read_plan(&wire, Book::demo()).unwrap();
    let stack = read.joints[0].stack.unwrap();
    assert_eq!(
        (stack.grip.map(|grip| grip.mm()), stack.washer_count, stack.coated),
        (Some(22.0), Some(1), Some(false))
    );
    assert_eq!(stack.head_limit.map(|limit| limit.mpa()), Some(760.0));
    wire.joints[0].stack = Some(pb::JointStack {
        grip_mm: Some(-1.0),
        washer_count: Some(9),
        nut_material: "cheese".to_owned(),
        friction_share: Some(3.0),
        bolt_share: Some(f64::NAN),
        ..pb::JointStack::default()
    });
    let error = read_plan(&wire, Book::demo()).unwrap_err();
    assert_eq!(
        paths(&error),
        [
            "joints[0].stack.grip_mm",
            "joints[0].stack.washer_count",
            "joints[0].stack.nut_material",
            "joints[0].stack.bolt_share",
            "joints[0].stack.friction_share",
        ]
    );
}
