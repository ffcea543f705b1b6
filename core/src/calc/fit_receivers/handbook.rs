//! The invented van among invented receivers, and laws of the ranking.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::{
        clearance::departure as angle_of,
        example_van::{ITEMS, SOURCE, TONGUE, WHEELBASE},
        printed::prints,
    },
    model::{
        LinkRating,
        profile::{Profile, ProfileJoin, ProfilePoint},
        receiver::Fit,
        tyre::Tyres,
        vehicle::Axle,
    },
    units::Rate,
};

const fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

const fn lb(trailer: f64, tongue: f64) -> LinkRating {
    LinkRating { trailer: Some(Mass::from_lb(trailer)), tongue: Some(Mass::from_lb(tongue)) }
}

fn axle(kerb: f64, gawr: f64, rate: f64) -> Axle {
    Axle {
        kerb: Some(Mass::from_kg(kerb)),
        gawr: Some(Mass::from_kg(gawr)),
        suspension_rate: Some(Rate::from_n_per_mm(rate)),
        self_levelling: Some(false),
        tyres: Some(Tyres {
            designation: crate::model::tyre::Marking::default(),
            kind: None,
            count: Some(2),
            load_index: None,
            load_index_dual: None,
            loaded_radius: Some(mm(345.0)),
            rate: Some(Rate::from_n_per_mm(250.0)),
            wheel_rating: None,
            temporary_spare: None,
            same_across_axle: None,
        }),
    }
}

fn point(station: f64, height: f64) -> ProfilePoint {
    ProfilePoint { label: String::new(), station: mm(station), height: mm(height) }
}

fn van() -> Vehicle {
    Vehicle {
        name: "vehicles/van-a".to_owned(),
        seen_on: None,
        label: String::new(),
        market: None,
        kind: None,
        wheelbase: WHEELBASE,
        front: axle(1250.0, 1550.0, 70.0),
        rear: axle(1010.0, 1900.0, 90.0),
        gvwr: Some(Mass::from_kg(3200.0)),
        gcwr: Some(Mass::from_kg(5800.0)),
        tow_braked: Some(Mass::from_kg(2500.0)),
        tow_unbraked: Some(Mass::from_kg(750.0)),
        tow_spring_bars: None,
        tongue: Some(Mass::from_kg(250.0)),
        tongue_spring_bars: None,
        spring_bars: None,
        hitch_class: None,
        front_share_min: None,
        tongue_share_min: None,
        tongue_share_max: None,
        tail: None,
        bed: None,
        profile: Some(Profile {
            points: vec![point(-820.0, 260.0), point(1820.0, 200.0), point(4700.0, 330.0)],
            join: ProfileJoin::SeparatePoints,
        }),
    }
}

fn receiver(mass: f64, carrying: LinkRating, height: f64) -> Receiver {
    Receiver {
        name: String::new(),
        label: String::new(),
        mass: Some(Mass::from_kg(mass)),
        opening: Some(mm(50.8)),
        hitch_class: None,
        carrying,
        spring_bars: None,
        d_value: None,
        s_value: None,
        v_value: None,
        approval_mark: None,
        fits: vec![Fit {
            vehicle: "vehicles/van-a".to_owned(),
            mass_station: Some(mm(4650.0)),
            pin_station: Some(mm(4720.0)),
            tube_top_height: Some(mm(560.0)),
            points: vec![point(4920.0, height)],
        }],
        joints: Vec::new(),
    }
}

fn mount() -> BallMount {
    BallMount {
        name: String::new(),
        label: String::new(),
        mass: Some(Mass::from_kg(9.0)),
        shank: Some(mm(50.8)),
        drop: Some(mm(20.0)),
        length: Some(mm(200.0)),
        depth_below_platform: None,
        ball_hole: None,
        rating: lb(6000.0, 600.0),
    }
}

fn ball() -> Ball {
    Ball {
        name: String::new(),
        label: String::new(),
        mass: None,
        diameter: Some(mm(50.8)),
        shank: None,
        height: None,
        rating: LinkRating { trailer: Some(Mass::from_lb(6000.0)), tongue: None },
        d_value: None,
        s_value: None,
    }
}

/// Runs with everything of the van but the receiver's own 38 kg.
fn with<R>(change: impl FnOnce(&mut FitInput<'_>), then: impl FnOnce(&FitInput<'_>) -> R) -> R {
    let (vehicle, mount, ball) = (van(), mount(), ball());
    let items = [ITEMS[0], ITEMS[1], ITEMS[3]];
    let mut input = FitInput {
        vehicle: &vehicle,
        items: &items,
        ball_mount: Some(&mount),
        ball: Some(&ball),
        coupler: None,
        trailer: None,
        extension: None,
        pin: None,
        european: false,
        brakes: Some(TrailerBrakes::Electric),
        spring_bars: false,
        trailer_mass: Mass::from_kg(2000.0),
        tongue: TONGUE,
        at_ball: Mass::ZERO,
        wish: Wish::default(),
    };
    change(&mut input);
    then(&input)
}

fn rank(list: &[Receiver]) -> Vec<Candidate> {
    with(|_| {}, |input| fit_receivers(input, list).unwrap())
}

#[test]
fn the_vans_own_receiver_suits_and_governs() {
    let ranked = rank(&[receiver(38.0, lb(5000.0, 500.0), 255.0)]);
    let one = &ranked[0];
    assert_eq!((one.suits, one.reasons.len()), (Suits::Yes, 0), "{one:?}");
    // Worked example on an invented van, derived: 2267.96 kg and 226.796 kg, both by the receiver.
    prints(SOURCE, "2267.96", one.trailer.limit.unwrap().kg());
    prints(SOURCE, "226.796", one.tongue.limit.unwrap().kg());
    assert_eq!(one.governing.unwrap().path, "receiver.carrying.tongue");
    // 210 of 226.796 kg.
    prints(SOURCE, "0.9259", one.used.unwrap());
    prints(SOURCE, "11.5749", one.departure.unwrap().deg());
    // Laden by the rigid-body pose.
    prints(SOURCE, "5.6157", one.departure_laden.unwrap().deg());
    // The vehicle alone takes 2500 kg.
    prints(SOURCE, "232.04", one.loses.trailer.unwrap().kg());
    prints(SOURCE, "38", one.loses.payload.unwrap().kg());
}

#[test]
fn best_first_then_the_unknown_then_what_does_not_suit() {
    let mut nameless = receiver(38.0, lb(8000.0, 800.0), 255.0);
    nameless.fits[0].vehicle = "vehicles/other".to_owned();
    let unknown = Receiver { mass: None, ..receiver(38.0, lb(8000.0, 800.0), 255.0) };
    let list = [
        nameless,
        unknown,
        receiver(38.0, lb(3500.0, 350.0), 255.0),
        receiver(38.0, lb(5000.0, 500.0), 255.0),
        receiver(38.0, lb(8000.0, 800.0), 240.0),
        receiver(38.0, lb(8000.0, 800.0), 255.0),
        Receiver { opening: Some(mm(63.5)), ..receiver(38.0, lb(8000.0, 800.0), 255.0) },
    ];
    let ranked = rank(&list);
    let order: Vec<usize> = ranked.iter().map(|one| one.index).collect();
    assert_eq!(&order[..4], [5, 4, 3, 1], "{ranked:#?}");
    assert_eq!(ranked[3].suits, Suits::Unknown);
    assert!(ranked[4..].iter().all(|one| one.suits == Suits::No));
    let by_index = |index: usize| ranked.iter().find(|one| one.index == index).unwrap();
    assert!(by_index(0).reasons.contains(&Reason::NotForVehicle));
    assert!(matches!(by_index(2).reasons[0], Reason::TrailerOver { .. }), "{:?}", by_index(2));
    assert!(by_index(6).reasons.contains(&Reason::ShankSize { opening: mm(63.5), shank: mm(50.8) }));
    assert!(by_index(1).reasons.contains(&Reason::UnknownFigure { path: "receiver.mass_kg" }));
}

#[test]
fn a_wish_is_held_and_an_unknown_wish_is_no_yes() {
    let list = [receiver(38.0, lb(5000.0, 500.0), 255.0), receiver(38.0, lb(5000.0, 500.0), 300.0)];
    let wish = |wish: Wish| with(|input| input.wish = wish, |input| fit_receivers(input, &list).unwrap());
    let twelve = wish(Wish { departure_min: Some(Angle::from_deg(12.0)), ..Wish::default() });
    assert_eq!((twelve[0].index, twelve[0].suits, twelve[1].suits), (1, Suits::Yes, Suits::No));
    let laden = wish(Wish { departure_laden_min: Some(Angle::from_deg(7.0)), ..Wish::default() });
    assert_eq!((laden[0].index, laden[0].suits, laden[1].suits), (1, Suits::Yes, Suits::No));
    let height = wish(Wish { hitch_height_min: Some(mm(140.0)), ..Wish::default() });
    assert_eq!((height[0].index, height[1].suits), (1, Suits::No));
    let mut unmeasured = receiver(38.0, lb(5000.0, 500.0), 255.0);
    unmeasured.fits[0].points.clear();
    let wished = Wish { departure_min: Some(Angle::from_deg(5.0)), ..Wish::default() };
    let one = with(|input| input.wish = wished, |input| fit_receivers(input, &[unmeasured]).unwrap());
    assert_eq!((one[0].suits, one[0].departure), (Suits::Unknown, None));
    let bad = Wish { departure_min: Some(Angle::from_deg(f64::NAN)), ..Wish::default() };
    let error = with(|input| input.wish = bad, |input| fit_receivers::<Receiver>(input, &[]).unwrap_err());
    assert_eq!(error.field(), WISH_ANGLE.field);
}

#[test]
fn what_sits_at_the_ball_moves_with_it() {
    let list = [receiver(38.0, lb(5000.0, 500.0), 255.0)];
    let placed = with(|input| input.at_ball = Mass::from_kg(9.0), |input| fit_receivers(input, &list).unwrap());
    // The same nine kilograms as one more item where this receiver puts the ball.
    let ball = Station { mass: Mass::from_kg(9.0), station: mm(4920.0) };
    let items = [ITEMS[0], ITEMS[1], ITEMS[3], ball];
    let listed = with(|_| {}, |input| fit_receivers(&FitInput { items: &items, ..*input }, &list).unwrap());
    assert!((placed[0].tongue.limit.unwrap().kg() - listed[0].tongue.limit.unwrap().kg()).abs() < 1e-9);
    assert!((placed[0].departure_laden.unwrap().deg() - listed[0].departure_laden.unwrap().deg()).abs() < 1e-9);
}

fn receivers() -> impl Strategy<Value = Vec<Receiver>> {
    let one = (
        prop::option::weighted(0.9, 20.0..60.0_f64),
        prop::option::weighted(0.9, 2000.0..9000.0_f64),
        prop::option::weighted(0.9, 200.0..900.0_f64),
        150.0..330.0_f64,
        prop::bool::weighted(0.8),
    );
    prop::collection::vec(one, 0..12).prop_map(|list| {
        list.into_iter()
            .map(|(mass, trailer, tongue, height, fits)| {
                let rating = LinkRating { trailer: trailer.map(Mass::from_lb), tongue: tongue.map(Mass::from_lb) };
                let mut one = receiver(38.0, rating, height);
                one.mass = mass.map(Mass::from_kg);
                if !fits {
                    one.fits.clear();
                }
                one
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The figures of each, by the plain calculators one by one.
    #[test]
    fn each_is_what_the_calculators_say(list in receivers()) {
        for one in rank(&list) {
            let given = &list[one.index];
            let fit = given.fits.first();
            let vehicle = van();
            if let (Some(fit), Some(mass)) = (fit, given.mass) {
                let mut items = vec![ITEMS[0], ITEMS[1], ITEMS[3]];
                items.push(Station { mass, station: mm(4650.0) });
                let loads = axle_loads(&AxleInput {
                    wheelbase: WHEELBASE, kerb_front: Mass::from_kg(1250.0), kerb_rear: Mass::from_kg(1010.0),
                    items: &items, tongue: Some(Station { mass: TONGUE, station: mm(4920.0) }),
                }).unwrap();
                // The least of all that limits the trailer, spelled out.
                let mut least = 2500.0_f64.min(5800.0 - loads.total_before().kg()).min(Mass::from_lb(6000.0).kg());
                if let Some(own) = given.carrying.trailer { least = least.min(own.kg()); }
                prop_assert!((one.trailer.limit.unwrap().kg() - least).abs() < 1e-9);
                let mut least = 250.0_f64
                    .min((1900.0 - loads.rear_before.kg()) * 3640.0 / 4920.0)
                    .min(3200.0 - loads.total_before().kg())
                    .min(Mass::from_lb(600.0).kg());
                if let Some(own) = given.carrying.tongue { least = least.min(own.kg()); }
                prop_assert!((one.tongue.limit.unwrap().kg() - least).abs() < 1e-9);
                let known = given.carrying.trailer.is_some() && given.carrying.tongue.is_some();
                let holds = 2000.0 <= one.trailer.limit.unwrap().kg() && 210.0 <= one.tongue.limit.unwrap().kg()
                    && loads.rear.kg() <= 1900.0 && loads.total().kg() <= 3200.0;
                let expected = match (holds, known) { (false, _) => Suits::No, (true, true) => Suits::Yes, (true, false) => Suits::Unknown };
                prop_assert_eq!(one.suits, expected);
                let profile = vehicle.profile.as_ref().unwrap();
                let under = Underside::of(profile).with_fitted(&fit.points);
                let pose = Pose::as_measured(crate::calc::example_van::WHEELS);
                prop_assert_eq!(one.departure, Some(angle_of(&under, &pose).unwrap().angle));
            } else {
                prop_assert!(one.suits != Suits::Yes);
            }
        }
    }

    /// Every one is there once, and no later one should have stood before an earlier one.
    #[test]
    fn the_ranking_is_whole_and_in_order(list in receivers()) {
        let ranked = rank(&list);
        let mut seen: Vec<usize> = ranked.iter().map(|one| one.index).collect();
        seen.sort_unstable();
        prop_assert_eq!(seen, (0..list.len()).collect::<Vec<_>>());
        for (place, one) in ranked.iter().enumerate() {
            for later in &ranked[place + 1..] {
                prop_assert!(one.suits <= later.suits);
                if one.suits == later.suits {
                    prop_assert!(one.used.unwrap_or(f64::INFINITY) <= later.used.unwrap_or(f64::INFINITY));
                }
            }
        }
    }

    /// Turning the list round changes nothing but the order of equals, and one more that does not suit moves nobody.
    #[test]
    fn the_lists_order_does_not_count(list in receivers()) {
        let back: Vec<Receiver> = list.iter().rev().cloned().collect();
        let shares = |ranked: &[Candidate]| ranked.iter().map(|one| (one.suits, one.used)).collect::<Vec<_>>();
        prop_assert_eq!(shares(&rank(&list)), shares(&rank(&back)));
        let mut more = list.clone();
        more.push(Receiver { fits: Vec::new(), ..receiver(1.0, lb(9000.0, 900.0), 900.0) });
        let indexes = |ranked: Vec<Candidate>| ranked.into_iter().map(|one| one.index).filter(|&i| i < list.len()).collect::<Vec<_>>();
        prop_assert_eq!(indexes(rank(&more)), indexes(rank(&list)));
    }

    /// A stronger receiver never falls behind where it stood.
    #[test]
    fn stronger_never_ranks_lower(trailer in 4500.0..8000.0_f64, tongue in 480.0..800.0_f64, more in 0.0..500.0_f64) {
        let list = |extra: f64| [receiver(38.0, lb(trailer + extra, tongue + extra / 10.0), 255.0), receiver(38.0, lb(trailer, tongue), 255.0)];
        prop_assert_eq!(rank(&list(more))[0].index, 0);
    }
}
