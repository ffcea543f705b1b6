//! Laws of the assessment, and one joint worked by hand.

use proptest::prelude::*;

use super::*;
use crate::{
    calc::joint::{
        Cycles, Face, Faying, Sheet, Under, grip,
        hitch::{Axis, Bracket, HitchLoads, Method, Side},
        pressure::Ring,
        prying,
        resistance::ShearPlane,
        settle::Settling,
        sheet, strip,
    },
    model::{
        fastener::{BoltClass, HeadKind, IsoClass, SaeGrade},
        thread::Thread,
    },
    tables::{
        embedding::{Loading, Roughness},
        thread_limits,
    },
    units::{Area, Length, Mass},
};

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn mpa(value: f64) -> Stress {
    Stress::from_mpa(value)
}

/// An M12 8.8 with a grip of 30 mm; every item is said.
fn m12() -> JointInput {
    let thread = Thread::metric(12.0, 1.75).unwrap();
    let shank = stiffness::Shank { thread, grip: mm(30.0), threaded: mm(15.0), modulus: mpa(205_000.0) };
    let cone = stiffness::Cone {
        bearing: mm(16.63),
        hole: mm(13.5),
        grip: mm(30.0),
        outer: mm(60.0),
        modulus: mpa(205_000.0),
        tapped: false,
    };
    let seat = sheet::Seat { diameter: mm(12.0), hole: mm(13.5), thickness: mm(5.0), tensile: mpa(410.0) };
    let place = sheet::Place { end: mm(25.0), side: mm(25.0), pitch: None };
    let washer = Ring { outer: mm(24.0), hole: mm(13.5) };
    JointInput {
        thread,
        class: BoltClass::Iso(IsoClass::C8_8),
        preload_min: Force::from_kn(25.0),
        preload_max: Force::from_kn(40.0),
        load: JointLoad::PerBolt { tension: Force::from_kn(8.0), shear: Force::from_kn(1.0) },
        share: Said::Given(Share::Cone {
            shank,
            head: HeadKind::Hex,
            seat: stiffness::Seat::Nut,
            cone,
            introduction: 0.5,
        }),
        thermal: None,
        settling: Said::Given(Settling {
            roughness: Roughness::Below10,
            loading: Loading::Tension,
            faces: 2,
            inner: 1,
        }),
        faying: Said::Given(Faying { friction: 0.15, interfaces: 1, safety: 1.8, rule: SlipRule::Vdi }),
        faces: Said::Given(vec![Face { under: Under::HeadWasher, ring: washer, limit: Some(mpa(490.0)) }]),
        sheets: Said::Given(vec![Sheet {
            number: 0,
            seat,
            ahead: Said::Given(sheet::Ahead::Edge(mm(25.0))),
            place: Said::Given(place),
            strip: Said::Given((mm(60.0), 1)),
        }]),
        plane: Said::Given(ShearPlane::Thread),
        rule: CombinedRule::Ec3,
        strip: Said::Given(strip::StripInput {
            pitch: thread.pitch,
            limits: thread_limits::limits(&thread).unwrap(),
            diameter: thread.diameter,
            engagement: mm(10.8),
            bolt: mpa(800.0),
            nut: mpa(800.0),
            shear_share: 0.6,
            around: strip::Around::Nut { across_flats: mm(18.0) },
            method: strip::StripMethod::Factored,
        }),
        stack: Said::Given((
            grip::Stack { grip: mm(25.0), washers: mm(5.0), nut: mm(10.8), pitch: thread.pitch },
            mm(50.0),
        )),
        stub: Said::NotThere,
        cycles: Said::Given(Cycles { rolled: fatigue::Rolled::BeforeHeatTreatment, least_share: 0.0 }),
    }
}

fn bracket() -> Bracket {
    Bracket {
        positions: [[0.0, -430.0, 0.0], [160.0, -430.0, 10.0], [0.0, 430.0, 0.0], [160.0, 430.0, 10.0]]
            .map(|at| at.map(mm))
            .to_vec(),
        axis: Axis::Crosswise,
        side: Side::Positive,
        load_at: [520.0, 0.0, -180.0].map(mm),
        share: 1.0,
        method: Method::Springs,
        area: Area::from_mm2(84.3),
    }
}

/// By hand: Φ 0.0957, F_Z 3.13 kN; 8 kN along and 1 kN across on 25 to 40 kN.
#[test]
fn one_joint_by_hand() {
    let report = assess_joint(&m12()).unwrap();
    assert_eq!(report.unknown, vec![], "{:?}", report.unknown);
    let demand = |kind| report.item(kind).unwrap().demand;
    assert!((report.share.unwrap() - 0.095_75).abs() < 1e-4);
    assert!((report.embedding.unwrap().kn() - 3.13).abs() < 0.01);
    assert!((demand(ItemKind::BoltForce) - 40_766.0).abs() < 2.0);
    assert!((demand(ItemKind::Separation) - (7234.0 + 3127.0)).abs() < 4.0);
    assert!((demand(ItemKind::Slip) - (12_000.0 + 7234.0 + 3127.0)).abs() < 4.0);
    assert!((demand(ItemKind::Length) - 44.3).abs() < 1e-9);
    assert_eq!(report.separates, Some(false));
    // Slip takes 22.4 of 25 kN and governs.
    assert_eq!(report.governing().unwrap().kind, ItemKind::Slip);
    assert_eq!(report.holds(), Some(true));
    assert_eq!(report.basis().len(), report.items.len());
}

#[test]
fn what_nobody_says_is_unknown_and_never_holds() {
    let bare = JointInput {
        share: Said::Nothing,
        settling: Said::Nothing,
        faying: Said::Nothing,
        faces: Said::Nothing,
        sheets: Said::Nothing,
        plane: Said::Nothing,
        strip: Said::Nothing,
        stack: Said::Nothing,
        stub: Said::Nothing,
        cycles: Said::Nothing,
        ..m12()
    };
    let report = assess_joint(&bare).unwrap();
    assert_eq!(report.holds(), None);
    for kind in [
        ItemKind::BoltForce,
        ItemKind::Embedding,
        ItemKind::Slip,
        ItemKind::Shear,
        ItemKind::Tension,
        ItemKind::Combined,
        ItemKind::NutThread,
        ItemKind::Length,
        ItemKind::Prying,
        ItemKind::Fatigue,
        ItemKind::HoleBearing(0),
        ItemKind::TearOut(0),
        ItemKind::NetSection(0),
        ItemKind::Pressure(Under::Head),
    ] {
        assert!(report.unknown.iter().any(|unknown| unknown.kind == kind), "{kind:?}");
    }
    // What is known to fail still fails.
    let over = JointInput { preload_max: Force::from_kn(60.0), ..bare };
    assert_eq!(assess_joint(&over).unwrap().holds(), Some(false));
}

#[test]
fn one_thing_unsaid_leaves_the_joint_undecided() {
    let material = JointInput {
        faces: Said::Given(vec![Face {
            under: Under::Nut,
            ring: Ring { outer: mm(16.63), hole: mm(13.5) },
            limit: None,
        }]),
        ..m12()
    };
    let report = assess_joint(&material).unwrap();
    assert_eq!(report.unknown.len(), 1);
    assert_eq!(report.holds(), None);
    // A cast aluminium part under the bare nut does not bear the preload.
    let cast = JointInput {
        faces: Said::Given(vec![Face {
            under: Under::Nut,
            ring: Ring { outer: mm(16.63), hole: mm(13.5) },
            limit: Some(mpa(290.0)),
        }]),
        ..m12()
    };
    let report = assess_joint(&cast).unwrap();
    assert_eq!(report.governing().unwrap().kind, ItemKind::Pressure(Under::Nut));
    assert_eq!(report.holds(), Some(false));
}

#[test]
fn a_joint_that_separates_says_so() {
    let load = JointLoad::PerBolt { tension: Force::from_kn(30.0), shear: Force::ZERO };
    let report = assess_joint(&JointInput { load, ..m12() }).unwrap();
    assert_eq!(report.separates, Some(true));
    assert_eq!(report.holds(), Some(false));
    assert!(1.0 < report.item(ItemKind::Separation).unwrap().use_share);
}

#[test]
fn hitch_loads_reach_the_bolts() {
    let test = JointLoad::Hitch { loads: HitchLoads::Test { rated: Mass::from_lb(5000.0) }, bracket: bracket() };
    let report = assess_joint(&JointInput { load: test, ..m12() }).unwrap();
    assert_eq!(report.cases.len(), 6);
    assert!(report.cases.iter().all(|case| case.bolts.len() == 4));
    let slip = report.item(ItemKind::Slip).unwrap();
    assert!(slip.case.is_some() && slip.bolt.is_some());
    // The strip carries the bolts of one case, not of all: the worst case's shear, summed by hand.
    let sums = report.cases.iter().map(|case| case.bolts.iter().map(|bolt| bolt.shear.n()).sum::<f64>());
    let most = sums.fold(0.0, f64::max);
    assert!((report.item(ItemKind::NetSection(0)).unwrap().demand / most - 1.0).abs() < 1e-12);
    // Four M12 at 25 kN do not hold the test forces by friction alone.
    assert_eq!(report.holds(), Some(false));
}

#[test]
fn inch_bolts_are_judged_too() {
    let thread = Thread::read("1/2-13").unwrap();
    let inch = JointInput {
        thread,
        class: BoltClass::Sae(SaeGrade::G5),
        strip: Said::NotThere,
        cycles: Said::NotThere,
        stub: Said::Given((
            prying::Stub {
                length: mm(80.0),
                thickness: mm(10.0),
                yields: mpa(355.0),
                to_web: mm(30.0),
                to_edge: mm(35.0),
                bolts: Force::from_kn(97.0),
            },
            2,
        )),
        ..m12()
    };
    let report = assess_joint(&inch).unwrap();
    assert_eq!(report.item(ItemKind::Shear).unwrap().source, OTHER_CLASSES);
    // 120 ksi on 0.1419 in²; 0.9 and 0.6 of it (on 0.12566 in²) over 1.25.
    let kip = |kind| Force::from_n(report.item(kind).unwrap().allowed).lbf() / 1000.0;
    assert!((kip(ItemKind::Tension) - 0.9 * 120.0 * 0.141_9 / 1.25).abs() < 0.01);
    assert!((kip(ItemKind::Shear) - 0.6 * 120.0 * 0.125_66 / 1.25).abs() < 0.01);
    assert!((report.item(ItemKind::Prying).unwrap().demand - 16_000.0).abs() < 1e-6);
    // A grade 5 bolt has no printed endurance: asked for it, the item is unknown.
    let cycling = JointInput { cycles: m12().cycles, ..inch };
    let report = assess_joint(&cycling).unwrap();
    assert!(report.unknown.iter().any(|unknown| unknown.kind == ItemKind::Fatigue));
}

#[test]
fn preloads_the_wrong_way_round_are_refused() {
    let turned = JointInput { preload_min: Force::from_kn(41.0), ..m12() };
    assert_eq!(assess_joint(&turned).unwrap_err().field(), "preload_n");
    let none = JointInput { preload_min: Force::ZERO, ..m12() };
    assert_eq!(assess_joint(&none).unwrap_err().field(), "preload_n");
    let push = JointLoad::PerBolt { tension: Force::from_kn(-1.0), shear: Force::ZERO };
    assert_eq!(assess_joint(&JointInput { load: push, ..m12() }).unwrap_err().field(), "external_n");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn items_fall_from_the_governing_one_and_more_load_uses_more(
        tension in 0.0..20e3_f64, shear in 0.0..5e3_f64, more in 1.0..2.0_f64,
    ) {
        let with = |tension: f64, shear: f64| {
            let load = JointLoad::PerBolt { tension: Force::from_n(tension), shear: Force::from_n(shear) };
            assess_joint(&JointInput { load, ..m12() }).unwrap()
        };
        let (base, heavier) = (with(tension, shear), with(tension * more, shear * more));
        prop_assert!(base.items.windows(2).all(|pair| pair[1].use_share <= pair[0].use_share));
        for item in &base.items {
            let then = heavier.item(item.kind);
            prop_assert!(then.is_none_or(|then| item.use_share <= then.use_share + 1e-12), "{item:?} {then:?}");
        }
    }

    #[test]
    fn more_preload_helps_the_clamp_and_never_the_bolt(kn in 20.0..39.0_f64, more in 1.0..1.2_f64) {
        let with = |min: f64, max: f64| {
            let input = JointInput { preload_min: Force::from_kn(min), preload_max: Force::from_kn(max), ..m12() };
            assess_joint(&input).unwrap()
        };
        let (base, tight) = (with(kn, 40.0), with(kn * more, 40.0 * more));
        let share = |report: &JointReport, kind| report.item(kind).unwrap().use_share;
        for kind in [ItemKind::Separation, ItemKind::Slip, ItemKind::Embedding] {
            prop_assert!(share(&tight, kind) <= share(&base, kind));
        }
        for kind in [ItemKind::Preload, ItemKind::BoltForce, ItemKind::Pressure(Under::HeadWasher), ItemKind::NutThread] {
            prop_assert!(share(&base, kind) <= share(&tight, kind));
        }
    }
}

/// The three slip rules on one joint: M12 of 8.8 under 8 kN along and 1 kN across, friction 0.3.
///
/// EN 1993-1-8 (from memory): F_p,C = 0.7 · 800 · 84.27 = 47.19 kN, of which 0.8 · 8 kN go; 0.3 of it over 1.25 is
/// 9.79 kN. AISC 360 (from memory): 0.3 · 1.13 · 45 kN less 8/(1.13 · 45) of it, over 1.5, is 8.57 kN.
#[test]
fn slip_goes_by_the_rule_that_is_named() {
    let slip = |rule: SlipRule, kn: f64| {
        let faying = Said::Given(Faying { friction: 0.3, interfaces: 1, safety: 1.2, rule });
        let [preload_min, preload_max] = [kn, kn + 1.0].map(Force::from_kn);
        let report = assess_joint(&JointInput { faying, preload_min, preload_max, ..m12() }).unwrap();
        report.item(ItemKind::Slip).copied().ok_or(report.unknown)
    };
    let ec3 = slip(SlipRule::Ec3 { hole_factor: 1.0 }, 47.5).unwrap();
    assert!((ec3.allowed - 9_790.0).abs() < 5.0 && (ec3.demand - 1000.0).abs() < 1e-9, "{ec3:?}");
    let aisc = SlipRule::Aisc { du: 1.13, hole_factor: 1.0, pretension: Force::from_kn(45.0) };
    let carries = slip(aisc, 47.5).unwrap();
    assert!((carries.allowed - 8_570.0).abs() < 5.0, "{carries:?}");
    // What the tightening does not leave for certain is not counted on.
    for rule in [SlipRule::Ec3 { hole_factor: 1.0 }, aisc] {
        let unknown = slip(rule, 40.0).unwrap_err();
        assert!(unknown.iter().any(|it| it.kind == ItemKind::Slip && it.why.field() == "slip_rule"), "{unknown:?}");
    }
    let vdi = slip(SlipRule::Vdi, 47.5).unwrap();
    assert_eq!((vdi.source, ec3.source, carries.source), (slip::VDI_SOURCE, slip::EC3_SOURCE, slip::AISC_SOURCE));
    assert!(vdi.use_share < 1.0 && ec3.use_share < 1.0 && carries.use_share < 1.0);
}

#[test]
fn heat_takes_off_the_clamp() {
    let with = |thermal: Option<Force>| assess_joint(&JointInput { thermal, ..m12() }).unwrap();
    let demand = |report: &JointReport| report.item(ItemKind::Separation).unwrap().demand;
    let (cold, hot) = (with(None), with(Some(Force::from_kn(2.5))));
    assert!((demand(&hot) - demand(&cold) - 2_500.0).abs() < 1e-6);
    assert_eq!(with(Some(Force::from_kn(30.0))).separates, Some(true));
    let wrong = JointInput { thermal: Some(Force::from_n(f64::NAN)), ..m12() };
    assert_eq!(assess_joint(&wrong).unwrap_err().field(), "preload_n");
}

/// AISC 360, J3.7 (from memory): the reduced tension stress and the sum of shares are one rule written twice.
#[test]
fn american_tension_and_shear_go_by_their_own_resistances() {
    let input = JointInput { rule: CombinedRule::Aisc, ..m12() };
    let report = assess_joint(&input).unwrap();
    let body = Area::from_mm2(std::f64::consts::PI * 36.0);
    let [fnt, fnv] = [0.75, 0.45].map(|share| mpa(800.0 * share));
    let left = resistance::aisc_tension(fnt, fnv, body, Force::from_kn(1.0)).unwrap();
    // 1 kN across leaves the whole of the tension.
    assert!((report.item(ItemKind::Tension).unwrap().allowed / left.design.n() - 1.0).abs() < 1e-12);
    assert_eq!(report.item(ItemKind::Shear).unwrap().source, resistance::AISC_SOURCE);
}
