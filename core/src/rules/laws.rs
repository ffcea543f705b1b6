//! Laws the rule book keeps whatever the plan.

mod stacks;

use std::sync::Arc;

use proptest::prelude::*;

use super::{Report, Severity, Verdict, check, check_briefly, run::fixture::*};
use crate::{
    model::{
        policy::Policy,
        upfit::{Limits, SaleState, TongueLoad, Upfit},
    },
    units::{Angle, Force, Length, Mass, Rate, Torque},
};

/// Visits every optional part and number of a plan, in a fixed order.
struct Visitor<'a> {
    /// Called for each with its path; true takes it away.
    knock: &'a mut dyn FnMut(&'static str) -> bool,
}

impl Visitor<'_> {
    fn see<T>(&mut self, path: &'static str, value: &mut Option<T>) {
        if value.is_some() && (self.knock)(path) {
            *value = None;
        }
    }
}

macro_rules! see {
    ($visitor:ident, $prefix:literal, $object:expr, $($field:ident),+ $(,)?) => {
        $($visitor.see(concat!($prefix, ".", stringify!($field)), &mut $object.$field);)+
    };
}

/// Ratings: what a part, an axle or a vehicle is stamped, labelled or printed to bear.
///
/// A tongue stamp on a ball or a coupler is left out: most carry none, and the rules say so. So are the stamps of parts
/// that carry D and S instead, where the UN/EU coupling rules apply.
fn see_ratings(p: &mut Upfit, stamps: bool, v: &mut Visitor<'_>) {
    see!(v, "vehicle", vehicle(p), gvwr, gcwr, tow_braked, tow_unbraked, tow_spring_bars, tongue, tongue_spring_bars);
    see!(v, "vehicle.front", vehicle(p).front, gawr);
    see!(v, "vehicle.rear", vehicle(p).rear, gawr);
    if let Some(tyres) = &mut vehicle(p).front.tyres {
        tyres.designation.clear();
        see!(v, "vehicle.front.tyres", tyres, load_index, wheel_rating);
    }
    if let Some(tyres) = &mut vehicle(p).rear.tyres {
        tyres.designation.clear();
        see!(v, "vehicle.rear.tyres", tyres, load_index, wheel_rating);
    }
    if p.receiver.is_some() {
        if stamps {
            see!(v, "receiver.carrying", receiver(p).carrying, trailer, tongue);
            see!(v, "receiver", receiver(p), spring_bars);
        }
        see!(v, "receiver", receiver(p), d_value, s_value, v_value);
    }
    if p.ball_mount.is_some() && stamps {
        see!(v, "ball_mount.rating", mount(p).rating, trailer, tongue);
    }
    if p.ball.is_some() {
        if stamps {
            see!(v, "ball.rating", ball(p).rating, trailer);
        }
        see!(v, "ball", ball(p), d_value, s_value);
    }
    if p.coupler.is_some() {
        if stamps {
            see!(v, "coupler.rating", coupler(p).rating, trailer);
        }
        see!(v, "coupler", coupler(p), d_value, s_value);
    }
    if let Some(extension) = &mut p.extension {
        see!(v, "extension.rating", extension.rating, trailer, tongue);
    }
    if p.bed_coupling.is_some() {
        see!(v, "vehicle.bed.towing", bed(p).towing, trailer, tongue);
        see!(v, "bed_coupling.mounting", bed_coupling(p).mounting, trailer, tongue);
        if stamps {
            see!(v, "bed_coupling.rating", bed_coupling(p).rating, trailer, tongue);
            see!(v, "trailer.king_pin.rating", king_pin(p).rating, trailer);
        }
        see!(v, "bed_coupling", bed_coupling(p), d_value, u_value);
        see!(v, "trailer.king_pin", king_pin(p), d_value);
    }
    if p.trailer.is_some() {
        see!(v, "trailer", trailer(p), gvwr, gawr, jack_rating);
        if let Some(chains) = &mut trailer(p).chains {
            see!(v, "trailer.chains", chains, rating_each);
        }
        if let Some(tyres) = &mut trailer(p).tyres {
            tyres.designation.clear();
            see!(v, "trailer.tyres", tyres, load_index);
        }
    }
}

/// Everything else that may be unknown.
fn see_rest(p: &mut Upfit, v: &mut Visitor<'_>) {
    see!(
        v,
        "plan",
        p,
        vin,
        model_year,
        receiver,
        ball_mount,
        ball,
        coupler,
        trailer,
        trailer_mass,
        tongue,
        mass_added_before,
        mass_removed,
        sale,
        jurisdiction,
        spring_bars,
        brake_controller,
        socket,
        converter,
    );
    see!(v, "vehicle", vehicle(p), market, kind, spring_bars, profile, front_share_min);
    see!(v, "vehicle.front", vehicle(p).front, kerb, suspension_rate, self_levelling, tyres);
    see!(v, "vehicle.rear", vehicle(p).rear, kerb, suspension_rate, self_levelling);
    if let Some(tyres) = &mut vehicle(p).rear.tyres {
        see!(v, "vehicle.rear.tyres", tyres, kind, count, loaded_radius, rate, temporary_spare, same_across_axle);
    }
    if p.receiver.is_some() {
        see!(v, "receiver", receiver(p), mass, opening, approval_mark);
        if let Some(fit) = receiver(p).fits.first_mut() {
            see!(v, "receiver.fits[0]", fit, mass_station, pin_station, tube_top_height);
        }
    }
    if p.bed_coupling.is_some() {
        see!(v, "vehicle", vehicle(p), bed);
        if let Some(bed) = &mut vehicle(p).bed {
            see!(v, "vehicle.bed", bed, cab_back_station, rail_height, rail_end_station);
        }
        see!(v, "bed_coupling", bed_coupling(p), kind, mass, size);
        if let Some(fit) = bed_coupling(p).fits.first_mut() {
            see!(v, "bed_coupling.fits[0]", fit, mass_station, pin_station, face_height);
        }
        if p.trailer.is_some() {
            see!(v, "trailer", trailer(p), coupler_to_axle, king_pin, underside_above_coupling, nose);
            if let Some(pin) = &mut trailer(p).king_pin {
                see!(v, "trailer.king_pin", pin, diameter);
            }
        }
    }
    if p.ball_mount.is_some() {
        see!(v, "ball_mount", mount(p), mass, shank, drop, length, depth_below_platform, ball_hole);
    }
    if p.ball.is_some() {
        see!(v, "ball", ball(p), mass, diameter, shank, height);
    }
    if p.trailer.is_some() {
        see!(
            v,
            "trailer",
            trailer(p),
            axle_count,
            coupler_height_level,
            drawbar,
            brakes,
            breakaway,
            chains,
            plug,
            tyres,
        );
    }
    for item in &mut p.items {
        see!(v, "items[0]", item, mass, station);
    }
    for joint in &mut p.joints {
        see!(
            v,
            "joints[0]",
            joint,
            specified_bolt,
            specified_nut,
            specified_finish,
            specified_torque,
            method,
            bolt,
            nut,
            washer,
            finish,
            planned_torque,
            bolt_reused,
        );
    }
    let answers = &mut p.answers;
    see!(v, "answers", answers, maker_points_used, near_fuel, guard_removed, lamp_hidden, rust_at_mounts, recall_open);
    see!(v, "answers", answers, captive_nut_loose, chains_on_ball_mount, mass_label_planned, wired_elsewhere);
}

/// A plan with numbers on both sides of their limits.
#[derive(Debug, Clone, Copy)]
struct Numbers {
    european: bool,
    bars: bool,
    new_vehicle: bool,
    cargo: f64,
    trailer: f64,
    share: f64,
    rating: f64,
    tongue_rating: f64,
    gvwr: f64,
    rear_gawr: f64,
    drop: f64,
    torque: f64,
}

fn numbers() -> impl Strategy<Value = Numbers> {
    let flags = (any::<bool>(), any::<bool>(), any::<bool>());
    let loads = (0.0..1500.0f64, 500.0..4000.0f64, 0.02..0.30f64);
    let limits = (500.0..4000.0f64, 50.0..400.0f64, 2300.0..4000.0f64, 1000.0..2600.0f64);
    (flags, loads, limits, -100.0..200.0f64, 20.0..200.0f64).prop_map(
        |(
            (european, bars, new_vehicle),
            (cargo, trailer, share),
            (rating, tongue_rating, gvwr, rear_gawr),
            drop,
            torque,
        )| {
            Numbers {
                european,
                bars,
                new_vehicle,
                cargo,
                trailer,
                share,
                rating,
                tongue_rating,
                gvwr,
                rear_gawr,
                drop,
                torque,
            }
        },
    )
}

fn numbered(n: Numbers) -> Upfit {
    let mut p = plan();
    if n.european {
        europe(&mut p);
    }
    p.spring_bars = Some(n.bars);
    if n.new_vehicle {
        p.sale = Some(SaleState::BeforeFirstSale);
    }
    p.items[1].mass = Some(kg(n.cargo));
    p.trailer_mass = Some(kg(n.trailer));
    p.tongue = Some(TongueLoad::Load(kg(n.trailer * n.share)));
    vehicle(&mut p).gvwr = Some(kg(n.gvwr));
    vehicle(&mut p).rear.gawr = Some(kg(n.rear_gawr));
    receiver(&mut p).carrying.trailer = Some(kg(n.rating));
    receiver(&mut p).carrying.tongue = Some(kg(n.tongue_rating));
    mount(&mut p).drop = Some(Length::from_mm(n.drop));
    joint(&mut p).planned_torque = Some(Torque::from_n_m(n.torque));
    p
}

/// Takes away the n-th thing a walk meets, and returns its path.
fn knock_nth(plan: &mut Upfit, nth: usize, walk: impl Fn(&mut Upfit, &mut Visitor<'_>)) -> Option<&'static str> {
    let (mut seen, mut hit) = (0, None);
    let mut knock = |path| {
        let now = seen == nth;
        seen += 1;
        if now {
            hit = Some(path);
        }
        now
    };
    walk(plan, &mut Visitor { knock: &mut knock });
    hit
}

/// A plan with those numbers, without what the mask takes away.
fn knocked(n: Numbers, mask: &[bool]) -> Upfit {
    let mut plan = numbered(n);
    let mut bits = mask.iter().copied().cycle();
    let mut knock = |_| bits.next().unwrap_or(false);
    let mut visitor = Visitor { knock: &mut knock };
    see_rest(&mut plan, &mut visitor);
    see_ratings(&mut plan, true, &mut visitor);
    plan
}

#[test]
fn no_rule_blocks_on_a_source_from_memory_alone() {
    let mut asked = 0;
    for rule in super::RULES {
        let Some(explained) = super::examples::explain(rule) else { continue };
        for finding in &explained.trips.report.findings {
            let recalled = finding.recalled.is_some();
            assert!(!recalled || finding.severity < Severity::Block, "{}: {}", rule.id, finding.message);
            assert!(
                !recalled || finding.severity < Severity::Review || finding.message.contains("from memory of"),
                "{}: {}",
                rule.id,
                finding.message
            );
            asked += usize::from(recalled);
        }
    }
    assert!(3 <= asked, "only {asked} findings rest on memory: the law says nothing");
}

fn weight_of(report: &Report, rule: &str) -> Option<Severity> {
    report.findings.iter().filter(|finding| finding.rule.id == rule).map(|finding| finding.severity).max()
}

#[test]
fn taking_away_any_one_rating_of_the_examples_stops_them() {
    for european in [false, true] {
        for nth in 0.. {
            let mut p = plan();
            if european {
                europe(&mut p);
            }
            let Some(path) = knock_nth(&mut p, nth, |p, v| see_ratings(p, !european, v)) else { break };
            let verdict = check(&p).verdict;
            // What the plan does not use is not missed: rows for bars and unbraked trailers, D, S and V in North America.
            let unused = [
                "vehicle.tow_unbraked",
                "vehicle.tow_spring_bars",
                "vehicle.tongue_spring_bars",
                "receiver.spring_bars",
            ];
            // Where the UN/EU rules apply a braked trailer needs no chains.
            let unused = unused.contains(&path)
                || (european && path == "trailer.chains.rating_each")
                || (!european && path.ends_with("_value"));
            assert_eq!(verdict == Verdict::Clear, unused, "{path}, Europe: {european}: {verdict:?}");
        }
    }
}

#[test]
fn what_the_rules_ask_for_is_never_clear_without_it() {
    // Fields whose absence the rules take as an answer, or which only matter in another plan; each says so in its docs.
    let quiet = [
        "plan.model_year",
        "plan.converter",
        "plan.mass_added_before",
        "plan.mass_removed",
        "vehicle.front_share_min",
        "receiver.approval_mark",
        "trailer.drawbar",
        "joints[0].washer",
        "joints[0].bolt_reused",
        "joints[0].specified_nut",
        "answers.mass_label_planned",
        "vehicle.kind",
    ];
    for nth in 0.. {
        let mut p = plan();
        let Some(path) = knock_nth(&mut p, nth, see_rest) else { break };
        let verdict = check(&p).verdict;
        assert_eq!(verdict == Verdict::Clear, quiet.contains(&path), "{path}: {verdict:?}");
    }
}

/// Whatever is not known of a wrench, of the day or of a used part leaves a plan unclear once it is asked for.
#[test]
fn what_is_not_known_of_a_wrench_or_a_used_part_is_never_clear() {
    let whole = || {
        let mut p = plan();
        joint(&mut p).wrench = Some(click());
        joint(&mut p).bolt_reused = Some(true);
        joint(&mut p).bolt_inspection = Some(good_used());
        p
    };
    assert_eq!(check(&whole()).verdict, Verdict::Clear);
    let lacking: [fn(&mut Upfit); 7] = [
        |p| Arc::make_mut(joint(p).wrench.as_mut().unwrap()).scale_min = None,
        |p| Arc::make_mut(joint(p).wrench.as_mut().unwrap()).scale_max = None,
        |p| Arc::make_mut(joint(p).wrench.as_mut().unwrap()).accuracy_share = None,
        |p| Arc::make_mut(joint(p).wrench.as_mut().unwrap()).calibration_due = None,
        |p| p.work_day = None,
        |p| joint(p).bolt_inspection = None,
        |p| joint(p).bolt_inspection.as_mut().unwrap().stretched = None,
    ];
    for (at, lack) in lacking.iter().enumerate() {
        let mut p = whole();
        lack(&mut p);
        assert_ne!(check(&p).verdict, Verdict::Clear, "{at}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, ..ProptestConfig::default() })]

    /// More tongue load never turns a fail into a pass: for each rule that limits load from above, once it speaks it
    /// goes on speaking, as heavily, for every greater tongue load and the same trailer mass.
    #[test]
    fn more_tongue_never_passes_where_less_failed(n in numbers(), more in 0.0..600.0f64) {
        let less = numbered(n);
        let mut greater = less.clone();
        greater.tongue = Some(TongueLoad::Load(kg(n.trailer * n.share + more)));
        let (less, greater) = (check(&less), check(&greater));
        for rule in ["gvwr", "gawr-rear", "rear-axle-without-bars", "gcwr", "weakest-link-tongue", "weakest-link-trailer",
                     "s-value", "tongue-share-high", "tyre-load-rear", "wheel-rating"] {
            prop_assert!(weight_of(&greater, rule) >= weight_of(&less, rule), "{rule}");
        }
    }

    /// A heavier trailer with the same tongue load never passes where a lighter one failed.
    #[test]
    fn a_heavier_trailer_never_passes_where_a_lighter_failed(n in numbers(), more in 0.0..2000.0f64) {
        let lighter = numbered(n);
        let mut heavier = lighter.clone();
        heavier.trailer_mass = Some(kg(n.trailer + more));
        let (lighter, heavier) = (check(&lighter), check(&heavier));
        for rule in ["gcwr", "weakest-link-trailer", "trailer-over-own-rating", "trailer-axle", "tongue-share-low"] {
            prop_assert!(weight_of(&heavier, rule) >= weight_of(&lighter, rule), "{rule}");
        }
    }

    /// Taking away a rating never improves the verdict.
    #[test]
    fn a_missing_rating_never_improves_the_verdict(n in numbers(), nth in 0usize..48) {
        let mut whole = numbered(n);
        // The walk reads load indices from their field alone.
        knock_nth(&mut whole, usize::MAX, |p, v| see_ratings(p, !n.european, v));
        let mut knocked = whole.clone();
        let path = knock_nth(&mut knocked, nth, |p, v| see_ratings(p, !n.european, v));
        let (whole, knocked) = (check(&whole), check(&knocked));
        prop_assert!(knocked.verdict >= whole.verdict, "{path:?}: {:?} to {:?}", whole.verdict, knocked.verdict);
    }

    /// Whatever is unknown, there is an answer; it is the same twice, in the list's order, and its verdict follows from
    /// it.
    #[test]
    fn any_plan_has_one_answer(n in numbers(), mask in prop::collection::vec(prop::bool::weighted(0.15), 140)) {
        let p = knocked(n, &mask);
        let report = check(&p);
        prop_assert_eq!(&report, &check(&p));
        let place = |finding: &super::Finding| super::RULES.iter().position(|rule| rule.id == finding.rule.id);
        prop_assert!(report.findings.is_sorted_by_key(place));
        let heaviest = report.findings.iter().map(|finding| finding.severity).max();
        let expected = match heaviest {
            Some(Severity::Block) => Verdict::Blocked,
            Some(Severity::Review) => Verdict::Review,
            _ => Verdict::Clear,
        };
        prop_assert_eq!(report.verdict, expected);
        if report.findings.iter().any(|finding| finding.unknown) {
            prop_assert_ne!(report.verdict, Verdict::Clear);
        }
        prop_assert_eq!(report.governing().map(|finding| finding.severity), heaviest);
        // What nobody looked up never blocks, and whoever reads it is told to confirm it.
        for finding in report.findings.iter().filter(|finding| finding.recalled.is_some()) {
            prop_assert!(finding.severity < Severity::Block, "{}", finding.rule.id);
            let told = finding.severity < Severity::Review || finding.message.contains("from memory of");
            prop_assert!(told, "{}: {}", finding.rule.id, finding.message);
        }
        if report.verdict == Verdict::Blocked {
            prop_assert!(report.findings.iter().any(|f| f.severity == Severity::Block && f.recalled.is_none()));
        }
    }

    /// Plans judged together and briefly get what each gets alone, but for the words that nobody asked for.
    #[test]
    fn judging_briefly_leaves_out_words_only(
        drawn in prop::collection::vec((numbers(), prop::collection::vec(prop::bool::weighted(0.05), 140)), 0..20),
    ) {
        let plans: Vec<_> = drawn.into_iter().map(|(n, mask)| knocked(n, &mask)).collect();
        let briefly = check_briefly(&plans.iter().collect::<Vec<_>>());
        prop_assert_eq!(briefly.len(), plans.len());
        for (brief, plan) in briefly.iter().zip(&plans) {
            let mut whole = check(plan);
            let governing = whole.governing_place();
            // Where words lean on other findings all are written out, which is no less than was asked for.
            if brief.findings.iter().enumerate().any(|(place, found)| Some(place) != governing && found.message.is_empty()) {
                for (place, finding) in whole.findings.iter_mut().enumerate().filter(|(place, _)| Some(*place) != governing) {
                    prop_assert!(brief.findings[place].message.is_empty());
                    finding.message.clear();
                }
            }
            prop_assert_eq!(brief, &whole);
        }
    }

    /// A policy never improves a verdict, whatever it says: it is written out field by field, so that a new limit is asked
    /// for here too.
    #[test]
    fn a_policy_never_loosens(n in numbers(), own in prop::array::uniform16(prop::option::of(0.0..1.0f64))) {
        let mut plan = numbered(n);
        over_hump(&mut plan);
        seen_from_above(&mut plan);
        let [tongue_min, tongue_max, angle, height, drop, front, brakes, margin, approach, departure, ramp, rise, high, lost,
            ground, swing] = own;
        let policy = Policy {
            limits: Limits {
                approach_min: approach.map(|x| Angle::from_deg(x * 30.0)),
                departure_min: departure.map(|x| Angle::from_deg(x * 20.0)),
                ramp_min: ramp.map(|x| Angle::from_deg(x * 20.0)),
                terrain_margin: ground.map(|x| Length::from_mm(x * 60.0)),
                tail_swing_max: swing.map(|x| Length::from_mm(x * 900.0)),
                articulation_min: swing.map(|x| Angle::from_deg(x * 90.0)),
                cab_gap_min: swing.map(|x| Length::from_mm(x * 300.0)),
                rail_gap_min: ground.map(|x| Length::from_mm(x * 400.0)),
                departure_laden_min: angle.map(|x| Angle::from_deg(x * 12.0)),
                hitch_height_min: height.map(|x| Length::from_mm(x * 250.0)),
                tongue_share_min: tongue_min.map(|x| x * 0.2),
                tongue_share_max: tongue_max.map(|x| x * 0.3),
                level_tolerance: angle.map(|x| Length::from_mm(x * 50.0)),
            },
            name: String::new(),
            label: String::new(),
            revision: 0,
            rise_max: rise.map(|x| Length::from_mm(x * 120.0)),
            ball_height_max: high.map(|x| Length::from_mm(x * 700.0)),
            departure_loss_max: lost,
            drop_max: drop.map(|x| Length::from_mm(x * 200.0)),
            ball_height_min: height.map(|x| Length::from_mm(x * 500.0)),
            front_loss_max: front.map(|x| x * 0.2),
            brakes_above: brakes.map(|x| Mass::from_kg(x * 3000.0)),
            rating_margin: margin.map(|x| x * 0.5),
            near_share: margin.map(|x| 0.005 + x * 0.1),
        };
        let (free, held) = (check(&plan), check(&plan.clone().under(Some(Arc::new(policy)))));
        prop_assert!(free.verdict <= held.verdict, "{:?} to {:?}", free.verdict, held.verdict);
        // A missing input is told once, by the first rule that needs it; which one that is may change.
        // What only comes near the law's limit may break the policy's tighter one: then that rule speaks instead.
        let spoken = |finding: &&super::Finding| !finding.unknown && finding.rule.id != "near-limit";
        for finding in free.findings.iter().filter(spoken) {
            let held = held.findings.iter().filter(|held| held.rule.id == finding.rule.id && !held.unknown);
            prop_assert!(held.map(|held| held.severity).max() >= Some(finding.severity), "{}", finding.rule.id);
        }
    }

    /// More load on a bolt, and more torque on it, never passes where less failed.
    #[test]
    fn more_on_a_bolt_never_passes_where_less_failed(
        shear in 0.0..60.0f64, tension in 0.0..60.0f64, torque in 20.0..200.0f64, more in 1.0..2.0f64,
    ) {
        let at = |shear: f64, tension: f64, torque: f64| {
            let mut p = plan();
            let stack = stack(&mut p);
            (stack.shear, stack.tension) = (Some(Force::from_kn(shear)), Some(Force::from_kn(tension)));
            joint(&mut p).planned_torque = Some(Torque::from_n_m(torque));
            check(&p)
        };
        let base = at(shear, tension, torque);
        let loads = ["joint-separates", "joint-slips", "bolt-overloaded", "hole-bearing", "tear-out", "bolt-sheared"];
        for heavier in [at(shear * more, tension, torque), at(shear, tension * more, torque)] {
            for rule in loads {
                prop_assert!(weight_of(&heavier, rule) >= weight_of(&base, rule), "{rule}");
            }
        }
        let tighter = at(shear, tension, torque * more);
        for rule in ["joint-over-proof", "nut-over-proof", "joint-into-yield", "pressure-under-head", "bolt-overloaded"] {
            prop_assert!(weight_of(&tighter, rule) >= weight_of(&base, rule), "{rule}");
        }
    }

    /// Numbers no sane plan holds give an answer too.
    #[test]
    fn wild_numbers_give_an_answer(value in any::<f64>()) {
            let mut p = plan();
        p.items[0].station = Some(Length::from_mm(value));
        vehicle(&mut p).wheelbase = Length::from_mm(value);
        rear_tyres(&mut p).rate = Some(Rate::from_n_per_mm(value));
        receiver(&mut p).d_value = Some(Force::from_kn(value));
        p.trailer_mass = Some(Mass::from_kg(value));
        joint(&mut p).planned_torque = Some(Torque::from_n_m(value));
        let _ = check(&p);
    }
}
