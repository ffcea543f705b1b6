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
    let asked =
        AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(plan()), ..Default::default() }, Book::demo()).unwrap();
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
    let asked =
        AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(wire), ..Default::default() }, Book::demo()).unwrap();
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
    let error =
        AxleLoads::read(&pb::AxleLoadsRequest { plan: Some(wire), ..Default::default() }, Book::demo()).unwrap_err();
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

/// The demonstration van with a trailer of 2000 kg and a tongue load, perhaps with bars set.
fn barred(setting: Option<pb::SpringBarSetting>) -> pb::AxleLoadsRequest {
    let mut wire = plan();
    (wire.trailer_mass, wire.tongue) = (kg(2000.0), kg(210.0).map(Tongue::TongueLoad));
    wire.spring_bars = Some(true);
    pb::AxleLoadsRequest { plan: Some(wire), spring_bars: setting, tilt: None }
}

fn set(setting: pb::spring_bar_setting::Setting) -> Option<pb::SpringBarSetting> {
    Some(pb::SpringBarSetting { setting: Some(setting), bar_length_mm: None })
}

fn answered(request: &pb::AxleLoadsRequest) -> pb::AxleLoadsResponse {
    axle_loads_to_wire(&AxleLoads::read(request, Book::demo()).unwrap(), 1)
}

#[test]
fn bars_give_back_what_they_are_set_to_however_it_is_told() {
    use pb::spring_bar_setting::Setting;
    let slack = answered(&barred(None));
    assert!(slack.spring_bars.is_none() && slack.cautions.iter().any(|it| it.id == "bars-not-counted"));
    let (before, hitched) = (slack.front_before_kg.unwrap(), slack.front_kg.unwrap());
    let half = answered(&barred(set(Setting::RestorationShare(0.5)))).spring_bars.unwrap();
    assert!(close(half.front_kg, Some((before + hitched) / 2.0)), "{half:?}");
    // Statics: what front and rear gain and the trailer's axles gain adds up to the tongue load.
    let gained = half.front_kg.unwrap() + half.rear_kg.unwrap() + half.trailer_gain_kg.unwrap();
    assert!(close(Some(gained), Some(before + slack.rear_before_kg.unwrap() + 210.0)));
    assert!(close(half.trailer_axles_kg, Some(1790.0 + half.trailer_gain_kg.unwrap())));
    assert!(close(half.couple_n_m, half.full_couple_n_m.map(|full| full / 2.0)));
    // By the couple, by the pull at the ends, by three weighings and by three heights it is the same setting.
    let couple = half.couple_n_m.unwrap();
    let pull = pb::Force { value_n: Some(couple / 0.75), printed: String::new() };
    let mut by_pull = set(Setting::BarPull(pull));
    by_pull.as_mut().unwrap().bar_length_mm = Some(750.0);
    let weighed =
        pb::FrontAxleWeighings { unhitched_kg: Some(1364.0), hitched_kg: Some(1290.0), with_bars_kg: Some(1327.0) };
    let arch = pb::FrontArchHeights { unhitched_mm: Some(800.0), hitched_mm: Some(820.0), with_bars_mm: Some(810.0) };
    for other in
        [set(Setting::CoupleNM(couple)), by_pull, set(Setting::Weighings(weighed)), set(Setting::ArchHeights(arch))]
    {
        let other = answered(&barred(other)).spring_bars.unwrap();
        assert!(close(other.front_kg, half.front_kg) && close(other.net_hitch_kg, half.net_hitch_kg), "{other:?}");
    }
    let over = answered(&barred(set(Setting::RestorationShare(1.2))));
    assert!(over.spring_bars.unwrap().over_restored);
    assert!(over.cautions.iter().any(|it| it.id == "bars-raise-nothing"));
    // The plan's own setting counts where the question says none.
    let mut planned = barred(None);
    planned.plan.as_mut().unwrap().restoration_share = Some(0.5);
    assert!(close(answered(&planned).spring_bars.unwrap().front_kg, half.front_kg));
}

#[test]
fn bars_that_say_nothing_or_too_much_are_refused() {
    use pb::spring_bar_setting::Setting;
    let refused = |request: &pb::AxleLoadsRequest| {
        let error = AxleLoads::read(request, Book::demo()).unwrap_err();
        paths(&error).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(refused(&barred(Some(pb::SpringBarSetting::default()))), ["spring_bars"]);
    assert_eq!(refused(&barred(set(Setting::RestorationShare(2.5)))), ["spring_bars.restoration_share"]);
    let pull = pb::Force { value_n: Some(900.0), printed: String::new() };
    assert_eq!(refused(&barred(set(Setting::BarPull(pull)))), ["spring_bars.bar_length_mm"]);
    let flat =
        pb::FrontAxleWeighings { unhitched_kg: Some(1300.0), hitched_kg: Some(1300.0), with_bars_kg: Some(1300.0) };
    assert_eq!(refused(&barred(set(Setting::Weighings(flat)))), ["spring_bars.weighings"]);
    let mut alone = barred(set(Setting::RestorationShare(0.5)));
    let wire = alone.plan.as_mut().unwrap();
    (wire.trailer, wire.trailer_mass, wire.tongue) = (None, None, None);
    assert_eq!(refused(&alone), ["plan.trailer.coupler_to_axle_mm", "plan.tongue_load"]);
}

#[test]
fn a_tilt_weighing_gives_the_height_of_the_centre() {
    let tilt = pb::TiltWeighing {
        tilt_deg: Some(45.0),
        front_level_kg: Some(1250.0),
        rear_level_kg: Some(1010.0),
        rear_tilted_kg: Some(1410.0),
        loaded_radius_mm: Some(345.0),
    };
    let mut request = barred(None);
    request.tilt = Some(tilt);
    // Statics: 345 + 400 · 3640 / (2260 · tan 45°) = 345 + 644.25.
    let height = answered(&request).mass_height_mm.unwrap();
    assert!((height - 989.247_787_610_6).abs() < 1e-6, "{height}");
    request.tilt = Some(pb::TiltWeighing { tilt_deg: Some(3.0), rear_tilted_kg: None, ..tilt });
    let error = AxleLoads::read(&request, Book::demo()).unwrap_err();
    assert_eq!(paths(&error), ["tilt.tilt_deg", "tilt.rear_tilted_kg"]);
}

#[test]
fn the_room_for_tongue_load_is_solved_back_from_every_limit() {
    let answer = answered(&barred(None));
    let room = answer.tongue_room.unwrap();
    assert_eq!(room.planned_kg, Some(210.0));
    let by = |path: &str| room.links.iter().find(|link| link.field == path).and_then(|link| link.limit_kg);
    assert!(close(by("vehicle.rear.gawr"), answer.tongue_limit_rear_axle_kg));
    assert!(close(by("vehicle.gvwr"), answer.tongue_limit_vehicle_kg));
    assert_eq!(room.limit_kg, room.links.iter().filter_map(|link| link.limit_kg).reduce(f64::min));
}

#[test]
fn tyres_are_read_and_what_they_carry_is_told() {
    let mut request = barred(None);
    let own = pb::UnitFigures { rear_tyre_designation: "P235/65R16 103T".to_owned(), ..Default::default() };
    request.plan.as_mut().unwrap().unit_figures = Some(own);
    let answer = answered(&request);
    let [front, rear, trailer] = &answer.tyres[..] else { panic!("{:?}", answer.tyres) };
    // Shop page on tyre arithmetic, opened: 711.90 mm; the load table and the 1.10 divisor: 795.455 kg each.
    assert!((rear.diameter_mm.unwrap() - 711.9).abs() < 0.005);
    assert_eq!((rear.car_tyre_divided, rear.dual), (Some(true), Some(false)));
    assert!((rear.each_kg.unwrap() - 795.455).abs() < 0.000_5 + 1e-9, "{rear:?}");
    assert!((rear.loaded_radius_low_mm.unwrap() - 0.95 * 355.95).abs() < 1e-9);
    assert!(front.tyres_kg.is_some() && trailer.tyres_kg.is_some());
}

#[test]
fn a_train_is_told_its_class_window_chains_brakes_and_fits() {
    let answer = |wire: pb::UpfitPlan| {
        towing_to_wire(&read_rate_towing(&pb::RateTowingRequest { plan: Some(wire) }, Book::demo()).unwrap(), 1)
    };
    let whole = answer(plan());
    // SAE J684 tables, opened in a reprint: class 3 couplings, 15 000 lb lengthwise; chains of 5000 lb each.
    let class = whole.coupling_class.unwrap();
    let lbf = 4.448_221_615_260_5;
    assert!(close(class.longitudinal_n, Some(15_000.0 * lbf)) && close(class.chain_each_n, Some(5000.0 * lbf)));
    assert!(close(class.ball_min_mm, Some(50.8)));
    let window = whole.tongue_window.unwrap();
    assert_eq!((window.least_share, window.standing()), (Some(0.10), pb::WindowStanding::Inside));
    assert_eq!(whole.chains.unwrap().standing(), pb::CertifiedStanding::Holds);
    let brakes = whole.brakes.unwrap();
    assert_eq!((brakes.need(), brakes.braked, brakes.from_book), (pb::BrakeNeed::Must, Some(true), false));
    assert!(close(brakes.unbraked_to_kg, Some(4500.0 * 0.453_592_37)), "Texas Department of Public Safety");
    assert!(whole.part_fits.len() == 3 && whole.part_fits.iter().all(|fit| fit.holds == Some(true)));

    // The shop's own row of an invented place, and a place that nobody knows.
    let invented = answer(pb::UpfitPlan { jurisdiction: "XA".to_owned(), ..plan() }).brakes.unwrap();
    assert_eq!((invented.unbraked_to_kg, invented.from_book), (Some(900.0), true));
    let nowhere = answer(pb::UpfitPlan { jurisdiction: "XB".to_owned(), ..plan() });
    let brakes = nowhere.brakes.unwrap();
    assert_eq!((brakes.need(), brakes.unbraked_to_kg), (pb::BrakeNeed::Unspecified, None));

    // A pin is a link once it is named, and unknown is not fine.
    let pinned = |pin: pb::LinkRating| answer(pb::UpfitPlan { pin: Some(pin), ..plan() }).trailer.unwrap();
    let weak = pinned(pb::LinkRating { trailer: kg(1200.0), tongue: None });
    assert_eq!((weak.governing.as_str(), weak.limit_kg), ("pin and clip", Some(1200.0)));
    assert_eq!(pinned(pb::LinkRating::default()).unknown_count, 1);
}

#[test]
fn angles_carry_the_tape_and_the_sag_and_are_drawn() {
    let ask = |sag: Option<f64>, drawing: bool| {
        let request = pb::ClearancesRequest {
            plan: Some(plan()),
            tape_uncertainty_mm: Some(3.0),
            sag_uncertainty_mm: sag,
            drawing,
            ..Default::default()
        };
        clearances_to_wire(&Clearances::read(&request, Book::demo()).unwrap(), 1)
    };
    let (tape, both) = (ask(None, false), ask(Some(10.0), true));
    let off = |answer: &pb::ClearancesResponse, laden: bool| {
        let fitted = pb::FittedGear::ReceiverAndBallMount;
        let state = answer.states.iter().find(|state| state.laden == laden && state.gear() == fitted).unwrap();
        state.departure.as_ref().unwrap().uncertainty_deg.unwrap()
    };
    // Unladen nothing sinks; laden ten millimetres of doubt count like ten of the tape's height.
    assert!(close(Some(off(&tape, false)), Some(off(&both, false))));
    assert!(off(&tape, true) + 0.2 < off(&both, true), "{} {}", off(&tape, true), off(&both, true));
    assert!(tape.cautions.iter().any(|it| it.id == "tape-alone") && tape.drawing_svg.is_empty());
    assert!(both.cautions.iter().all(|it| it.id != "tape-alone"));
    assert!(both.drawing_svg.starts_with("<svg") && both.drawing_svg.ends_with("</svg>\n"));
    for state in &both.states {
        assert!(both.drawing_svg.contains(&state.label), "{}", state.label);
    }
}
