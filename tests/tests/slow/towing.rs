//! Weakest links, tongue windows and coupling values by asking every condition by itself and halving until one breaks.

use baybook_core::{
    calc::{
        axles::{AxleInput, AxleLoads, Station, axle_loads},
        chains::standing,
        coupling::{
            Allowed, Suspension, VInput, axle_sum_for_v, d_value, dc_value, fifth_wheel_d, trailer_for_d,
            trailer_for_fifth_wheel_d, v_value,
        },
        ratings::{RatingInput, at_share, tongue_links, trailer_links, weakest},
        tongue_window::{Bound, Named, Regime, Standing, WindowInput, tongue_window},
    },
    error::CalcError,
    model::{
        LinkRating,
        coupling::{ChainRatingKind, Chains},
        upfit::{ChainRule, Upfit},
    },
    rules::run::fixture,
    units::{Force, Length, Mass},
};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed, train::greatest};

/// Load indices and what one tyre carries, as the table prints it (ISO 4000 and ETRTO table, four public pages, opened).
const TYRES: [(i32, f64); 4] = [(91, 615.0), (95, 690.0), (101, 825.0), (108, 1000.0)];

/// Every rating drawn anew; bars and a pin now and then.
fn random_plan(random: &mut ChaCha8Rng) -> (Upfit, f64) {
    let mut plan = fixture::plan();
    let mut kg = |low: f64, high: f64| Some(Mass::from_kg(random.random_range(low..high)));
    let vehicle = fixture::vehicle(&mut plan);
    (vehicle.tow_braked, vehicle.tow_spring_bars) = (kg(1200.0, 3000.0), kg(1200.0, 3000.0));
    (vehicle.tongue, vehicle.tongue_spring_bars) = (kg(90.0, 320.0), kg(90.0, 320.0));
    (vehicle.gvwr, vehicle.gcwr) = (kg(2900.0, 3600.0), kg(4400.0, 6500.0));
    vehicle.rear.gawr = kg(1500.0, 2200.0);
    let receiver = fixture::receiver(&mut plan);
    receiver.carrying = LinkRating { trailer: kg(1200.0, 3000.0), tongue: kg(90.0, 320.0) };
    receiver.spring_bars = Some(LinkRating { trailer: kg(1200.0, 3000.0), tongue: kg(90.0, 320.0) });
    receiver.s_value = kg(90.0, 320.0);
    fixture::mount(&mut plan).rating = LinkRating { trailer: kg(1200.0, 3000.0), tongue: kg(90.0, 320.0) };
    fixture::ball(&mut plan).rating.trailer = kg(1200.0, 3000.0);
    fixture::coupler(&mut plan).rating.trailer = kg(1200.0, 3000.0);
    let trailer = fixture::trailer(&mut plan);
    (trailer.gvwr, trailer.gawr, trailer.jack_rating) = (kg(1200.0, 3000.0), kg(1200.0, 3000.0), kg(150.0, 500.0));
    let tongue = kg(60.0, 250.0).unwrap_or_default();
    let (index, each) = TYRES[random.random_range(0..TYRES.len())];
    let axles = random.random_range(1..3);
    fixture::trailer(&mut plan).axle_count = Some(axles);
    let tyres = fixture::trailer_tyres(&mut plan);
    tyres.designation.clear();
    (tyres.load_index, tyres.count, tyres.wheel_rating) = (Some(index), Some(2 * axles), None);
    let mut kn = || Some(Force::from_kn(random.random_range(6.0..25.0)));
    fixture::receiver(&mut plan).d_value = kn();
    fixture::ball(&mut plan).d_value = kn();
    fixture::coupler(&mut plan).d_value = kn();
    plan.spring_bars = Some(random.random_bool(0.5));
    if random.random_bool(0.5) {
        let kg = |random: &mut ChaCha8Rng, low, high| Some(Mass::from_kg(random.random_range(low..high)));
        plan.pin = Some(LinkRating { trailer: kg(random, 1200.0, 3000.0), tongue: kg(random, 90.0, 320.0) });
    }
    plan.tongue = Some(baybook_core::model::upfit::TongueLoad::Load(tongue));
    (plan, each * f64::from(2 * axles))
}

/// The loads before hitching: kerb and items, the receiver and the mount being among the fixture's own.
fn loads(plan: &Upfit, tongue: Option<Station>) -> Result<AxleLoads, CalcError> {
    let items = plan.items.iter().map(|item| item.mass.zip(item.station));
    let items: Vec<Station> = items.flatten().map(|(mass, station)| Station { mass, station }).collect();
    let vehicle = &plan.vehicle;
    axle_loads(&AxleInput {
        wheelbase: vehicle.wheelbase,
        kerb_front: vehicle.front.kerb.unwrap_or_default(),
        kerb_rear: vehicle.rear.kerb.unwrap_or_default(),
        items: &items,
        tongue,
    })
}

const BALL: Length = Length::from_mm(4920.0);

#[test]
fn every_link_is_asked_by_itself() {
    for seed in first_seed()..first_seed() + cases(300) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (plan, tyres) = random_plan(&mut random);
        let bars = plan.spring_bars == Some(true);
        let tongue = match plan.tongue {
            Some(baybook_core::model::upfit::TongueLoad::Load(load)) => load,
            _ => panic!("the plan says a load"),
        };
        let before = loads(&plan, None).expect("everything is in its range");
        let input = RatingInput {
            receiver: plan.receiver.as_deref(),
            ball_mount: plan.ball_mount.as_deref(),
            ball: plan.ball.as_deref(),
            coupler: plan.coupler.as_deref(),
            trailer: plan.trailer.as_deref(),
            pin: plan.pin,
            spring_bars: bars,
            loads: Some(before),
            ball_station: Some(BALL),
            tongue: Some(tongue),
            ..RatingInput::of(&plan.vehicle)
        };
        let (vehicle, receiver) = (&plan.vehicle, plan.receiver.as_deref().expect("it has one"));
        let (mount, ball) = (plan.ball_mount.as_deref().expect("one"), plan.ball.as_deref().expect("one"));
        let (coupler, trailer) = (plan.coupler.as_deref().expect("one"), plan.trailer.as_deref().expect("one"));
        let row = if bars { receiver.spring_bars.expect("it has one") } else { receiver.carrying };
        let towed = if bars { vehicle.tow_spring_bars } else { vehicle.tow_braked };
        let pin = plan.pin.unwrap_or_default();
        let held = |mass: Mass| {
            let under = |limit: Option<Mass>| limit.is_none_or(|limit| mass <= limit);
            let certified = |d: Option<Force>| {
                let needed = d_value(vehicle.gvwr.expect("known"), mass);
                d.is_none_or(|d| needed.is_ok_and(|needed| needed <= d))
            };
            let stamps = [towed, row.trailer, mount.rating.trailer, ball.rating.trailer, coupler.rating.trailer];
            stamps.into_iter().all(under)
                && [pin.trailer, trailer.gvwr].into_iter().all(under)
                && [receiver.d_value, ball.d_value, coupler.d_value].into_iter().all(certified)
                && before.total_before() + mass <= vehicle.gcwr.expect("known")
                && mass - tongue <= trailer.gawr.expect("known")
                && (mass - tongue).kg() <= tyres
        };
        let slow = greatest(9000.0, |kg| kg < 1.0 || held(Mass::from_kg(kg)));
        let for_trailer = weakest(&trailer_links(&input));
        let fast = for_trailer.firm().unwrap_or_else(|| panic!("seed {seed}: a link is unknown")).kg();
        assert!((fast - slow).abs() < 1e-6, "seed {seed}: {fast} {slow}, {:?}", for_trailer.governing);

        let pressed = |load: Mass| {
            let under = |limit: Option<Mass>| limit.is_none_or(|limit| load <= limit);
            let own = if bars { vehicle.tongue_spring_bars } else { vehicle.tongue };
            let hitched = loads(&plan, Some(Station { mass: load, station: BALL })).expect("in range");
            let stamps = [own, row.tongue, receiver.s_value, mount.rating.tongue, ball.rating.tongue, ball.s_value];
            let more = [coupler.rating.tongue, coupler.s_value, pin.tongue, trailer.jack_rating];
            stamps.into_iter().chain(more).all(under)
                && hitched.rear <= vehicle.rear.gawr.expect("known")
                && hitched.total() <= vehicle.gvwr.expect("known")
        };
        let slow = greatest(2000.0, |kg| pressed(Mass::from_kg(kg)));
        let on_tongue = weakest(&tongue_links(&input));
        let fast = on_tongue.firm().unwrap_or_else(|| panic!("seed {seed}: a link is unknown")).kg();
        assert!((fast - slow).abs() < 1e-6, "seed {seed}: {fast} {slow}, {:?}", on_tongue.governing);

        // Both limits at one share: the greatest trailer of which neither its mass nor its tongue load is too much.
        let share = random.random_range(0.05..0.2);
        let (trailer, tongue) = (for_trailer.limit.expect("known"), on_tongue.limit.expect("known"));
        let slow = greatest(9000.0, |kg| kg <= trailer.kg() && kg * share <= tongue.kg());
        let both = at_share(&for_trailer, &on_tongue, share).expect("in range").limit.expect("known");
        assert!((both.kg() - slow).abs() < 1e-6, "seed {seed}: {} {slow}", both.kg());
    }
}

#[test]
fn a_window_is_every_bound_asked_by_itself() {
    for seed in first_seed()..first_seed() + cases(3000) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let maybe = |random: &mut ChaCha8Rng, low: f64, high: f64| {
            random.random_bool(0.4).then(|| random.random_range(low..high))
        };
        let regime = [None, Some(Regime::BallNorthAmerica), Some(Regime::FifthWheel), Some(Regime::CentreAxleEurope)]
            [random.random_range(0..4)];
        let trailer = random.random_range(300.0..3500.0);
        let prints = [(); 2].map(|()| (maybe(&mut random, 0.03, 0.12), maybe(&mut random, 0.10, 0.30)));
        let (least, load) = (maybe(&mut random, 0.02, 0.2), maybe(&mut random, 30.0, 400.0));
        let at_least: Vec<Named> =
            least.map(|share| Named { by: "wish", bound: Bound::Share(share) }).into_iter().collect();
        let at_most: Vec<Named> =
            load.map(|kg| Named { by: "S", bound: Bound::Load(Mass::from_kg(kg)) }).into_iter().collect();
        let window = tongue_window(&WindowInput {
            regime,
            trailer: Mass::from_kg(trailer),
            trailer_prints: prints[0],
            vehicle_prints: prints[1],
            at_least: &at_least,
            at_most: &at_most,
        });
        let window = window.expect("everything is in its range");
        // The trade's windows as printed: 10 to 15 %, 15 to 25 %, from 4 %.
        let (trade_low, trade_high) = match regime {
            None => (None, None),
            Some(Regime::BallNorthAmerica) => (Some(0.10), Some(0.15)),
            Some(Regime::FifthWheel) => (Some(0.15), Some(0.25)),
            Some(Regime::CentreAxleEurope) => (Some(0.04), None),
        };
        let low = prints[0].0.or(prints[1].0).or(trade_low);
        let high = prints[0].1.or(prints[1].1).or(trade_high);
        let too_light = |share: f64| low.is_some_and(|low| share < low) || least.is_some_and(|least| share < least);
        let too_heavy =
            |share: f64| high.is_some_and(|high| high < share) || load.is_some_and(|load| load < share * trailer);
        let any = (1..4000).any(|step| {
            let share = f64::from(step) / 4000.0;
            !too_light(share) && !too_heavy(share)
        });
        for _ in 0..20 {
            let share = random.random_range(0.0..0.5);
            let slow = match (too_light(share), too_heavy(share)) {
                (false, false) => Standing::Inside,
                (true, true) => Standing::Empty,
                (true, false) => Standing::Below,
                (false, true) => Standing::Above,
            };
            let fast = window.standing(share);
            // Where no share at all is left, every share is told that.
            assert!(fast == slow || (fast == Standing::Empty && !any), "seed {seed}, {share}: {fast:?} {slow:?}");
        }
    }
}

/// The acceleration that the coupling formulas print.
const NINE_EIGHTY_ONE: f64 = 9.81;

#[test]
fn coupling_values_by_their_reciprocals_and_inverses_by_halving() {
    for seed in first_seed()..first_seed() + cases(2000) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (t, r): (f64, f64) = (random.random_range(0.8..40.0), random.random_range(0.3..40.0));
        let u = random.random_range(0.0..0.5) * t.min(r);
        let tonnes = Mass::from_t;
        let near = |what: &str, fast: f64, slow: f64| {
            assert!((fast - slow).abs() < 1e-9 * slow.max(1.0), "seed {seed}, {what}: {fast} {slow}");
        };
        // Two masses in series: 1 / D = (1 / T + 1 / R) / g.
        let d = NINE_EIGHTY_ONE / (1.0 / t + 1.0 / r);
        near("D", d_value(tonnes(t), tonnes(r)).expect("in range").kn(), d);
        near("Dc", dc_value(tonnes(t), tonnes(r)).expect("in range").kn(), d);
        // A fifth wheel: 0.6 g over 1 / T + 1 / R − U / (T R).
        let fifth = 0.6 * NINE_EIGHTY_ONE / (1.0 / t + 1.0 / r - u / t / r);
        near("D of a fifth wheel", fifth_wheel_d(tonnes(t), tonnes(r), tonnes(u)).expect("in range").kn(), fifth);
        let (bed, bar, c) = (random.random_range(3.0..9.0), random.random_range(3.0..9.0), r);
        let (suspension, a) = [(Suspension::AirOrEquivalent, 1.8), (Suspension::Other, 2.4)][random.random_range(0..2)];
        let input = VInput {
            suspension,
            bed_length: Length::from_mm(bed * 1000.0),
            drawbar_length: Length::from_mm(bar * 1000.0),
            axle_sum: tonnes(c),
        };
        let longer = if bar < bed { bed / bar * (bed / bar) } else { 1.0 };
        near("V", v_value(&input).expect("in range").kn(), a * longer * c);

        let plate = random.random_range(2.0..200.0);
        let halved = |needed: &dyn Fn(f64) -> f64| greatest(1e6, |tonnes| needed(tonnes) <= plate);
        let kn = Force::from_kn(plate);
        let room = |what: &str, fast: Allowed, slow: f64| match fast {
            Allowed::UpTo(mass) if mass.t() < 1e5 => near(what, mass.t(), slow),
            Allowed::UpTo(_) => assert!(9e4 < slow, "seed {seed}, {what}"),
            Allowed::NotLimiting => assert!(9e5 < slow, "seed {seed}, {what}: {slow}"),
        };
        let slow = halved(&|r| NINE_EIGHTY_ONE * t * r / (t + r));
        room("R for D", trailer_for_d(kn, tonnes(t)).expect("in range"), slow);
        let slow = halved(&|r| 0.6 * NINE_EIGHTY_ONE * t * r / (t + r - u));
        room("R for a fifth wheel's D", trailer_for_fifth_wheel_d(kn, tonnes(t), tonnes(u)).expect("in range"), slow);
        near("C for V", axle_sum_for_v(kn, &input).expect("in range").t(), halved(&|c| a * longer * c));
    }
}

/// Chains hold when, of all of them that count, the weight is shared out and none is left over.
#[test]
fn chains_are_counted_one_by_one() {
    for seed in first_seed()..first_seed() + cases(500) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let (count, each) = (random.random_range(0..5), random.random_range(2.0..60.0));
        let gross: f64 = random.random_range(200.0..4500.0);
        let chains = Chains {
            count: Some(count),
            rating_each: Some(Force::from_kn(each)),
            rating_kind: Some(ChainRatingKind::Breaking),
        };
        for rule in [ChainRule::Each, ChainRule::Combined] {
            let mut left = gross * 9.806_65 / 1000.0;
            let takes = match rule {
                ChainRule::Each => count.min(1),
                ChainRule::Combined => count,
            };
            for _ in 0..takes {
                left -= each;
            }
            let fast = standing(&chains, Mass::from_kg(gross), Some(rule)).holds;
            assert_eq!(fast, Some(left <= 0.0), "seed {seed}: {count} of {each} kN under {gross} kg, {rule:?}");
        }
    }
}
