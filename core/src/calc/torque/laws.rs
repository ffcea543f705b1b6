//! Laws of the advice.

use proptest::prelude::*;
use rand::SeedableRng;
use statrs::{distribution::Normal, statistics::Statistics};

use super::{tests::input, *};
use crate::{
    calc::adapter::Adapter,
    model::fastener::IsoClass,
    units::{Angle, Length},
};

fn m16() -> TorqueInput {
    input(Thread::metric(16.0, 2.0).unwrap(), BoltClass::Iso(IsoClass::C10_9))
}

fn band() -> impl Strategy<Value = Condition> {
    (0.06..0.3, 0.0..0.1, 0.0..0.1).prop_map(|(low, a, b): (f64, f64, f64)| {
        Condition::NutFactor(Band { low, nominal: low + a, high: low + a + b })
    })
}

proptest! {
    #[test]
    fn preload_runs_from_least_to_greatest(actual in band(), share in 0.05..1.0, window in 0.0..0.5, off in 0.0..0.3) {
        let wrench = Some(WrenchScale { accuracy_share: Some(off), ..WrenchScale::default() });
        let window = Some(Window::Share(window));
        let advice =
            adjust_torque(&TorqueInput { actual, target: Target::ShareOfProof(share), wrench, window, ..m16() }).unwrap();
        for range in [advice.preload, advice.extremes] {
            prop_assert!(range.min.force <= range.nominal.force * (1.0 + 1e-12));
            prop_assert!(range.nominal.force <= range.max.force * (1.0 + 1e-12));
        }
        prop_assert!(advice.extremes.min.force <= advice.preload.min.force);
        prop_assert!(advice.preload.max.force <= advice.extremes.max.force);
        prop_assert!(advice.worst_yield_share.unwrap() >= advice.extremes.max.yield_share.unwrap());
        prop_assert!((advice.preload.nominal.proof_share.unwrap() / share - 1.0).abs() < 1e-12);
        // Over proof at low friction is always said.
        prop_assert_eq!(
            advice.extremes.max.proof_share.unwrap() > 1.0,
            advice.cautions.has(caution::Caution::OverProof)
        );
    }

    #[test]
    fn a_preload_target_is_met_and_torque_converts_back(a in band(), b in band(), kn in 10.0..150.0) {
        let preload = Force::from_kn(kn);
        let at_a = adjust_torque(&TorqueInput { actual: a, target: Target::Preload(preload), ..m16() }).unwrap();
        prop_assert!((at_a.preload.nominal.force / preload - 1.0).abs() < 1e-12);
        let specified =
            Target::Specified { torque: at_a.fastener.nominal, condition: a, includes_prevailing: None };
        let at_b = adjust_torque(&TorqueInput { actual: b, target: specified, ..m16() }).unwrap();
        prop_assert!((at_b.preload.nominal.force / preload - 1.0).abs() < 1e-12);
        let back = Target::Specified { torque: at_b.fastener.nominal, condition: b, includes_prevailing: None };
        let again = adjust_torque(&TorqueInput { actual: a, target: back, ..m16() }).unwrap();
        prop_assert!((again.fastener.nominal / at_a.fastener.nominal - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_adapter_moves_the_wrench_and_nothing_else(extension in 0.0..300.0, angle in 0.0..180.0) {
        let adapter = Adapter {
            lever: Length::from_mm(500.0),
            extension: Length::from_mm(extension),
            angle: Angle::from_deg(angle),
        };
        let bare = adjust_torque(&m16()).unwrap();
        let with = adjust_torque(&TorqueInput { adapter: Some(adapter), ..m16() }).unwrap();
        prop_assert_eq!(bare.fastener, with.fastener);
        prop_assert_eq!(bare.preload, with.preload);
        prop_assert!((adapter.torque_at(with.wrench.nominal).unwrap() / bare.fastener.nominal - 1.0).abs() < 1e-12);
    }

    /// The share of yield aimed at is the one that comes out, tension and torsion together.
    #[test]
    fn a_share_of_yield_is_met(actual in band(), share in 0.05..1.0) {
        let advice = adjust_torque(&TorqueInput { actual, target: Target::ShareOfYield(share), ..m16() }).unwrap();
        prop_assert!((advice.preload.nominal.yield_share.unwrap() / share - 1.0).abs() < 1e-12);
        prop_assert!(advice.preload.nominal.tension_share < share);
    }

    /// Separate frictions: no corner of the band takes the bolt further than the worst that is told.
    #[test]
    fn no_corner_of_the_friction_band_is_worse(
        thread in (0.04..0.4, 0.0..0.1), face in (0.04..0.4, 0.0..0.1), at in (0.0..=1.0, 0.0..=1.0), n_m in 10.0..400.0,
    ) {
        let wide = |(low, width): (f64, f64)| Band { low, nominal: low + width / 2.0, high: low + width };
        let (in_thread, under_face) = (wide(thread), wide(face));
        let friction = |thread, face| Condition::Friction { thread, face };
        let share = |actual| {
            let target = Target::Specified {
                torque: Torque::from_n_m(n_m),
                condition: Condition::Unknown,
                includes_prevailing: None,
            };
            adjust_torque(&TorqueInput { actual, target, ..m16() }).unwrap().worst_yield_share.unwrap()
        };
        let inside = friction(
            Band::exactly(thread.0 + thread.1 * at.0),
            Band::exactly(face.0 + face.1 * at.1),
        );
        prop_assert!(share(inside) <= share(friction(in_thread, under_face)) * (1.0 + 1e-12));
    }
}

/// The combined share against a seeded draw: torque and nut factor independent and normal, three standard deviations
/// to the given share. The first order leaves out terms of the square of the shares, under 1 % of the result here.
#[test]
fn combined_scatter_agrees_with_a_draw() {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    let (torque_share, nut_factor_share) = (0.04, 0.12);
    let torque = Normal::new(100.0, 100.0 * torque_share / 3.0).unwrap();
    let nut_factor = Normal::new(0.18, 0.18 * nut_factor_share / 3.0).unwrap();
    let preloads: Vec<f64> =
        (0..200_000).map(|_| draw(&torque, &mut random) / (draw(&nut_factor, &mut random) * 0.016)).collect();
    let (mean, deviation) = (preloads.iter().mean(), preloads.iter().std_dev());
    let drawn = 3.0 * deviation / mean;
    let combined = scatter::combined(&[torque_share, nut_factor_share]);
    assert!((drawn / combined - 1.0).abs() < 0.01, "drawn {drawn}, combined {combined}");
}

/// Draws by the inverse of the distribution, so that the draw hangs on the seed and on no library's own sampler.
fn draw(normal: &Normal, random: &mut rand_chacha::ChaCha8Rng) -> f64 {
    use rand::Rng;
    use statrs::distribution::ContinuousCDF;
    normal.inverse_cdf(random.random_range(f64::EPSILON..1.0))
}
