//! Laws of torque and preload.

use proptest::prelude::*;

use super::*;
use crate::{
    model::thread::Thread,
    units::{Force, Torque},
};

fn threads() -> impl Strategy<Value = Thread> {
    prop::sample::select(Thread::all().filter(|thread| thread.diameter.mm() >= 5.0).collect::<Vec<_>>())
}

/// A hexagon's proportions: face one and a half diameters wide, hole a tenth over.
fn screw(thread: &Thread) -> Screw {
    let face = Face::Ring { outer: thread.diameter * 1.5, hole: thread.diameter * 1.1 };
    Screw::new(thread, face, None).unwrap()
}

fn friction(thread: f64, face: f64) -> Condition {
    Condition::Friction { thread: Band::exactly(thread), face: Band::exactly(face) }
}

proptest! {
    #[test]
    fn more_friction_makes_less_preload(
        thread in threads(), in_thread in 0.04..0.45, under_face in 0.04..0.45, more in 0.001..0.05, n_m in 1.0..500.0,
    ) {
        let (screw, torque) = (screw(&thread), Torque::from_n_m(n_m));
        let preload = |condition| screw.arms(&condition).unwrap().nominal.preload(torque);
        let base = preload(friction(in_thread, under_face));
        prop_assert!(preload(friction(in_thread + more, under_face)) < base);
        prop_assert!(preload(friction(in_thread, under_face + more)) < base);
    }

    #[test]
    fn every_unknown_is_solved_for(thread in threads(), nut_factor in 0.06..0.55, kn in 0.5..500.0) {
        let (screw, preload) = (screw(&thread), Force::from_kn(kn));
        let arm = screw.arms(&Condition::NutFactor(Band::exactly(nut_factor))).unwrap().nominal;
        let torque = arm.torque(preload);
        // T from K, d, F.
        prop_assert!((torque.n_m() / (nut_factor * thread.diameter.m() * preload.n()) - 1.0).abs() < 1e-12);
        // F from T; K from T, d, F; friction from K, and K from friction again.
        prop_assert!((arm.preload(torque) / preload - 1.0).abs() < 1e-12);
        prop_assert!((torque.n_m() / (thread.diameter.m() * preload.n()) / nut_factor - 1.0).abs() < 1e-12);
        let same = screw.friction(nut_factor).unwrap();
        if FRICTION.holds(same) {
            let arms = screw.arms(&friction(same, same)).unwrap();
            prop_assert!((screw.nut_factor(&arms).nominal / nut_factor - 1.0).abs() < 1e-12);
            // The short form parts its torque as the long form does.
            prop_assert!((arms.nominal.thread.unwrap() / arm.thread.unwrap() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn there_and_back_at_constant_preload(
        thread in threads(), a in 0.04..0.5, b in 0.04..0.5, c in 0.04..0.5, d in 0.04..0.5, k in 0.06..0.6,
    ) {
        let screw = screw(&thread);
        let conditions = [friction(a, b), friction(c, d), Condition::NutFactor(Band::exactly(k))];
        for from in &conditions {
            for to in &conditions {
                let there = conversion_factor(&screw, from, to).unwrap();
                let back = conversion_factor(&screw, to, from).unwrap();
                prop_assert!((there * back - 1.0).abs() < 1e-12);
            }
        }
        // And by way of a third condition.
        let [x, y, z] = &conditions;
        let direct = conversion_factor(&screw, x, z).unwrap();
        let stepped = conversion_factor(&screw, x, y).unwrap() * conversion_factor(&screw, y, z).unwrap();
        prop_assert!((direct / stepped - 1.0).abs() < 1e-12);
    }

    #[test]
    fn lubricating_one_surface_takes_less_off_than_lubricating_both(
        thread in threads(), dry in 0.10_f64..0.5, share in 0.4..0.95,
    ) {
        let (screw, wet) = (screw(&thread), f64::max(dry * share, 0.04));
        let from = friction(dry, dry);
        let factor = |to: Condition| conversion_factor(&screw, &from, &to).unwrap();
        let (both, threads, face) = (factor(friction(wet, wet)), factor(friction(wet, dry)), factor(friction(dry, wet)));
        prop_assert!(both < threads && threads < 1.0 && both < face && face < 1.0);
        // What is taken off adds up: the arms are sums.
        prop_assert!(((1.0 - threads) + (1.0 - face) - (1.0 - both)).abs() < 1e-12);
        // The pitch takes its part whatever the friction, so torque never falls as far as friction does.
        prop_assert!(both > wet / dry - 1e-12);
    }
}

#[test]
fn lubricant_on_one_surface_lies_between_dry_and_both() {
    let screw = screw(&Thread::metric(12.0, 1.75).unwrap());
    let named = |name| Condition::named(tables::friction::named(name).unwrap());
    let (dry, wet) = (named("plain-dry"), named("oiled"));
    let total = |threads, face| screw.arms(&surfaces(&screw, threads, face).unwrap()).unwrap().nominal.total;
    let (both_dry, both_wet) = (total(&dry, &dry), total(&wet, &wet));
    for one in [total(&wet, &dry), total(&dry, &wet)] {
        assert!(both_wet < one && one < both_dry);
    }
    // Parting a nut factor and putting it together again changes nothing.
    assert!((both_dry / screw.arms(&dry).unwrap().nominal.total - 1.0).abs() < 1e-12);
    assert_eq!(surfaces(&screw, &Condition::Unknown, &dry).unwrap_err().field(), "thread_friction");
    assert_eq!(surfaces(&screw, &dry, &Condition::Unknown).unwrap_err().field(), "face_friction");
}

#[test]
fn unknown_conditions_are_not_converted() {
    let screw = screw(&Thread::metric(12.0, 1.75).unwrap());
    let known = friction(0.12, 0.12);
    for (from, to, field) in
        [(Condition::Unknown, known, "specified_condition"), (known, Condition::Unknown, "actual_condition")]
    {
        assert_eq!(conversion_factor(&screw, &from, &to).unwrap_err().field(), field);
    }
}

/// The widest band must hold the nut factor of every friction class on every listed thread.
#[test]
fn the_unknown_band_holds_every_friction_class() {
    for thread in Thread::all().filter(|thread| thread.diameter.mm() >= 5.0) {
        let screw = screw(&thread);
        let lowest = screw.arms(&friction(0.04, 0.04)).unwrap();
        let nut_factor = screw.nut_factor(&lowest).nominal;
        assert!(tables::friction::UNKNOWN.low <= nut_factor, "{thread}: {nut_factor}");
    }
}
