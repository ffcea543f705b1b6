//! Printed check values, one case for every reason, and laws.

use proptest::prelude::*;

use super::{
    captive::{Repair, Spun, repairs},
    reuse::{Inspection, UsedNut, may_be_used_again},
    *,
};
use crate::{
    calc::{joint::pressure::Ring, printed::prints, torque::prevailing::Lock},
    model::{
        fastener::{BoltClass, HeadKind, NutClass, NutKind},
        thread::Thread,
    },
    tables::{self, WasherSeries},
    units::{Force, Stress, Torque},
};

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn bolt(thread: &str, class: &str) -> Bolt {
    Bolt {
        name: String::new(),
        label: String::new(),
        thread: Thread::read(thread).unwrap(),
        class: (!class.is_empty()).then(|| BoltClass::read(class).unwrap()),
        length: Some(mm(45.0)),
        bearing_diameter: None,
        hole_diameter: None,
        head: Some(HeadKind::Hex),
        single_use: Some(false),
        hot_dip_galvanised: Some(false),
    }
}

fn nut(thread: &str, class: &str) -> Nut {
    Nut {
        name: String::new(),
        label: String::new(),
        thread: Thread::read(thread).unwrap(),
        class: (!class.is_empty()).then(|| NutClass::read(class).unwrap()),
        kind: Some(NutKind::Regular),
        height: None,
        bearing_diameter: None,
        prevailing_torque: None,
    }
}

fn washer(inner: f64, outer: f64, hv: f64) -> Washer {
    Washer {
        name: String::new(),
        label: String::new(),
        inner_diameter: Some(mm(inner)),
        outer_diameter: Some(mm(outer)),
        thickness: Some(mm(2.5)),
        hardness_hv: Some(hv),
    }
}

fn m12(class: &str, nut_class: &str) -> Fasteners {
    Fasteners { bolt: bolt("M12", class), nut: Some(nut("M12", nut_class)), washer: Some(washer(13.0, 24.0, 300.0)) }
}

fn input(specified: Fasteners, offered: Fasteners) -> CompareInput {
    CompareInput {
        specified,
        offered,
        grip: Some(mm(20.0)),
        around: Some(Around::Steel),
        electroplated: Some(false),
        specified_locks: Some(false),
        used: None,
        used_nut: None,
    }
}

fn verdict(input: &CompareInput) -> Verdict {
    compare(input).unwrap().verdict
}

/// Class change by the army manuals (opened) and nuts by ISO 898-2: 10.9 to 8.8 refused; 8.8 to 10.9 accepted at the 8.8
/// torque, with a nut of 8 for that torque and of 10 to use the bolt.
#[test]
fn classes_change_one_way_only() {
    assert_eq!(verdict(&input(m12("8.8", "8"), m12("8.8", "8"))), Verdict::Same);
    let down = compare(&input(m12("10.9", "10"), m12("8.8", "8"))).unwrap();
    assert_eq!(down.verdict, Verdict::WorseRefuse);
    assert!(down.has(ReasonKind::LowerClass));
    let up = compare(&input(m12("8.8", "8"), m12("10.9", "8"))).unwrap();
    assert_eq!(up.verdict, Verdict::BetterKeepTorque);
    assert!(up.has(ReasonKind::HigherClass) && up.has(ReasonKind::NutLimits));
    let both = compare(&input(m12("8.8", "8"), m12("10.9", "10"))).unwrap();
    assert!(!both.has(ReasonKind::NutLimits) && both.has(ReasonKind::StrongerNut));
    let weak = compare(&input(m12("8.8", "8"), m12("10.9", "6"))).unwrap();
    assert!(weak.has(ReasonKind::WeakerNut));
    assert_eq!(weak.verdict, Verdict::WorseRefuse);
    assert!(both.basis().len() == both.reasons.len());
}

#[test]
fn inch_and_metric_never_mix() {
    for (specified, offered) in [("M8", "5/16-18"), ("M10", "3/8-16"), ("M12", "1/2-13"), ("M6", "1/4-20")] {
        let inch = Fasteners { bolt: bolt(offered, "SAE 5"), nut: None, washer: None };
        let metric = Fasteners { bolt: bolt(specified, "8.8"), nut: None, washer: None };
        for (a, b) in [(&metric, &inch), (&inch, &metric)] {
            let found = compare(&input(a.clone(), b.clone())).unwrap();
            assert!(found.has(ReasonKind::ThreadsLookAlike) && found.has(ReasonKind::OtherFamily), "{specified}");
            assert_eq!(found.verdict, Verdict::WorseRefuse);
        }
    }
    let fine = Fasteners { bolt: bolt("M12x1.5", "8.8"), nut: Some(nut("M12x1.5", "8")), ..m12("8.8", "8") };
    assert!(compare(&input(m12("8.8", "8"), fine)).unwrap().has(ReasonKind::OtherPitch));
    let crossed = Fasteners { nut: Some(nut("1/2-13", "SAE 5")), ..m12("8.8", "8") };
    assert!(compare(&input(m12("8.8", "8"), crossed)).unwrap().has(ReasonKind::ThreadsLookAlike));
    let other = Fasteners { nut: Some(nut("M14", "8")), ..m12("8.8", "8") };
    assert!(compare(&input(m12("8.8", "8"), other)).unwrap().has(ReasonKind::NutDoesNotMate));
    let larger = Fasteners { bolt: bolt("M14", "8.8"), nut: Some(nut("M14", "8")), washer: None };
    assert!(compare(&input(m12("8.8", "8"), larger)).unwrap().has(ReasonKind::OtherThread));
}

/// Derived from ASME B18.22.1 (from memory): room of a narrow inch washer on a metric bolt.
#[test]
fn inch_washers_on_metric_bolts() {
    for (inch, metric, gap, refused) in
        [("1/2-13", "M12", "1.49", false), ("3/8-16", "M10", "0.32", true), ("5/8-11", "M16", "0.67", false)]
    {
        let size = tables::washer(&Thread::read(inch).unwrap(), WasherSeries::Narrow).unwrap();
        let offered = Fasteners {
            bolt: bolt(metric, "8.8"),
            nut: None,
            washer: Some(washer(size.inner.mm(), size.outer.mm(), 300.0)),
        };
        let none = Fasteners { washer: None, ..offered.clone() };
        prints("derived from ASME B18.22.1", gap, (size.inner - offered.bolt.thread.diameter).mm());
        let found = compare(&input(none, offered)).unwrap();
        assert_eq!(found.has(ReasonKind::WasherOnFillet), refused, "{inch} on {metric}");
        assert!(found.has(ReasonKind::WasherAdded));
    }
}

/// US Army TB 43-0218, sections III to V (opened).
#[test]
fn used_bolts_are_judged() {
    let good = Inspection {
        threads_damaged: Some(false),
        rust_stays: Some(false),
        pitted: Some(false),
        stretched: Some(false),
        locks: Some(false),
        over_proof: Some(false),
        into_yield: Some(false),
        structural: Some(false),
    };
    let m12_bolt = bolt("M12", "8.8");
    assert_eq!(may_be_used_again(&good, &m12_bolt).may, Some(true));
    let bad: [(Inspection, ReasonKind); 8] = [
        (Inspection { threads_damaged: Some(true), ..good }, ReasonKind::ThreadsDamaged),
        (Inspection { pitted: Some(true), ..good }, ReasonKind::Pitted),
        (Inspection { rust_stays: Some(true), ..good }, ReasonKind::RustStays),
        (Inspection { stretched: Some(true), ..good }, ReasonKind::Stretched),
        (Inspection { locks: Some(true), ..good }, ReasonKind::LockingUsed),
        (Inspection { over_proof: Some(true), ..good }, ReasonKind::Overtightened),
        (Inspection { into_yield: Some(true), ..good }, ReasonKind::SingleUse),
        (Inspection { structural: Some(true), ..good }, ReasonKind::StructuralUsed),
    ];
    for (found, kind) in bad {
        let reuse = may_be_used_again(&found, &m12_bolt);
        assert_eq!(reuse.may, Some(false), "{kind:?}");
        assert!(reuse.reasons.iter().any(|reason| reason.kind == kind));
        // A bad finding weighs more than what nobody looked at.
        let half = Inspection { pitted: found.pitted.filter(|pitted| *pitted), ..found };
        assert_eq!(may_be_used_again(&half, &m12_bolt).may, Some(false));
    }
    assert_eq!(may_be_used_again(&Inspection { pitted: None, ..good }, &m12_bolt).may, None);
    assert_eq!(may_be_used_again(&Inspection::default(), &m12_bolt).may, None);
    let once = Bolt { single_use: Some(true), ..m12_bolt };
    assert_eq!(may_be_used_again(&good, &once).may, Some(false));
    let used = CompareInput { used: Some(Inspection::default()), ..input(m12("8.8", "8"), m12("8.8", "8")) };
    assert_eq!(verdict(&used), Verdict::Unknown);
}

/// One change each that trips one reason.
#[test]
fn every_reason_is_tripped_by_something() {
    let base = || input(m12("8.8", "8"), m12("8.8", "8"));
    let mut found: Vec<(ReasonKind, CompareInput)> = Vec::new();
    let mut trip = |kind, change: &dyn Fn(&mut CompareInput)| {
        let mut changed = base();
        change(&mut changed);
        found.push((kind, changed));
    };
    trip(ReasonKind::ClassUnknown, &|i| i.offered.bolt.class = None);
    trip(ReasonKind::SpecifiedUnknown, &|i| i.specified.bolt.class = None);
    trip(ReasonKind::SmallerFace, &|i| {
        i.specified.bolt.bearing_diameter = Some(mm(16.63));
        i.offered.bolt.bearing_diameter = Some(mm(15.0));
    });
    trip(ReasonKind::OtherHead, &|i| i.offered.bolt.head = Some(HeadKind::HexFlange));
    trip(ReasonKind::TooShort, &|i| i.offered.bolt.length = Some(mm(35.0)));
    trip(ReasonKind::TooLong, &|i| i.offered.bolt.length = Some(mm(80.0)));
    trip(ReasonKind::LengthUnknown, &|i| i.grip = None);
    trip(ReasonKind::NutMissing, &|i| i.offered.nut = None);
    trip(ReasonKind::ThinNut, &|i| i.offered.nut = Some(nut("M12", "05")));
    trip(ReasonKind::NutClassUnknown, &|i| i.offered.nut = Some(nut("M12", "")));
    trip(ReasonKind::LockLost, &|i| i.specified_locks = Some(true));
    trip(ReasonKind::LockUnknown, &|i| i.specified_locks = None);
    trip(ReasonKind::LockGained, &|i| {
        i.offered.nut = Some(Nut { prevailing_torque: Some(Torque::from_n_m(4.0)), ..nut("M12", "8") });
    });
    trip(ReasonKind::WasherMissing, &|i| i.offered.washer = None);
    trip(ReasonKind::WasherDoesNotFit, &|i| i.offered.washer = Some(washer(11.9, 24.0, 300.0)));
    trip(ReasonKind::SmallerWasher, &|i| i.offered.washer = Some(washer(13.0, 22.0, 300.0)));
    trip(ReasonKind::LargerWasher, &|i| i.offered.washer = Some(washer(13.0, 30.0, 300.0)));
    trip(ReasonKind::SoftWasher, &|i| i.offered.washer = Some(washer(13.0, 24.0, 140.0)));
    trip(ReasonKind::HardnessUnknown, &|i| {
        i.offered.washer = Some(Washer { hardness_hv: None, ..washer(13.0, 24.0, 0.0) });
    });
    trip(ReasonKind::WasherUnknown, &|i| {
        i.offered.washer = Some(Washer { inner_diameter: None, ..washer(13.0, 24.0, 300.0) });
    });
    trip(ReasonKind::SteelInStainless, &|i| i.around = Some(Around::Stainless));
    trip(ReasonKind::SteelInAluminium, &|i| i.around = Some(Around::Aluminium));
    trip(ReasonKind::Embrittlement, &|i| i.offered.bolt = bolt("M12", "12.9"));
    trip(ReasonKind::PlatingUnknown, &|i| {
        i.offered.bolt = bolt("M12", "10.9");
        i.electroplated = None;
    });
    trip(ReasonKind::Embrittlement, &|i| {
        i.offered.bolt = bolt("M12", "10.9");
        i.electroplated = Some(true);
    });
    // US Army TM 9-6115-604-34, table 1-3 (opened): a 1/2 in nut with an insert needs 15 lbf in.
    let used_nut = |lock, lb_in: Option<f64>| {
        move |i: &mut CompareInput| {
            i.offered.nut = Some(nut("1/2-13", "8"));
            i.used_nut = Some(UsedNut { lock, prevailing: lb_in.map(Torque::from_lb_in) });
        }
    };
    trip(ReasonKind::NutLocksNoMore, &used_nut(Some(Lock::Insert), Some(14.0)));
    trip(ReasonKind::NutStillLocks, &used_nut(Some(Lock::Insert), Some(15.0)));
    trip(ReasonKind::NutLockUnmeasured, &used_nut(Some(Lock::AllMetal), None));
    trip(ReasonKind::NutLeastUnprinted, &|i| {
        used_nut(Some(Lock::AllMetal), Some(20.0))(i);
        i.offered.nut = Some(nut("M12", "8"));
    });
    let stainless = |i: &mut CompareInput| {
        i.specified = m12("A2-70", "A2-70");
        i.offered = m12("A2-70", "A2-70");
    };
    trip(ReasonKind::Galling, &stainless);
    trip(ReasonKind::StainlessInAluminium, &|i| {
        stainless(i);
        i.around = Some(Around::Aluminium);
    });
    // ISO 10684 (opened): a galvanised M10 nut of class 8 holds 42.2 kN where the plain one holds 50.5.
    let m10 = || Fasteners { bolt: bolt("M10", "8.8"), nut: Some(nut("M10", "8")), washer: None };
    trip(ReasonKind::GalvanisedNut, &|i| {
        i.specified = m10();
        i.offered = m10();
        i.offered.bolt.hot_dip_galvanised = Some(true);
    });
    trip(ReasonKind::GalvanisingUnknown, &|i| {
        i.specified = m10();
        i.offered = m10();
        i.offered.bolt.hot_dip_galvanised = None;
    });
    for (kind, input) in found {
        let comparison = compare(&input).unwrap();
        assert!(comparison.has(kind), "{kind:?}: {:?}", comparison.reasons);
        assert!(kind.weight().verdict() <= comparison.verdict, "{kind:?}");
        assert!(comparison.reasons.windows(2).all(|pair| pair[1].kind.weight() <= pair[0].kind.weight()));
    }
    let hot = {
        let mut hot = input(m10(), m10());
        hot.offered.bolt.hot_dip_galvanised = Some(true);
        compare(&hot).unwrap()
    };
    let figures = hot.reasons.iter().find(|reason| reason.kind == ReasonKind::GalvanisedNut).unwrap();
    assert_eq!((figures.offered, figures.wanted), (Some(42.2), Some(50.5)));
    let ids: std::collections::BTreeSet<_> = ReasonKind::ALL.iter().map(|kind| kind.id()).collect();
    assert_eq!(ids.len(), ReasonKind::ALL.len());
}

#[test]
fn measures_that_cannot_be_are_refused() {
    let base = || input(m12("8.8", "8"), m12("8.8", "8"));
    let mut bad = base();
    bad.offered.washer = Some(washer(f64::NAN, 24.0, 300.0));
    assert_eq!(compare(&bad).unwrap_err().field(), "hole_diameter_mm");
    let mut bad = base();
    bad.offered.washer = Some(washer(13.0, 24.0, f64::NAN));
    assert_eq!(compare(&bad).unwrap_err().field(), "hardness_hv");
    let mut bad = base();
    bad.specified.bolt.bearing_diameter = Some(mm(-1.0));
    assert_eq!(compare(&bad).unwrap_err().field(), "bearing_diameter_mm");
    let bad = CompareInput { grip: Some(mm(f64::NAN)), ..base() };
    assert_eq!(compare(&bad).unwrap_err().field(), "length_mm");
}

fn spun() -> Spun {
    Spun {
        thread: Thread::read("M10").unwrap(),
        class: BoltClass::read("8.8").unwrap(),
        preload: Force::from_kn(25.0),
        load: Force::from_kn(8.0),
        torque: Torque::from_n_m(48.0),
        commercial_frame: Some(true),
        rail_flange: Some(false),
        hollow: Some(false),
        reachable: Some(true),
        new_nut: NutClass::Iso8,
        face: Ring { outer: mm(20.0), hole: mm(11.0) },
        limit: Some(Stress::from_mpa(490.0)),
        thickness: Some(mm(3.0)),
        tensile: Some(Stress::from_mpa(410.0)),
        insert_pull_out: Some(Force::from_kn(12.0)),
        insert_torque_out: None,
    }
}

#[test]
fn a_spun_nut_is_repaired_in_order() {
    let options = repairs(&spun()).unwrap();
    let order: Vec<Repair> = options.iter().map(|option| option.repair).collect();
    assert_eq!(order, Repair::ALL);
    let of = |repair: Repair| options.iter().find(|option| option.repair == repair).unwrap();
    // Nothing is open without somebody having looked: the bare edge is always asked for.
    assert_eq!(of(Repair::ThroughBolt).open, None);
    assert!(of(Repair::ThroughBolt).proofs.iter().all(|proof| proof.shown != Some(false)));
    // 3 mm of frame steel hold 15.9 kN of thread, the insert 12 kN: neither holds 25 kN of preload.
    assert_eq!(of(Repair::ThreadInsert).open, Some(false));
    assert_eq!(of(Repair::BlindInsert).open, Some(false));
    assert_eq!(of(Repair::NewWeldNut).proofs[0].source, captive::FRAME_SOURCE);
    assert!(options.iter().all(|option| option.basis().len() == option.proofs.len()));
}

#[test]
fn what_nobody_says_of_a_frame_counts_as_the_worst() {
    let unknown = Spun { rail_flange: None, hollow: None, commercial_frame: None, ..spun() };
    let through = &repairs(&unknown).unwrap()[0];
    for word in ["crush sleeve", "maker allows a hole"] {
        assert!(through.proofs.iter().any(|proof| proof.what.contains(word) && proof.shown.is_none()), "{word}");
    }
    let weak = Spun { new_nut: NutClass::Iso05, ..spun() };
    assert_eq!(repairs(&weak).unwrap()[0].open, Some(false));
    let unreachable = Spun { reachable: Some(false), ..spun() };
    assert_eq!(repairs(&unreachable).unwrap()[0].open, Some(false));
    assert_eq!(repairs(&Spun { load: Force::ZERO, ..spun() }).unwrap_err().field(), "load_n");
    // Thick enough material holds.
    let thick = Spun { thickness: Some(mm(12.0)), ..spun() };
    assert_eq!(repairs(&thick).unwrap()[4].open, None);
}

fn classes() -> impl Strategy<Value = BoltClass> {
    prop::sample::select(BoltClass::all().filter(|class| matches!(class, BoltClass::Iso(_))).collect::<Vec<_>>())
}

proptest! {
    #[test]
    fn a_part_is_the_same_as_itself_and_never_better_both_ways(a in classes(), b in classes()) {
        let with = |class: BoltClass| {
            let mut fasteners = m12("8.8", "12");
            fasteners.bolt.class = Some(class);
            fasteners
        };
        prop_assert_eq!(verdict(&input(with(a), with(a))), Verdict::Same);
        if a != b {
            let (there, back) = (verdict(&input(with(a), with(b))), verdict(&input(with(b), with(a))));
            prop_assert!(there == Verdict::WorseRefuse || back == Verdict::WorseRefuse, "{a} {b}");
        }
    }

    /// Taking knowledge away never makes a part fit that did not.
    #[test]
    fn not_knowing_never_helps(a in classes(), b in classes(), which in 0_usize..7) {
        let mut known = input(m12("8.8", "8"), m12("8.8", "8"));
        known.specified.bolt.class = Some(a);
        known.offered.bolt.class = Some(b);
        let mut unknown = known.clone();
        match which {
            0 => unknown.offered.bolt.class = None,
            1 => unknown.offered.nut = Some(nut("M12", "")),
            2 => unknown.offered.washer = Some(Washer { hardness_hv: None, ..washer(13.0, 24.0, 300.0) }),
            3 => unknown.grip = None,
            4 => unknown.specified_locks = None,
            5 => unknown.specified.bolt.class = None,
            _ => unknown.used = Some(Inspection::default()),
        }
        prop_assert!(!verdict(&unknown).may_be_fitted() || verdict(&known).may_be_fitted());
    }
}
