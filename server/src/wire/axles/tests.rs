//! The three calculators that take a plan say the same as the rule book where both speak.

use baybook_core::rules::Figures;
use baybook_proto::v1::{upfit_plan::Tongue, vehicle_ref};

use super::*;
use crate::wire::{
    clearances::{Clearances, clearances_to_wire},
    fixture::{Book, entries, kg, paths, plan, vehicle_ref as named},
    read_plan,
    towing::{read_rate_towing, towing_to_wire},
};

fn close(left: Option<f64>, right: Option<f64>) -> bool {
    match (left, right) {
        (Some(left), Some(right)) => (left - right).abs() <= 1e-9 * right.abs().max(1.0),
        (left, right) => left == right,
    }
}

#[test]
fn axle_loads_are_those_of_the_rule_book() {
    let figures = Figures::of(&read_plan(&plan(), Book::demo()).unwrap());
    let asked = AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(plan()) }, Book::demo()).unwrap();
    let answer = axle_loads_to_wire(&asked, 1);
    let axles = figures.axles.unwrap();
    assert!(close(answer.front_kg, Some(axles.front.kg())), "{answer:?}");
    assert!(close(answer.rear_kg, Some(axles.rear.kg())));
    assert!(close(answer.rear_before_kg, Some(axles.rear_before.kg())));
    assert!(close(answer.tongue_kg, figures.tongue.ok().map(Mass::kg)));
    let find = |field: &str, label: &str| {
        answer.ratings.iter().find(|row| row.field == field && row.label.starts_with(label)).unwrap()
    };
    assert!(close(find("vehicle.gvwr", "gross").load_kg, figures.gross.ok().map(Mass::kg)));
    assert!(close(find("vehicle.gvwr", "payload").load_kg, figures.payload_used.ok().map(Mass::kg)));
    assert!(close(find("vehicle.gcwr", "").load_kg, figures.combination.ok().map(Mass::kg)));
    assert!(close(find("vehicle.rear.tyres", "rear tyres").rating_kg, figures.tyres_rear.ok().map(Mass::kg)));
    // What each item does adds up to what the axles gained.
    let gained: f64 = answer.items.iter().filter_map(|item| item.rear_kg).sum();
    assert!(close(Some(gained), Some(axles.rear.kg() - asked.loads.kerb.1.kg())));
}

#[test]
fn a_bare_vehicle_with_items_needs_no_receiver() {
    let mut wire = plan();
    (wire.receiver, wire.ball_mount, wire.ball, wire.trailer, wire.tongue) = (None, None, None, None, None);
    (wire.joints, wire.trailer_mass) = (Vec::new(), None);
    let asked = AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(wire) }, Book::demo()).unwrap();
    let answer = axle_loads_to_wire(&asked, 1);
    assert_eq!((answer.items.len(), answer.tongue_kg), (2, None));
    assert_eq!(answer.front_kg, answer.front_before_kg);
    assert!(answer.ratings.iter().all(|row| !row.field.starts_with("trailer")));
}

#[test]
fn a_part_that_is_named_must_say_how_heavy_it_is_and_where_it_sits() {
    let mut wire = plan();
    wire.items[1].station_mm = None;
    wire.items[0].mass = None;
    wire.ball_mount = None;
    let error = AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(wire) }, Book::demo()).unwrap_err();
    assert_eq!(paths(&error), ["plan.ball_mount", "plan.items[0].mass", "plan.items[1].station_mm"]);
    let error = AxleLoads::read(&pb::AxleLoadsRequest::default(), Book::demo()).unwrap_err();
    assert_eq!(paths(&error), ["plan"]);
}

#[test]
fn weakest_links_are_those_of_the_rule_book() {
    let upfit = read_rate_towing(&pb::RateTowingRequest { plan: Some(plan()) }, Book::demo()).unwrap();
    let figures = Figures::of(&upfit);
    let answer = towing_to_wire(&upfit, 1);
    for (link, weakest) in [(answer.trailer, figures.trailer_limit), (answer.tongue, figures.tongue_limit)] {
        let link = link.unwrap();
        assert!(close(link.limit_kg, weakest.limit.map(Mass::kg)));
        assert_eq!(link.governing, weakest.governing.unwrap().label);
        assert_eq!(link.unknown_count, i32::try_from(weakest.unknown_count).unwrap());
        let known = link.links.iter().filter_map(|link| link.limit_kg).fold(f64::INFINITY, f64::min);
        assert_eq!(link.limit_kg, Some(known));
    }
    assert_eq!(answer.tongue_share, Some(0.11));
    // SAE J684, table of classes: 5,000 lb is the last of class 3.
    assert_eq!(answer.trailer_class_code, Some(3));
}

#[test]
fn a_limit_at_a_share_is_not_given_while_a_link_is_unknown() {
    let mut wire = plan();
    wire.ball = None;
    let upfit = read_rate_towing(&pb::RateTowingRequest { plan: Some(wire) }, Book::demo()).unwrap();
    let answer = towing_to_wire(&upfit, 1);
    assert!(answer.trailer.unwrap().unknown_count > 0);
    assert_eq!(answer.trailer_limit_at_share_kg, None);
    assert!(answer.cautions.iter().any(|caution| caution.id == "links-unknown"));
}

#[test]
fn clearances_are_those_of_the_rule_book() {
    let request = pb::ClearancesRequest { plan: Some(plan()), tape_uncertainty_mm: Some(3.0), ..Default::default() };
    let asked = Clearances::read(&request, Book::demo()).unwrap();
    let figures = Figures::of(&asked.plan);
    let answer = clearances_to_wire(&asked, 1);
    let find = |laden, gear| answer.states.iter().find(|state| state.laden == laden && state.gear() == gear).unwrap();
    for (laden, shape) in [(false, figures.unladen), (true, figures.laden)] {
        let state = find(laden, pb::FittedGear::ReceiverAndBallMount);
        let departure = state.departure.as_ref().unwrap();
        assert!(close(departure.angle_deg, Some(shape.departure.unwrap().angle.deg())), "{laden}");
        assert!(close(state.approach.as_ref().unwrap().angle_deg, Some(shape.approach.unwrap().angle.deg())));
        assert!(close(state.ramp.as_ref().unwrap().angle_deg, Some(shape.ramp.unwrap().angle.deg())));
        assert!(departure.uncertainty_deg.unwrap() > 0.0);
        assert!(!departure.at.as_ref().unwrap().label.is_empty());
    }
    let bare = find(false, pb::FittedGear::Bare).departure.as_ref().unwrap().angle_deg;
    assert!(bare >= find(false, pb::FittedGear::Receiver).departure.as_ref().unwrap().angle_deg);
    assert!(close(answer.rear_sag_mm, Some(figures.sag.unwrap().rear.mm())));
    assert!(close(answer.ball_height_laden_mm, figures.ball_height.ok().map(|height| height.mm())));
    assert!(close(answer.drop_to_level_mm, figures.drop_to_level.ok().map(|drop| drop.mm())));
}

#[test]
fn a_laden_state_that_cannot_be_told_says_why() {
    let mut wire = plan();
    wire.vehicle = Some(named("vehicles/van-l35-air"));
    let request = pb::ClearancesRequest { plan: Some(wire), tape_uncertainty_mm: None, ..Default::default() };
    let asked = Clearances::read(&request, Book::demo()).unwrap();
    let answer = clearances_to_wire(&asked, 1);
    assert!(answer.states.iter().all(|state| !state.laden), "an axle that levels itself has no computed sag");
    assert_eq!((answer.rear_sag_mm, answer.drop_to_level_mm), (None, None));
    assert!(answer.cautions.iter().any(|caution| caution.id == "state-missing"), "{:?}", answer.cautions);
}

#[test]
fn a_vehicle_without_profile_or_radii_has_no_clearances() {
    let bare = pb::Vehicle { wheelbase_mm: Some(3640.0), ..Default::default() };
    let wire = pb::UpfitPlan {
        vehicle: Some(pb::VehicleRef { vehicle: Some(vehicle_ref::Vehicle::Spec(Box::new(bare))) }),
        ..Default::default()
    };
    let request = pb::ClearancesRequest { plan: Some(wire), tape_uncertainty_mm: Some(f64::NAN), ..Default::default() };
    let error = Clearances::read(&request, Book::demo()).unwrap_err();
    assert_eq!(
        paths(&error),
        [
            "tape_uncertainty_mm",
            "plan.vehicle.profile",
            "plan.vehicle.front.tyres.loaded_radius_mm",
            "plan.vehicle.rear.tyres.loaded_radius_mm",
        ]
    );
}

#[test]
fn every_vehicle_and_trailer_of_the_book_gets_an_answer() {
    let names = |folder: &str| {
        entries().iter().map(|entry| entry.name.clone()).filter(|name| name.starts_with(folder)).collect::<Vec<_>>()
    };
    for vehicle in names("vehicles/") {
        for trailer in names("trailers/") {
            let mut wire = plan();
            wire.vehicle = Some(named(&vehicle));
            wire.trailer = Some(crate::wire::fixture::trailer_ref(&trailer));
            wire.tongue = kg(150.0).map(Tongue::TongueLoad);
            let upfit = read_rate_towing(&pb::RateTowingRequest { plan: Some(wire.clone()) }, Book::demo()).unwrap();
            let answer = towing_to_wire(&upfit, 1);
            assert!(answer.trailer.is_some_and(|link| !link.links.is_empty()), "{vehicle} {trailer}");
            let request = pb::ClearancesRequest { plan: Some(wire), tape_uncertainty_mm: None, ..Default::default() };
            if let Ok(asked) = Clearances::read(&request, Book::demo()) {
                assert!(!clearances_to_wire(&asked, 1).states.is_empty(), "{vehicle} {trailer}");
            }
        }
    }
}
