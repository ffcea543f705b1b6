//! A plan to which no rule objects, and short words to change one thing in it: what the rules' examples and tests start
//! from.
//!
//! An invented van with an invented trailer: wheelbase 3,640 mm, ball 1,280 mm behind the rear axle, 2,000 kg behind
//! it.

#[cfg(test)]
mod asking;
mod bed;
mod circuits;
mod fasteners;
mod places;
mod record;

use std::sync::Arc;

use crate::{
    model::{
        LinkRating,
        coupling::{Ball, BallMount, ChainRatingKind, Chains, Coupler},
        day::Day,
        profile::{Profile, ProfileJoin, ProfilePoint},
        receiver::{Fit, Receiver},
        trailer::{DrawbarKind, Trailer, TrailerBrakes},
        tyre::{TyreKind, Tyres},
        upfit::{Answers, Limits, LoadItem, MakerTyres, PlannedJoint, SaleState, TongueLoad, Upfit},
        vehicle::{Axle, Market, SpringBarRule, Vehicle, VehicleKind},
        wiring::Socket,
    },
    units::{Angle, Force, Length, Mass, Rate},
};

#[cfg(test)]
pub(crate) use asking::*;
pub use bed::*;
pub use circuits::*;
pub use fasteners::*;
pub use places::*;
pub use record::*;

/// Returns that many kilograms.
#[must_use]
pub fn kg(value: f64) -> Mass {
    Mass::from_kg(value)
}

/// Returns that many millimetres.
#[must_use]
pub fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn pounds(trailer: f64, tongue: Option<f64>) -> LinkRating {
    LinkRating { trailer: Some(Mass::from_lb(trailer)), tongue: tongue.map(Mass::from_lb) }
}

fn tyres() -> Tyres {
    Tyres {
        designation: "235/65R16C 115/113R".into(),
        kind: Some(TyreKind::LightTruck),
        count: Some(2),
        load_index: Some(115),
        load_index_dual: Some(113),
        loaded_radius: Some(mm(345.0)),
        rate: Some(Rate::from_n_per_mm(250.0)),
        wheel_rating: Some(kg(1200.0)),
        temporary_spare: Some(false),
        same_across_axle: Some(true),
    }
}

fn axle(kerb: f64, gawr: f64, rate: f64) -> Axle {
    Axle {
        kerb: Some(kg(kerb)),
        gawr: Some(kg(gawr)),
        suspension_rate: Some(Rate::from_n_per_mm(rate)),
        self_levelling: Some(false),
        tyres: Some(tyres()),
    }
}

fn point(label: &str, station: f64, height: f64) -> ProfilePoint {
    ProfilePoint { label: label.into(), station: mm(station), height: mm(height) }
}

fn vehicle_a() -> Vehicle {
    Vehicle {
        name: "vehicles/van-a".into(),
        seen_on: None,
        label: "van A, long wheelbase".into(),
        market: Some(Market::NorthAmerica),
        kind: Some(VehicleKind::Truck),
        wheelbase: mm(3640.0),
        front: axle(1250.0, 1550.0, 70.0),
        rear: axle(1010.0, 1900.0, 90.0),
        gvwr: Some(kg(3200.0)),
        gcwr: Some(kg(5800.0)),
        tow_braked: Some(kg(2500.0)),
        tow_unbraked: Some(kg(750.0)),
        tow_spring_bars: Some(kg(2500.0)),
        tongue: Some(kg(250.0)),
        tongue_spring_bars: Some(kg(250.0)),
        spring_bars: Some(SpringBarRule::Allowed),
        hitch_class: Some(3),
        front_share_min: Some(0.35),
        tongue_share_min: None,
        tongue_share_max: None,
        tail: None,
        bed: None,
        profile: Some(Profile {
            points: vec![point("front lip", -820.0, 260.0), point("belly", 1820.0, 200.0)],
            join: ProfileJoin::SeparatePoints,
        }),
    }
}

fn receiver_a() -> Receiver {
    Receiver {
        name: "receivers/van-a-class-3".into(),
        label: "class 3 receiver".into(),
        mass: Some(kg(38.0)),
        opening: Some(Length::from_in(2.0)),
        hitch_class: Some(3),
        carrying: pounds(5000.0, Some(500.0)),
        spring_bars: Some(pounds(6000.0, Some(600.0))),
        d_value: Some(Force::from_kn(14.0)),
        s_value: Some(kg(230.0)),
        v_value: None,
        approval_mark: None,
        fits: vec![Fit {
            vehicle: "vehicles/van-a".into(),
            mass_station: Some(mm(4650.0)),
            pin_station: Some(mm(4690.0)),
            tube_top_height: Some(mm(560.0)),
            points: vec![point("receiver bottom", 4920.0, 255.0)],
        }],
        joints: Vec::new(),
    }
}

fn trailer_a() -> Trailer {
    Trailer {
        name: "trailers/tipper-a".into(),
        label: "tipper A".into(),
        gvwr: Some(kg(2200.0)),
        gawr: Some(kg(2300.0)),
        axle_count: Some(2),
        coupler_to_axle: Some(mm(4300.0)),
        coupler_height_level: Some(mm(470.0)),
        coupler: Some("couplers/two-inch".into()),
        drawbar: Some(DrawbarKind::CentreAxle),
        brakes: Some(TrailerBrakes::Electric),
        breakaway: Some(true),
        chains: Some(chains_a()),
        jack_rating: Some(kg(500.0)),
        plug: Some(Socket::SevenWayLight),
        tyres: Some(Tyres {
            designation: "195/70R14C 100/98N".into(),
            kind: Some(TyreKind::Trailer),
            count: Some(4),
            load_index: Some(100),
            load_index_dual: Some(98),
            ..tyres()
        }),
        tongue_share_min: None,
        tongue_share_max: None,
        v_value_needed: None,
        nose: None,
        king_pin: None,
        underside_above_coupling: None,
    }
}

fn item(label: &str, mass: f64, station: f64) -> LoadItem {
    LoadItem { label: label.into(), mass: Some(kg(mass)), station: Some(mm(station)), permanent: false }
}

fn mount_a() -> BallMount {
    BallMount {
        name: "ballmounts/drop-20".into(),
        label: "20 mm drop".into(),
        mass: Some(kg(7.0)),
        shank: Some(Length::from_in(2.0)),
        drop: Some(mm(20.0)),
        length: Some(mm(230.0)),
        depth_below_platform: Some(mm(60.0)),
        ball_hole: Some(Length::from_in(1.0)),
        rating: pounds(6000.0, Some(600.0)),
    }
}

fn ball_a() -> Ball {
    Ball {
        name: "balls/two-inch".into(),
        label: "2 in ball".into(),
        mass: Some(kg(2.0)),
        diameter: Some(Length::from_in(2.0)),
        shank: Some(Length::from_in(1.0)),
        height: Some(mm(62.0)),
        rating: pounds(6000.0, None),
        d_value: Some(Force::from_kn(14.0)),
        s_value: Some(kg(230.0)),
    }
}

fn coupler_a() -> Coupler {
    Coupler {
        name: "couplers/two-inch".into(),
        label: "2 in coupler".into(),
        ball: Some(Length::from_in(2.0)),
        rating: pounds(5000.0, None),
        d_value: Some(Force::from_kn(14.0)),
        s_value: Some(kg(230.0)),
        forbids_spring_bars: Some(false),
    }
}

fn chains_a() -> Chains {
    Chains { count: Some(2), rating_each: Some(Force::from_kn(25.0)), rating_kind: Some(ChainRatingKind::Breaking) }
}

/// A plan to which no rule objects.
#[must_use]
pub fn plan() -> Upfit {
    Upfit {
        unit: "unit 7".into(),
        vin: Some("ZZZBK3A05T1000123".into()),
        model_year: Some(2026),
        vehicle: Arc::new(vehicle_a()),
        receiver: Some(Arc::new(receiver_a())),
        replaced_receiver: None,
        ball_mount: Some(Arc::new(mount_a())),
        ball: Some(Arc::new(ball_a())),
        coupler: Some(Arc::new(coupler_a())),
        bed_coupling: None,
        trailer: Some(Arc::new(trailer_a())),
        extension: None,
        pin: None,
        trailer_mass: Some(kg(2000.0)),
        tongue: Some(TongueLoad::Load(kg(210.0))),
        items: vec![item("two people", 150.0, 1450.0), item("cargo", 400.0, 3300.0)],
        mass_added_before: Some(Mass::ZERO),
        mass_removed: Some(Mass::ZERO),
        sale: Some(SaleState::InUse),
        jurisdiction: Some("US-TX".into()),
        chain_rule: None,
        spring_bars: Some(false),
        restoration: None,
        stated_train: None,
        label_seen_on: None,
        maker_tyres: MakerTyres::default(),
        brake_law: None,
        brake_controller: Some(true),
        socket: Some(Socket::SevenWayLight),
        converter: Some(false),
        joints: vec![joint_a()],
        terrains: Vec::new(),
        off_road_class: None,
        work_day: Day::read("2026-11-26"),
        limits: Limits {
            approach_min: Some(Angle::from_deg(15.0)),
            departure_min: Some(Angle::from_deg(10.0)),
            departure_laden_min: Some(Angle::from_deg(5.0)),
            ramp_min: Some(Angle::from_deg(8.0)),
            hitch_height_min: Some(mm(110.0)),
            ..Limits::default()
        },
        circuits: Vec::new(),
        routing: Vec::new(),
        work: None,
        twin: None,
        policy: None,
        answers: Answers {
            maker_points_used: Some(true),
            near_fuel: Some(false),
            guard_removed: Some(false),
            lamp_hidden: Some(false),
            rust_at_mounts: Some(false),
            recall_open: Some(false),
            captive_nut_loose: Some(false),
            chains_on_ball_mount: Some(false),
            raises_gvwr: Some(false),
            mass_label_planned: Some(false),
            alterer_label_planned: Some(false),
            beyond_readily_attachable: Some(false),
            pressure_at_placard: Some(true),
            earths_joined: None,
            plate_lamp_moved: None,
            plate_lamp_tested: None,
            wired_elsewhere: Some(true),
        },
    }
}

/// Returns the vehicle of the plan, to change it.
pub fn vehicle(plan: &mut Upfit) -> &mut Vehicle {
    Arc::make_mut(&mut plan.vehicle)
}

/// Returns the receiver of the plan, to change it.
pub fn receiver(plan: &mut Upfit) -> &mut Receiver {
    Arc::make_mut(plan.receiver.get_or_insert_with(|| Arc::new(receiver_a())))
}

/// Returns the fit of the plan, to change it.
pub fn fit(plan: &mut Upfit) -> &mut Fit {
    &mut receiver(plan).fits[0]
}

/// Returns the mount of the plan, to change it.
pub fn mount(plan: &mut Upfit) -> &mut BallMount {
    Arc::make_mut(plan.ball_mount.get_or_insert_with(|| Arc::new(mount_a())))
}

/// Returns the ball of the plan, to change it.
pub fn ball(plan: &mut Upfit) -> &mut Ball {
    Arc::make_mut(plan.ball.get_or_insert_with(|| Arc::new(ball_a())))
}

/// Returns the coupler of the plan, to change it.
pub fn coupler(plan: &mut Upfit) -> &mut Coupler {
    Arc::make_mut(plan.coupler.get_or_insert_with(|| Arc::new(coupler_a())))
}

/// Returns the trailer of the plan, to change it.
pub fn trailer(plan: &mut Upfit) -> &mut Trailer {
    Arc::make_mut(plan.trailer.get_or_insert_with(|| Arc::new(trailer_a())))
}

/// Returns the chains of the plan, to change it.
pub fn chains(plan: &mut Upfit) -> &mut Chains {
    trailer(plan).chains.get_or_insert_with(chains_a)
}

/// Returns the front tyres of the plan, to change it.
pub fn front_tyres(plan: &mut Upfit) -> &mut Tyres {
    vehicle(plan).front.tyres.get_or_insert_with(tyres)
}

/// Returns the rear tyres of the plan, to change it.
pub fn rear_tyres(plan: &mut Upfit) -> &mut Tyres {
    vehicle(plan).rear.tyres.get_or_insert_with(tyres)
}

/// Returns the trailer tyres of the plan, to change it.
pub fn trailer_tyres(plan: &mut Upfit) -> &mut Tyres {
    trailer(plan).tyres.get_or_insert_with(tyres)
}

/// Returns the joint of the plan, to change it.
pub fn joint(plan: &mut Upfit) -> &mut PlannedJoint {
    &mut plan.joints[0]
}

/// Makes the plan European: market, law, and what goes with them.
pub fn europe(plan: &mut Upfit) {
    plan.jurisdiction = Some("EU".into());
    vehicle(plan).market = Some(Market::Europe);
    receiver(plan).approval_mark = Some("E99-000000".into());
    trailer(plan).brakes = Some(TrailerBrakes::Overrun);
    fit(plan).tube_top_height = Some(mm(495.0));
    trailer(plan).coupler_height_level = Some(mm(405.0));
}
