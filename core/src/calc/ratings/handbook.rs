//! Worked example, printed class tables, and laws.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::{
        axles::axle_loads,
        example_van::{BALL, ITEMS, SOURCE, WHEELBASE, axles},
        printed::prints,
    },
    model::{
        LinkRating,
        coupling::{Ball, BallMount, Coupler},
        receiver::Receiver,
        trailer::{DrawbarKind, Trailer, TrailerBrakes},
        tyre::{TyreKind, Tyres},
        upfit::Extension,
        vehicle::{Axle, SpringBarRule, Vehicle},
    },
    units::{Force, Length},
};

const fn kg(value: f64) -> Option<Mass> {
    Some(Mass::from_kg(value))
}

const fn lb(value: f64) -> Option<Mass> {
    Some(Mass::from_lb(value))
}

/// Every part of the worked example, so that a test can take one away.
#[derive(Clone)]
struct Train {
    vehicle: Vehicle,
    receiver: Receiver,
    ball_mount: BallMount,
    ball: Ball,
    coupler: Coupler,
    trailer: Option<Trailer>,
    extension: Option<Extension>,
    spring_bars: bool,
}

fn vehicle() -> Vehicle {
    let axle = |kerb, gawr| Axle { kerb: kg(kerb), gawr: kg(gawr), ..Axle::default() };
    Vehicle {
        name: "vehicles/invented-van".to_owned(),
        seen_on: None,
        label: "invented van".to_owned(),
        market: None,
        kind: None,
        wheelbase: WHEELBASE,
        front: axle(1250.0, 1550.0),
        rear: axle(1010.0, 1900.0),
        gvwr: kg(3200.0),
        gcwr: kg(5800.0),
        tow_braked: kg(2500.0),
        tow_unbraked: kg(750.0),
        tow_spring_bars: None,
        tongue: kg(250.0),
        tongue_spring_bars: None,
        spring_bars: Some(SpringBarRule::Allowed),
        hitch_class: None,
        front_share_min: None,
        tongue_share_min: None,
        tongue_share_max: None,
        tail: None,
        bed: None,
        profile: None,
    }
}

fn receiver() -> Receiver {
    Receiver {
        name: String::new(),
        label: String::new(),
        mass: None,
        opening: None,
        hitch_class: Some(3),
        carrying: LinkRating { trailer: lb(5000.0), tongue: lb(500.0) },
        spring_bars: None,
        d_value: None,
        s_value: None,
        v_value: None,
        approval_mark: None,
        fits: Vec::new(),
        joints: Vec::new(),
    }
}

fn trailer() -> Trailer {
    Trailer {
        name: String::new(),
        label: String::new(),
        gvwr: kg(2400.0),
        gawr: kg(2300.0),
        axle_count: Some(2),
        coupler_to_axle: None,
        coupler_height_level: None,
        coupler: None,
        drawbar: Some(DrawbarKind::Free),
        brakes: Some(TrailerBrakes::Electric),
        breakaway: None,
        chains: None,
        jack_rating: kg(450.0),
        plug: None,
        tyres: Some(Tyres {
            designation: "ST205/75R14 105/101M".into(),
            kind: Some(TyreKind::Trailer),
            count: Some(4),
            load_index: Some(105),
            load_index_dual: Some(101),
            loaded_radius: None,
            rate: None,
            wheel_rating: kg(1000.0),
            temporary_spare: None,
            same_across_axle: None,
        }),
        tongue_share_min: None,
        tongue_share_max: None,
        v_value_needed: None,
        nose: None,
        king_pin: None,
        underside_above_coupling: None,
    }
}

fn train() -> Train {
    let rated = |trailer, tongue| LinkRating { trailer, tongue };
    Train {
        vehicle: vehicle(),
        receiver: receiver(),
        ball_mount: BallMount {
            name: String::new(),
            label: String::new(),
            mass: None,
            shank: None,
            drop: None,
            length: None,
            depth_below_platform: None,
            ball_hole: None,
            rating: rated(lb(6000.0), lb(600.0)),
        },
        ball: Ball {
            name: String::new(),
            label: String::new(),
            mass: None,
            diameter: None,
            shank: None,
            height: None,
            rating: rated(lb(6000.0), None),
            d_value: None,
            s_value: None,
        },
        coupler: Coupler {
            name: String::new(),
            label: String::new(),
            ball: None,
            rating: rated(lb(5000.0), None),
            d_value: None,
            s_value: None,
            forbids_spring_bars: None,
        },
        trailer: None,
        extension: None,
        spring_bars: false,
    }
}

impl Train {
    fn input(&self) -> RatingInput<'_> {
        RatingInput {
            receiver: Some(&self.receiver),
            ball_mount: Some(&self.ball_mount),
            ball: Some(&self.ball),
            coupler: Some(&self.coupler),
            trailer: self.trailer.as_ref(),
            extension: self.extension.as_ref(),
            brakes: Some(TrailerBrakes::Electric),
            spring_bars: self.spring_bars,
            loads: Some(axle_loads(&axles(&ITEMS, None)).unwrap()),
            ball_station: Some(BALL),
            tongue: None,
            ..RatingInput::of(&self.vehicle)
        }
    }

    fn limits(&self) -> (Weakest, Weakest) {
        let input = self.input();
        (weakest(&trailer_links(&input)), weakest(&tongue_links(&input)))
    }
}

fn limit_of(links: &[Link], path: &str) -> Option<LinkLimit> {
    links.iter().find(|link| link.path == path).map(|link| link.limit)
}

fn known(links: &[Link], path: &str) -> f64 {
    match limit_of(links, path) {
        Some(LinkLimit::Known(mass)) => mass.kg(),
        other => panic!("{path}: {other:?}"),
    }
}

#[test]
fn the_worked_train_is_limited_as_printed() {
    let train = train();
    let input = train.input();
    let links = trailer_links(&input);
    prints(SOURCE, "2943", known(&links, "vehicle.gcwr"));
    let (trailer, tongue) = train.limits();
    prints(SOURCE, "2267.96", trailer.firm().unwrap().kg());
    prints(SOURCE, "226.796", tongue.firm().unwrap().kg());
    prints(SOURCE, "301", known(&tongue_links(&input), "vehicle.rear.gawr"));
    // Receiver and coupler tie; the receiver is listed first.
    assert_eq!(trailer.governing.unwrap().path, "receiver.carrying.trailer");
    assert_eq!(trailer.runner_up.unwrap().path, "coupler.rating.trailer");
    assert_eq!((trailer.tied_count, tongue.tied_count), (2, 1));
    assert_eq!(tongue.governing.unwrap().path, "receiver.carrying.tongue");
    assert_eq!(tongue.runner_up.unwrap().path, "vehicle.tongue");
    // Both limits intersected with the actual share.
    let at = |share| at_share(&trailer, &tongue, share).unwrap();
    prints(SOURCE, "2159.96", at(0.105).limit.unwrap().kg());
    prints(SOURCE, "1511.97", at(0.15).limit.unwrap().kg());
    assert!(at(0.105).tongue_governs && !at(0.099).tongue_governs);
    assert_eq!(at(0.099).limit, trailer.limit);
}

#[test]
fn a_rounded_kilogram_does_not_pass_a_printed_pound() {
    // 500 lb is 226.796 kg; 227 kg is 0.2 kg too much.
    let (_, tongue) = train().limits();
    assert_eq!(tongue.allows(Mass::from_kg(227.0)), Some(false));
    assert_eq!(tongue.allows(Mass::from_lb(500.0)), Some(true));
}

#[test]
fn an_unknown_link_blocks_and_a_known_one_still_fails() {
    let mut train = train();
    train.ball_mount.rating.trailer = None;
    let (trailer, _) = train.limits();
    assert_eq!((trailer.unknown_count, trailer.firm()), (1, None));
    assert_eq!(trailer.allows(Mass::from_kg(100.0)), None);
    assert_eq!(trailer.allows(Mass::from_kg(2300.0)), Some(false));
    let bare = RatingInput::of(&train.vehicle);
    for path in [
        "trailer.brakes",
        "vehicle.gcwr",
        "receiver.carrying.trailer",
        "ball_mount.rating.trailer",
        "ball.rating.trailer",
    ] {
        assert_eq!(limit_of(&trailer_links(&bare), path), Some(LinkLimit::Unknown), "{path}");
    }
    for path in ["vehicle.rear.gawr", "vehicle.gvwr", "receiver.carrying.tongue", "ball.rating.tongue"] {
        assert_eq!(limit_of(&tongue_links(&bare), path), Some(LinkLimit::Unknown), "{path}");
    }
    let none = weakest(&[]);
    assert_eq!((none.limit, none.allows(Mass::ZERO)), (None, None));
}

#[test]
fn the_trailer_brings_its_own_links() {
    let mut train = train();
    train.trailer = Some(trailer());
    let mut input = train.input();
    input.tongue = Some(Mass::from_kg(200.0));
    let links = trailer_links(&input);
    assert_eq!(known(&links, "trailer.gvwr"), 2400.0);
    // The axle and the tyres do not carry what rests on the ball.
    assert_eq!(known(&links, "trailer.gawr"), 2500.0);
    assert_eq!(known(&links, "trailer.tyres"), 4.0 * 925.0 + 200.0);
    assert_eq!(known(&tongue_links(&input), "trailer.jack_rating"), 450.0);
    train.trailer.as_mut().unwrap().brakes = Some(TrailerBrakes::None);
    assert_eq!(known(&trailer_links(&train.input()), "vehicle.tow_unbraked"), 750.0);
    train.trailer.as_mut().unwrap().brakes = None;
    assert_eq!(known(&trailer_links(&train.input()), "vehicle.tow_braked"), 2500.0);
}

#[test]
fn spring_bars_have_their_own_row_and_raise_nothing_without_it() {
    let mut train = train();
    train.spring_bars = true;
    let links = |train: &Train| (trailer_links(&train.input()), tongue_links(&train.input()));
    let (trailer, tongue) = links(&train);
    assert_eq!(limit_of(&trailer, "receiver.spring_bars.trailer"), Some(LinkLimit::Unknown));
    assert_eq!(limit_of(&tongue, "receiver.spring_bars.tongue"), Some(LinkLimit::Unknown));
    assert_eq!(known(&trailer, "vehicle.tow_braked"), 2500.0);
    train.receiver.spring_bars = Some(LinkRating { trailer: kg(2800.0), tongue: kg(280.0) });
    train.vehicle.tow_spring_bars = kg(2700.0);
    train.vehicle.tongue_spring_bars = kg(270.0);
    let (trailer, tongue) = links(&train);
    assert_eq!(known(&trailer, "receiver.spring_bars.trailer"), 2800.0);
    assert_eq!(known(&trailer, "vehicle.tow_spring_bars"), 2700.0);
    assert_eq!(known(&tongue, "vehicle.tongue_spring_bars"), 270.0);
    train.spring_bars = false;
    train.vehicle.spring_bars = Some(SpringBarRule::RequiredAbove(Mass::from_kg(2000.0)));
    assert_eq!(known(&links(&train).0, "vehicle.spring_bars_required_above"), 2000.0);
}

#[test]
fn certified_values_are_links_too() {
    let mut train = train();
    train.receiver.carrying = LinkRating::default();
    train.receiver.d_value = Some(Force::from_kn(12.0));
    train.receiver.s_value = kg(120.0);
    let (trailer, tongue) = (trailer_links(&train.input()), tongue_links(&train.input()));
    prints("UN Regulation 55, inverse of D, from memory", "1.9802", known(&trailer, "receiver.d_value_kn") / 1000.0);
    assert_eq!(limit_of(&trailer, "receiver.carrying.trailer"), None);
    assert_eq!(known(&tongue, "receiver.s_value_kg"), 120.0);
    train.receiver.d_value = Some(Force::from_kn(40.0));
    assert_eq!(limit_of(&trailer_links(&train.input()), "receiver.d_value_kn"), Some(LinkLimit::NotLimiting));
    train.vehicle.gvwr = None;
    assert_eq!(limit_of(&trailer_links(&train.input()), "receiver.d_value_kn"), Some(LinkLimit::Unknown));
}

#[test]
fn a_full_list_fits_its_room() {
    let mut train = train();
    train.trailer = Some(trailer());
    train.extension = Some(Extension { rating: LinkRating::default(), length: None });
    train.vehicle.spring_bars = Some(SpringBarRule::RequiredAbove(Mass::from_kg(2000.0)));
    train.ball.rating.tongue = lb(600.0);
    train.coupler.rating.tongue = lb(500.0);
    for value in [&mut train.receiver.d_value, &mut train.ball.d_value, &mut train.coupler.d_value] {
        *value = Some(Force::from_kn(15.0));
    }
    for value in [&mut train.receiver.s_value, &mut train.ball.s_value, &mut train.coupler.s_value] {
        *value = kg(150.0);
    }
    let (trailer, tongue) = (trailer_links(&train.input()), tongue_links(&train.input()));
    assert_eq!((trailer.len(), tongue.len()), (14, 12));
    assert!(trailer.len() < LINKS_MAX && trailer.last().unwrap().path == "trailer.tyres");
    assert!(tongue.len() < LINKS_MAX && tongue.last().unwrap().path == "trailer.jack_rating");
}

fn links() -> impl Strategy<Value = Vec<Link>> {
    const PATHS: [&str; 4] = ["a", "b", "c", "d"];
    let limit = prop_oneof![
        // Few whole kilograms, so that ties are common.
        6 => (0_i32..8).prop_map(|kg| LinkLimit::Known(Mass::from_kg(f64::from(kg)))),
        1 => Just(LinkLimit::Unknown),
        1 => Just(LinkLimit::NotLimiting),
    ];
    prop::collection::vec((0_usize..4, limit), 0..10)
        .prop_map(|list| list.into_iter().map(|(path, limit)| Link { path: PATHS[path], label: "", limit }).collect())
}

proptest! {
    #[test]
    fn the_weakest_does_not_depend_on_the_order(shuffled in links().prop_flat_map(|list| {
        (Just(list.clone()), Just(list).prop_shuffle())
    })) {
        let (one, other) = (weakest(&shuffled.0), weakest(&shuffled.1));
        let limit = |weakest: &Weakest| weakest.runner_up.map(|link| link.limit);
        prop_assert_eq!(one.limit, other.limit);
        prop_assert_eq!(limit(&one), limit(&other));
        prop_assert_eq!((one.tied_count, one.unknown_count), (other.tied_count, other.unknown_count));
    }

    #[test]
    fn the_weakest_is_what_sorting_finds(list in links()) {
        let mut known: Vec<Link> =
            list.iter().filter(|link| matches!(link.limit, LinkLimit::Known(_))).copied().collect();
        known.sort_by(|one, next| match (one.limit, next.limit) {
            (LinkLimit::Known(one), LinkLimit::Known(next)) => one.kg().total_cmp(&next.kg()),
            _ => unreachable!(),
        });
        let got = weakest(&list);
        prop_assert_eq!(got.governing, known.first().copied());
        prop_assert_eq!(got.runner_up, known.get(1).copied());
    }

    #[test]
    fn taking_a_rating_away_never_lets_more_pass(list in links(), which in 0_usize..10, load in 0.0..10.0) {
        prop_assume!(which < list.len());
        let mut less = list.clone();
        less[which].limit = LinkLimit::Unknown;
        let load = Mass::from_kg(load);
        prop_assert!(weakest(&less).allows(load) != Some(true));
        let before = weakest(&list).firm();
        let after = weakest(&less).firm();
        prop_assert!(after.is_none() || before.is_some_and(|before| after <= Some(before)));
    }

    #[test]
    fn taking_any_rating_off_the_train_never_lets_more_pass(which in 0_usize..14, load in 0.0..4000.0) {
        let mut train = train();
        train.trailer = Some(trailer());
        let before = train.limits();
        let trailer = train.trailer.as_mut().unwrap();
        let rating = match which {
            0 => &mut train.vehicle.tow_braked,
            1 => &mut train.vehicle.gcwr,
            2 => &mut train.receiver.carrying.trailer,
            3 => &mut train.ball_mount.rating.trailer,
            4 => &mut train.ball.rating.trailer,
            5 => &mut train.coupler.rating.trailer,
            6 => &mut trailer.gvwr,
            7 => &mut trailer.gawr,
            8 => &mut train.vehicle.tongue,
            9 => &mut train.vehicle.rear.gawr,
            10 => &mut train.vehicle.gvwr,
            11 => &mut train.receiver.carrying.tongue,
            12 => &mut train.ball_mount.rating.tongue,
            _ => &mut trailer.jack_rating,
        };
        prop_assert!(rating.take().is_some());
        let after = train.limits();
        let load = Mass::from_kg(load);
        prop_assert!(before.0.allows(load).is_some() && before.1.allows(load).is_some());
        let touched = if which < 8 { after.0 } else { after.1 };
        prop_assert!(touched.allows(load) != Some(true));
    }

    #[test]
    fn a_greater_share_never_allows_a_heavier_trailer(share in 0.02..0.4, more in 0.0..0.4) {
        let (trailer, tongue) = train().limits();
        let limit = |share| at_share(&trailer, &tongue, share).unwrap().limit.unwrap();
        prop_assert!(limit(share + more) <= limit(share));
        prop_assert!(limit(share).kg() * share <= tongue.limit.unwrap().kg() + 1e-9);
    }

    #[test]
    fn a_heavier_load_never_passes_where_a_lighter_fails(list in links(), load in 0.0..10.0, more in 0.0..5.0) {
        let weakest = weakest(&list);
        let (less, more) = (weakest.allows(Mass::from_kg(load)), weakest.allows(Mass::from_kg(load + more)));
        prop_assert!(!(less == Some(false) && more != Some(false)));
    }
}

#[test]
fn the_ball_station_matters_only_behind_the_front_axle() {
    let train = train();
    let mut input = train.input();
    input.ball_station = Some(Length::ZERO);
    assert_eq!(limit_of(&tongue_links(&input), "vehicle.rear.gawr"), Some(LinkLimit::Unknown));
}
